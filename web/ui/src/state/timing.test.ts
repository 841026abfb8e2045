import { flushSync } from 'svelte';
import { describe, expect, it } from 'vitest';
import type { Change, TimingAnswer, Touch } from '../api/client';
import { Unreadable } from './live.svelte';
import { mostSD, withOwn } from './own';
import { attackBy, changes, dismissed, REST, shownBy, slid, sliders, TimingState, type Later, type TimingPart, type TimingQuestion } from './timing.svelte';

const touch: Touch = {
  before: { left: 0, right: 0 }, bout: { left: {}, right: {} }, videos: [], takes: [], placings: [], marks: [], moments: [], actions: [],
  race: { left: { onset: {} }, right: { onset: {} } },
};

interface Asked { part: TimingPart; q: TimingQuestion; answer: (name: string) => Promise<void>; refuse: (e: Error) => Promise<void> }

/** A state with a server and a clock that wait to be told. */
function bench() {
  const asked: Asked[] = [];
  const waits: { ms: number; run: () => void }[] = [];
  const later: Later = (ms, run) => {
    const one = { ms, run };
    waits.push(one);
    return () => { const i = waits.indexOf(one); if (i >= 0) waits.splice(i, 1); };
  };
  const turn = async () => { for (let i = 0; i < 5; i++) await Promise.resolve(); flushSync(); };
  const state = new TimingState((part, q) => new Promise((done, fail) => {
    asked.push({
      part, q,
      answer: (name) => { done({ pictures: { [part]: name, map: name }, profiles: [] } as TimingAnswer); return turn(); },
      refuse: (e) => { fail(e); return turn(); },
    });
  }), later, () => new Promise(() => {}));
  const rest = () => { for (const w of waits.splice(0)) w.run(); };
  return { state, asked, waits, rest, turn, parts: () => asked.map((a) => `${a.part} ${a.q.at.frame}`) };
}
const at = (frame: number) => ({ take: 'live', frame });

describe('the timing of the frame shown', () => {
  it('is asked at once where nothing is shown yet, and its map once it is there', async () => {
    const b = bench();
    b.state.look(touch, at(5), false);
    expect(b.parts()).toEqual(['here 5']);
    expect(b.state.old).toBe(true);
    await b.asked[0]!.answer('five');
    expect(b.parts()).toEqual(['here 5', 'map 5']);
    expect([b.state.old, b.state.mapOld]).toEqual([false, true]);
    await b.asked[1]!.answer('map');
    expect(b.state.mapOld).toBe(false);
    b.state.look(touch, at(5), false); // the same again asks nothing
    expect(b.waits).toHaveLength(0);
    expect(b.parts()).toHaveLength(2);
  });

  it('waits until the frame has stood, and is dimmed meanwhile', async () => {
    const b = bench();
    b.state.look(touch, at(5), false);
    await b.asked[0]!.answer('five');
    for (const f of [6, 7, 8]) b.state.look(touch, at(f), false);
    expect(b.waits.map((w) => w.ms)).toEqual([REST]); // one wait, the last
    expect(b.state.old).toBe(true);
    expect(b.state.answer?.pictures.here).toBe('five'); // it keeps its place
    b.rest();
    expect(b.parts().at(-1)).toBe('here 8');
    await b.asked.at(-1)!.answer('eight');
    expect([b.state.old, b.state.answer?.pictures.here]).toEqual([false, 'eight']);
  });

  it('asks nothing while the film runs or the hand holds, and is of now again where nothing came of it', async () => {
    const b = bench();
    b.state.look(touch, at(5), false);
    await b.asked[0]!.answer('five');
    for (const f of [6, 7, 8, 9]) b.state.look(touch, at(f), true);
    b.rest();
    expect(b.parts()).toEqual(['here 5', 'map 5']);
    expect(b.state.old).toBe(true);
    b.state.look(touch, at(5), false);
    expect(b.state.old).toBe(false);
    b.state.look(touch, at(9), true);
    b.state.look(touch, at(9), false);
    b.rest();
    expect(b.parts().at(-1)).toBe('here 9');
  });

  it('shows the map of a frame that is come back to before another was answered', async () => {
    const b = bench();
    b.state.look(touch, at(5), false);
    await b.asked[0]!.answer('five');
    await b.asked[1]!.answer('map');
    b.state.look(touch, at(6), false);
    b.rest();
    b.state.look(touch, at(5), false);
    b.rest();
    await b.asked.find((a) => a.q.at.frame === 6)!.answer('six');
    await b.asked.at(-1)!.answer('five again');
    expect([b.state.old, b.state.mapOld]).toEqual([false, false]);
  });

  it('says what was refused and keeps what it shows', async () => {
    const b = bench();
    b.state.look(touch, at(5), false);
    await b.asked[0]!.answer('five');
    b.state.look(touch, at(6), false);
    b.rest();
    await b.asked.at(-1)!.refuse(new Unreadable('no such frame'));
    expect([b.state.trouble, b.state.old, b.state.answer?.pictures.here]).toEqual(['no such frame', true, 'five']);
  });
});

describe('what if', () => {
  it('asks every move at once, of one at a time the newest', async () => {
    const b = bench();
    b.state.look(touch, at(5), false);
    await b.asked[0]!.answer('five');
    for (const n of [0.01, 0.02, 0.03]) b.state.set({ who: 'left', closer_m: n });
    const moves = () => b.asked.filter((a) => a.part === 'change');
    expect(moves().map((m) => m.q.change?.closer_m)).toEqual([0.01]);
    await moves()[0]!.answer('one');
    expect(moves().map((m) => m.q.change?.closer_m)).toEqual([0.01, 0.03]);
    expect([b.state.changed?.pictures.change, b.state.changedOld]).toEqual(['one', true]);
    await moves()[1]!.answer('three');
    expect([b.state.changed?.pictures.change, b.state.changedOld]).toEqual(['three', false]);
    b.state.set({ who: 'left' });
    expect(b.state.changed).toBe(null);
    b.state.set({ who: 'left', closer_m: 0.03 }); // it is known
    expect(moves()).toHaveLength(2);
    expect(b.state.changed?.pictures.change).toBe('three');
  });

  it('goes with the frame', async () => {
    const b = bench();
    b.state.look(touch, at(5), false);
    await b.asked[0]!.answer('five');
    b.state.set({ who: 'right', earlier_s: 0.03 });
    await b.asked.at(-1)!.answer('of five');
    b.state.look(touch, at(8), false);
    expect(b.state.changedOld).toBe(true);
    b.rest();
    expect(b.parts().slice(-2)).toEqual(['here 8', 'change 8']);
  });

  it('knows a change from none, and shows whole steps', () => {
    const none: Change = { who: 'right' };
    expect(changes(none)).toBe(false);
    const [closer, earlier] = sliders;
    const c = slid(slid(none, closer!, 7), earlier!, -35);
    expect(c).toEqual({ who: 'right', closer_m: 0.07, earlier_s: -0.035 });
    expect(sliders.map((s) => shownBy(s, c))).toEqual([7, -35, 0]);
    for (let n = closer!.least; n <= closer!.most; n++) expect(shownBy(closer!, slid(none, closer!, n))).toBe(n);
    expect(slid(slid(c, closer!, 0), earlier!, 0)).toEqual(none);
    expect(changes({ ...none, target: 'hand' })).toBe(true);
  });
});

describe('what the touch says of its timing', () => {
  it('dismisses a note once, and brings it back', () => {
    const one = dismissed(dismissed(touch, 'a', true), 'a', true);
    expect(one.dismissed).toEqual(['a']);
    expect(dismissed(one, 'b', true).dismissed).toEqual(['a', 'b']);
    expect(dismissed(one, 'a', false)).toEqual(touch);
  });
  it('says whose attack it is, or leaves it to be seen', () => {
    expect(attackBy(touch, 'right').attacker).toBe('right');
    expect(attackBy(attackBy(touch, 'right'), '')).toEqual(touch);
  });
});

describe('own numbers', () => {
  const figures = ['reach', 'time'].map((name) => ({ name, word: name, unit: 'm', least: 0.05, most: 1 }));
  it('stand in the order of the trade, with a spread where one is said', () => {
    const one = withOwn(undefined, figures, 'time', 0.2);
    expect(one).toEqual([{ name: 'time', value: 0.2 }]);
    expect(withOwn(one, figures, 'reach', 0.5, 0.04)).toEqual([{ name: 'reach', value: 0.5, sd: 0.04 }, { name: 'time', value: 0.2 }]);
    expect(withOwn(one, figures, 'time', undefined)).toBe(undefined);
    expect(mostSD(figures[0]!)).toBe(0.95);
  });
});
