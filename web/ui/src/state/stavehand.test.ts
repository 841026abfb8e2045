import { describe, expect, it } from 'vitest';
import type { Live, Media, Stamp, Touch, Trade } from '../api/client';
import { frameNo } from '../units';
import { Desk } from './desk.svelte';
import { LiveReading } from './live.svelte';
import { Paper, type Store } from './paper.svelte';
import { StaveHand } from './stavehand.svelte';

const say = {
  moment: 'set', nameMoment: 'name', moveMoment: 'move', removeMoment: 'remove', action: 'write', wordAction: 'word', moveAction: 'shift', removeAction: 'strike', from: 'from',
};

/** A desk on a take of 101 frames at 50 a second, whose store notes every gesture. */
function desk() {
  const gestures: string[] = [];
  const stamp = { id: 't', revision: 1, can_undo: false, can_redo: false } as Stamp;
  let held: Touch = {
    bout: {} as Touch['bout'], before: { left: 0, right: 0 }, videos: [], placings: [], marks: [], moments: [], actions: [],
    takes: [{ id: 'live', video: 'v', from: 0, to: 100 }], race: { left: { onset: {} }, right: { onset: {} } },
  };
  const store: Store<Touch> = {
    load: async () => ({ stamp, value: held }),
    save: async (base, gesture, value) => { gestures.push(gesture); held = value; return { stamp: { ...stamp, revision: base + 1 }, value }; },
    undo: async () => ({ stamp, value: held }),
    redo: async () => ({ stamp, value: held }),
  };
  const d = new Desk('t', 'b', new Paper(store, { stamp, value: held }), new LiveReading(async () => ({}) as Live), [] as Media[]);
  d.live.answer = { stave: { svg: '', width: 100, height: 50, x0: 0, x1: 100, t0_s: 0, t1_s: 2, lines: [], frames: [{ take: 'live', from: 0, times: Array.from({ length: 101 }, (_, i) => i / 50) }] } } as unknown as Live;
  d.transport.seek(frameNo(40));
  return { d, hand: new StaveHand(d, { words: {}, moments: [] } as unknown as Trade, say), gestures };
}

describe('the hand on the stave', () => {
  it('sets a moment at the frame shown, once', async () => {
    const { d, hand, gestures } = desk();
    hand.addMoment();
    expect(d.touch.moments).toEqual([{ id: 'moment-1', name: '', take: 'live', after_frame: 39, by_frame: 40 }]);
    expect(d.selected).toEqual({ kind: 'moment', id: 'moment-1' });
    expect(hand.editing).toBe(true);
    hand.addMoment();
    hand.name('moment-1', ' launch ');
    hand.name('moment-1', 'launch');
    await d.paper.settled();
    expect(d.touch.moments.map((m) => m.name)).toEqual(['launch']);
    expect(gestures).toEqual(['set', 'name']);
  });
  it('writes an action only with a word', async () => {
    const { d, hand, gestures } = desk();
    hand.beginAction({ who: 'right', line: 'hand' });
    expect(hand.draft).toEqual({ row: { who: 'right', line: 'hand' }, take: 'live', from: 40, to: 50 });
    hand.write('  ');
    expect(d.touch.actions).toEqual([]);
    d.transport.seek(frameNo(44));
    hand.endHere('end');
    hand.putOn({ who: 'left', line: 'feet' });
    hand.write('lunge');
    await d.paper.settled();
    expect(d.touch.actions).toEqual([{ id: 'action-1', who: 'left', line: 'feet', word: 'lunge', take: 'live', from: 40, to: 44 }]);
    expect(gestures).toEqual(['write']);
    expect(hand.draft).toBeNull();
  });
  it('draws a stretch on an empty place, forwards or backwards', () => {
    const { hand } = desk();
    hand.press({ who: 'left', line: 'hand' }, 1);
    hand.drop();
    expect(hand.draft).toBeNull();
    hand.press({ who: 'left', line: 'hand' }, 1);
    hand.drag(0.801);
    hand.drop();
    expect(hand.draft).toMatchObject({ from: 40, to: 50 });
    expect(hand.editing).toBe(true);
    expect(hand.cancel()).toBe(true);
    expect(hand.draft).toBeNull();
    expect(hand.cancel()).toBe(false);
  });
  it('makes one step of a whole drag, none of a press', async () => {
    const { d, hand, gestures } = desk();
    hand.addMoment();
    const moment = { kind: 'moment', id: 'moment-1' } as const;
    hand.grab(moment, 'end', 0.8);
    hand.drag(0.805);
    hand.drop();
    hand.grab(moment, 'end', 0.8);
    for (const t of [0.85, 0.9, 0.95, 1]) hand.drag(t);
    expect(d.touch.moments[0]).toMatchObject({ after_frame: 39, by_frame: 50 });
    expect(d.frame).toBe(50);
    hand.drop();
    hand.grab(moment, 'body', 1);
    hand.drag(0.9);
    expect(d.touch.moments[0]).toMatchObject({ after_frame: 34, by_frame: 45 });
    hand.cancel();
    expect(d.touch.moments[0]).toMatchObject({ after_frame: 39, by_frame: 50 });
    await d.paper.settled();
    expect(gestures).toEqual(['set', 'move']);
  });
  it('keeps the order of things while one is under the hand', () => {
    const { d, hand } = desk();
    hand.addMoment();
    d.transport.seek(frameNo(60));
    hand.addMoment();
    hand.grab({ kind: 'moment', id: 'moment-1' }, 'body', 0.8);
    hand.drag(1.8);
    expect(hand.holding).toBe(true);
    expect(hand.moments.map((m) => m.id)).toEqual(['moment-1', 'moment-2']);
    hand.drop();
    expect(hand.holding).toBe(false);
    expect(hand.moments.map((m) => m.id)).toEqual(['moment-2', 'moment-1']);
  });
  it('takes out what is selected, and the race no longer asks for it', async () => {
    const { d, hand, gestures } = desk();
    hand.addMoment();
    hand.raceFrom('moment-1');
    expect(d.touch.race.from).toBe('moment-1');
    hand.remove();
    hand.remove();
    await d.paper.settled();
    expect(d.touch.moments).toEqual([]);
    expect(d.touch.race.from).toBeUndefined();
    expect(gestures).toEqual(['set', 'from', 'remove']);
  });
  it('keeps the frame shown in sight when it is closer', () => {
    const { d, hand } = desk();
    hand.zoom(0.25);
    expect(hand.shown!.to - hand.shown!.from).toBeCloseTo(0.5, 9);
    d.transport.seek(frameNo(95));
    hand.follow();
    expect(hand.shown!.from).toBeLessThanOrEqual(1.9);
    expect(hand.shown!.to).toBeGreaterThanOrEqual(1.9);
    hand.fitAll();
    expect(hand.shown).toEqual({ from: 0, to: 2 });
  });
});
