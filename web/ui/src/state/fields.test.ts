import { describe, expect, it } from 'vitest';
import type { Touch } from '../api/client';
import { filmOf, inFields } from './takes';

const mark = (take: string, frame: number, what = 'point') => ({ take, frame, who: 'left' as const, what, at: { u: frame, v: 0 }, sd: 1.5 });
const touch: Touch = {
  before: { left: 0, right: 0 }, bout: { left: {}, right: {} },
  videos: [{ id: 'a', file: 'a.mp4', sha256: 'aa' }, { id: 'b', file: 'b.mts', sha256: 'bb' }],
  takes: [{ id: 'live', video: 'a', from: 0, to: 50 }, { id: 'above', video: 'b', from: 10, to: 90, tied: true }],
  placings: [{ take: 'live', frame: 5, points: [] }, { take: 'above', frame: 20, points: [] }],
  marks: [mark('live', 5), mark('above', 20)],
  hidden: [{ take: 'above', who: 'left', what: 'point', from: 30, to: 31 }],
  moments: [{ id: 'm1', name: 'starts', take: 'live', after_frame: 4, by_frame: 5, also: [{ take: 'above', after_frame: 19, by_frame: 20 }] }],
  actions: [{ id: 'x', who: 'left', line: 'feet', word: 'lunge', take: 'above', from: 20, to: 30 }],
  race: { left: { onset: {} }, right: { onset: {} } },
};
const frozen = JSON.stringify(touch);

describe('fields', () => {
  const on = inFields(touch, 'b', true);
  it('number every frame of the video anew, and of no other', () => {
    expect(on.videos).toEqual([touch.videos[0], { ...touch.videos[1], fields: true }]);
    expect(on.takes.map((t) => [t.from, t.to])).toEqual([[0, 50], [20, 181]]);
    expect(on.placings.map((p) => p.frame)).toEqual([5, 40]);
    expect(on.marks.map((m) => m.frame)).toEqual([5, 40]);
    expect(on.hidden![0]).toMatchObject({ from: 60, to: 63 });
    expect(on.actions[0]).toMatchObject({ from: 40, to: 61 });
  });
  it('leave a moment where the two frames said it was', () => {
    // After both fields of frame 19, no later than the later field of frame 20.
    expect(on.moments[0]).toMatchObject({ after_frame: 4, by_frame: 5, also: [{ after_frame: 39, by_frame: 41 }] });
  });
  it('go back to what they were', () => {
    expect(inFields(on, 'b', false)).toEqual(touch);
    expect(inFields(on, 'b', true)).toBe(on);
    expect(JSON.stringify(touch)).toBe(frozen);
  });
  it('keep the earlier of two marks, and brackets in order, on the way back', () => {
    const two: Touch = { ...on, marks: [mark('above', 41), mark('above', 40), mark('above', 41, 'guard')], moments: [{ ...on.moments[0]!, also: [{ take: 'above', after_frame: 20, by_frame: 21 }] }] };
    const back = inFields(two, 'b', false);
    expect(back.marks.map((m) => [m.frame, m.what, m.at.u])).toEqual([[20, 'point', 40], [20, 'guard', 41]]);
    expect(back.moments[0]!.also).toEqual([{ take: 'above', after_frame: 10, by_frame: 11 }]);
  });
  it('are a film of their own', () => {
    expect(filmOf('bb')).toBe('bb');
    expect(filmOf('bb', true)).not.toBe('bb');
  });
});
