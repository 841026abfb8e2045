import { flushSync } from 'svelte';
import { describe, expect, it } from 'vitest';
import type { Phrase, TacticsAnswer } from '../api/client';
import { Unreadable } from './live.svelte';
import { queryOf } from './open-thread';
import { askable, clockOf, clockText, MOST_CHOICES, neighbour, ThreadState, usual, type ThreadQuestion } from './thread.svelte';

const kinds = [{ name: 'attack', word: 'straight attack' }, { name: 'counter', word: 'counter-attack' }, { name: 'parry', word: 'parry and riposte' }];
/** An answer with these choices on both sides, and one source. */
const answer = (name: string, mine = ['attack', 'counter'], theirs = ['attack', 'parry']) => ({
  kinds, pictures: { thread: name },
  tactics: { sources: [{ id: name, title: name, how: '', touches: [], bouts: [] }], payoff: { mine: mine.map((kind) => ({ kind })), theirs: theirs.map((kind) => ({ kind })) } },
}) as unknown as TacticsAnswer;

function bench(start: Partial<ThreadQuestion> = {}) {
  const asked: { q: ThreadQuestion; answer: (a: TacticsAnswer) => Promise<void>; refuse: (e: Error) => Promise<void> }[] = [];
  const turn = async () => { for (let i = 0; i < 5; i++) await Promise.resolve(); flushSync(); };
  const state = new ThreadState((q) => new Promise((done, fail) => {
    asked.push({ q, answer: (a) => { done(a); return turn(); }, refuse: (e) => { fail(e); return turn(); } });
  }), start, () => new Promise(() => {}));
  return { state, asked, turn };
}

describe('the thread of a bout', () => {
  it('asks one question at a time, the newest next, and dims what is old', async () => {
    const b = bench({ at: 7 });
    expect(b.asked.map((a) => a.q)).toEqual([{ at: 7, side: 'left', weight: 0.5 }]);
    await b.asked[0]!.answer(answer('seven'));
    expect(b.state.old).toBe(false);
    for (const weight of [0.55, 0.6, 0.65, 0.7]) b.state.set({ weight });
    expect(b.asked).toHaveLength(2); // one on its way, one waits
    expect([b.state.old, b.state.answer?.pictures.thread]).toEqual([true, 'seven']); // it keeps its place
    await b.asked[1]!.answer(answer('55'));
    expect([b.asked.length, b.asked[2]!.q.weight, b.state.old]).toEqual([3, 0.7, true]);
    await b.asked[2]!.answer(answer('70'));
    expect([b.state.old, b.state.answer?.pictures.thread]).toEqual([false, '70']);
    b.state.set({ weight: 0.7 }); // the same again asks nothing
    expect(b.asked).toHaveLength(3);
  });

  it('keeps what stands where a question is refused, and says why', async () => {
    const b = bench();
    await b.asked[0]!.answer(answer('was'));
    b.state.set({ gap: 99 });
    await b.asked[1]!.refuse(new Unreadable('no such measure'));
    expect([b.state.trouble, b.state.old, b.state.answer?.pictures.thread]).toEqual(['no such measure', true, 'was']);
    b.state.set({ gap: undefined });
    expect('gap' in b.asked[2]!.q).toBe(false);
    await b.asked[2]!.answer(answer('is'));
    expect([b.state.trouble, b.state.old]).toEqual(['', false]);
  });

  it('leaves measure, clock and open source behind with the touch they were said of', async () => {
    const b = bench({ at: 5, gap: 1.4, clock: { left: 20, priority: '', unwillingness: false }, mine: ['attack', 'x'] });
    await b.asked[0]!.answer(answer('five'));
    b.state.open('five');
    expect(b.state.source?.title).toBe('five');
    b.state.set({ at: 6 });
    expect(b.state.question).toEqual({ at: 6, side: 'left', weight: 0.5, mine: ['attack', 'x'] });
    expect(b.state.from).toBe('');
  });

  it('says that a source is gone where a newer answer has it no more', async () => {
    const b = bench();
    await b.asked[0]!.answer(answer('old'));
    b.state.open('old');
    b.state.set({ weight: 1 });
    await b.asked[1]!.answer(answer('new'));
    expect([b.state.from, b.state.source]).toEqual(['old', undefined]);
    b.state.close();
    expect(b.state.from).toBe('');
  });

  it('turns to the other coach with the lists exchanged', () => {
    const b = bench({ mine: ['attack', 'x'], theirs: ['parry', 'y'] });
    b.state.turn('left');
    expect(b.state.question.mine).toEqual(['attack', 'x']);
    b.state.turn('right');
    expect(b.state.question).toMatchObject({ side: 'right', mine: ['parry', 'y'], theirs: ['attack', 'x'] });
  });

  it('adds choices of its own, of the trade by their word, none twice and eight at the most', async () => {
    const b = bench();
    await b.asked[0]!.answer(answer('is'));
    expect(b.state.add('mine', '  ')).toBe('empty');
    expect(b.state.add('mine', 'Straight Attack')).toBe('there');
    expect(b.state.add('mine', 'parry and riposte')).toBe('');
    expect(b.state.question.mine).toEqual(['attack', 'counter', 'parry']);
    expect(b.state.add('mine', 'the trap')).toBe('');
    expect(b.state.add('mine', 'The trap')).toBe('there');
    for (let i = b.state.choices('mine').length; i < MOST_CHOICES; i++) expect(b.state.add('mine', `own ${i}`)).toBe('');
    expect(b.state.add('mine', 'one more')).toBe('many');
    expect(b.state.question.theirs).toBeUndefined();
    b.state.remove('theirs', 'attack'); // one alone is no choice
    expect(b.state.choices('theirs')).toEqual(['attack', 'parry']);
  });

  it('has a clock with the priority: the extra minute where none is said', () => {
    const b = bench();
    b.state.prior('');
    expect(b.state.question.clock).toBeUndefined();
    b.state.prior('right');
    expect(b.state.question.clock).toEqual({ left: 60, priority: 'right', unwillingness: false });
    b.state.set({ clock: { ...b.state.question.clock!, left: 12 } });
    b.state.prior('');
    expect(b.state.question.clock).toEqual({ left: 12, priority: '', unwillingness: false });
  });

  it('is sent without what is left to the sheet', () => {
    expect(queryOf({ at: 0, side: 'right', weight: 0 })).toEqual({ at: 0, for: 'right', weight: 0 });
    expect(queryOf({ at: 3, side: 'left', weight: 1, gap: 1.6, mine: ['a'], clock: { left: 0, priority: '', unwillingness: true } }))
      .toEqual({ at: 3, for: 'left', weight: 1, gap: 1.6, mine: ['a'], clock: 0, unwillingness: true });
  });
});

describe('which touches can be asked about', () => {
  const line = (number: number, left: number, right: number) => ({ number, after: { left, right } }) as Phrase;
  it('are those of the sheet, and the one to come while the bout goes on', () => {
    expect(askable([], 15)).toEqual([0]);
    expect(askable([line(1, 1, 0), line(0, 1, 0), line(2, 1, 1)], 15)).toEqual([1, 2, 0]);
    expect(askable([line(1, 4, 0), line(2, 5, 0)], 5)).toEqual([1, 2]);
    expect([usual([1, 2, 0]), usual([1, 2]), usual([])]).toEqual([0, 2, 0]);
  });
  it('follow one another', () => {
    expect([neighbour([1, 2, 0], 2, 1), neighbour([1, 2, 0], 2, -1), neighbour([1, 2, 0], 0, 1), neighbour([1, 2], 9, 1)]).toEqual([0, 1, undefined, undefined]);
  });
});

describe('the time left', () => {
  it('is read as people write it, and nothing else', () => {
    expect(['1:30', ' 0:09.5 ', '83', '2:05,25'].map(clockOf)).toEqual([90, 9.5, 83, 125.25]);
    for (const bad of ['', 'x', '1:75', '1:2:3', '-4', '1e3']) expect(clockOf(bad), bad).toBeUndefined();
  });
  it('is written as it is read', () => {
    for (const s of [0, 9.5, 60, 90, 125.25]) expect(clockOf(clockText(s))).toBe(s);
    expect([clockText(90), clockText(9.5), clockText(5)]).toEqual(['1:30', '0:09.5', '0:05']);
  });
});
