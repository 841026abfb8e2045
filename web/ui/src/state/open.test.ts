import { describe, expect, it } from 'vitest';
import { Refused, type Live, type Touch } from '../api/client';
import { LiveReading, same, Unreadable } from './live.svelte';
import { frameMark, lean, meaning, openAt } from './open';
import { Conflict, Rejected } from './paper.svelte';

const touch = { bout: { left: {}, right: {}, sheet: [{ number: 1 }] }, marks: [] } as unknown as Touch;
const other = { ...touch, title: 'other' };
const answer = (inputs: string) => ({ summary: { inputs } }) as unknown as Live;
const ticks = async (n = 5) => { for (let i = 0; i < n; i++) await Promise.resolve(); };

describe('what the server answers', () => {
  it('means to the paper: conflict, never, or later', () => {
    expect(meaning(new Refused(409, 'x', {}))).toBeInstanceOf(Conflict);
    for (const never of [400, 404, 413, 422]) expect(meaning(new Refused(never, 'x', {})), String(never)).toBeInstanceOf(Rejected);
    for (const later of [408, 429, 499, 500, 503, 507]) {
      const e = meaning(new Refused(later, 'x', {}));
      expect(e instanceof Rejected || e instanceof Conflict, String(later)).toBe(false);
    }
    const network = new TypeError('failed to fetch');
    expect(meaning(network)).toBe(network);
  });
  it('leaves the score sheet at home when it asks for a reading', () => {
    expect('sheet' in lean(touch).bout).toBe(false);
    expect(touch.bout.sheet).toHaveLength(1);
  });
});

describe('where a touch opens', () => {
  const t = {
    takes: [{ id: 'live' }, { id: 'close view' }], marks: [], race: { from: 'm' },
    moments: [{ id: 'm', take: 'live', after_frame: 7, by_frame: 8 }],
  } as unknown as Touch;
  it('is the frame that the address names', () => {
    expect(openAt(t, frameMark('close view', 54))).toEqual({ take: 'close view', frame: 54 });
  });
  it('is else the one from which the race is run', () => {
    for (const hash of ['', '#gone/5', '#live/x', '#live']) expect(openAt(t, hash), hash).toEqual({ take: 'live', frame: 8 });
    expect(openAt({ ...t, race: {} as Touch['race'] }, '')).toBeUndefined();
  });
  it('is the beginning of a touch to learn on', () => {
    expect(openAt({ ...t, invented: true }, '')).toBeUndefined();
  });
});

describe('the live reading', () => {
  it('asks one question at a time, and of those that came up only the newest', async () => {
    const asked: Touch[] = [];
    const open: ((l: Live) => void)[] = [];
    const live = new LiveReading((t) => new Promise((done) => { asked.push(t); open.push(done); }));
    live.of(touch);
    live.of(other);
    live.of({ ...other, title: 'newest' });
    expect(asked).toHaveLength(1);
    open[0]!(answer('1'));
    await ticks();
    expect(live.answer).toEqual(answer('1'));
    expect(live.old).toBe(true);
    expect(asked.map((t) => t.title)).toEqual([undefined, 'newest']);
    open[1]!(answer('2'));
    await ticks();
    expect(live.answer).toEqual(answer('2'));
    expect(live.old).toBe(false);
    live.of(touch);
    await ticks();
    expect(asked).toHaveLength(3);
  });
  it('stays old and asks again where nobody answered', async () => {
    let wake = () => {};
    let there = false;
    const live = new LiveReading(async () => {
      if (!there) throw new TypeError('failed to fetch');
      return answer('late');
    }, () => new Promise((r) => { wake = r; }));
    live.of(touch);
    await ticks();
    expect(live.old).toBe(true);
    expect(live.trouble).toBe('failed to fetch');
    there = true;
    wake();
    await ticks(8);
    expect(live.answer).toEqual(answer('late'));
    expect(live.old).toBe(false);
    expect(live.trouble).toBe('');
  });
  it('does not ask again for what was refused, but for what comes after', async () => {
    let asked = 0;
    const live = new LiveReading(async (t) => {
      asked++;
      if (t === touch) throw new Unreadable('not in this form');
      return answer('ok');
    }, () => Promise.reject(new Error('waited')));
    live.of(touch);
    await ticks();
    expect([asked, live.old, live.trouble]).toEqual([1, true, 'not in this form']);
    live.of(other);
    await ticks();
    expect([asked, live.old, live.trouble]).toEqual([2, false, '']);
  });
  it('does not ask twice for what says the same, unless it is drawn anew', async () => {
    let asked = 0;
    const live = new LiveReading(async () => answer(String(++asked)));
    const stored = JSON.parse(JSON.stringify({ marks: [], bout: touch.bout })) as Touch; // another order of names
    live.of(touch);
    await ticks();
    live.of(stored);
    await ticks();
    expect([asked, live.old]).toEqual([1, false]);
    live.again();
    await ticks();
    expect(asked).toBe(2);
    live.of({ ...stored, title: 'other' });
    await ticks();
    expect(asked).toBe(3);
  });
  it('compares by what is said', () => {
    expect(same({ a: [1, { b: 2 }], c: undefined }, { a: [1, { b: 2 }] })).toBe(true);
    expect(same([1], { 0: 1 })).toBe(false);
    expect(same({ a: 1 }, { a: 1, b: 0 })).toBe(false);
    expect(same([1, 2], [1])).toBe(false);
    expect(same(null, {})).toBe(false);
  });
  it('asks nobody any more once it is closed', async () => {
    let asked = 0;
    const live = new LiveReading((_, signal) => {
      asked++;
      return new Promise((_, fail) => signal.addEventListener('abort', () => fail(new Error('aborted'))));
    });
    live.of(touch);
    live.of(other);
    live.close();
    await ticks();
    expect([asked, live.trouble]).toEqual([1, '']);
  });
});
