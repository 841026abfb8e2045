import { describe, expect, it } from 'vitest';
import type { Summary, Touch } from '../api/client';
import { asked, raceFrom, starts, startsBy } from './asks';
import { addressed } from './breakdown';
import { typed } from './entry';
import { framesOf, inTheWay, stepLines, thingOf, whyNoRace } from './steps';
import { captured, changedTake, freeName, hangingOn, nameFrom, renamedTake, seenAlso, tied, withTake, withoutTake } from './takes';
import { frameNearest } from './times';

const touch: Touch = {
  before: { left: 0, right: 0 }, bout: { left: {}, right: {} },
  videos: [{ id: 'a', file: 'a.mp4', sha256: 'aa' }, { id: 'b', file: 'b.mp4', sha256: 'bb' }],
  takes: [{ id: 'live', video: 'a', from: 0, to: 50 }, { id: 'replay', video: 'b', from: 10, to: 90, factor: 4 }],
  placings: [{ take: 'live', frame: 5, points: [] }, { take: 'replay', frame: 20, points: [] }],
  marks: [
    { take: 'live', frame: 5, who: 'left', what: 'point', at: { u: 0, v: 0 }, sd: 1.5 },
    { take: 'replay', frame: 20, who: 'left', what: 'point', at: { u: 0, v: 0 }, sd: 1.5 },
  ],
  moments: [{ id: 'm1', name: 'starts', take: 'live', after_frame: 4, by_frame: 5 }, { id: 'm2', name: 'lands', take: 'replay', after_frame: 19, by_frame: 20 }],
  actions: [{ id: 'x', who: 'left', line: 'feet', word: 'lunge', take: 'replay', from: 20, to: 30 }],
  race: { from: 'm2', left: { onset: { kind: 'observed', moment: 'm2' } }, right: { action: 'lunge', onset: {} } },
};
const frozen = JSON.stringify(touch);
const n = { value: '1', text: '1' };
const nothing: Summary = { inputs: '', instants: [], moments: [], needs: [], placings: [], warnings: [], proposals: [], next_marks: [], profiles: [], drifts: [], clocks: [], orders: [] };

describe('takes', () => {
  it('take what is hidden and what is seen also with them, and away', () => {
    const more = { ...seenAlso(touch, 'm1', 'replay', 30), hidden: [{ take: 'replay', who: 'left' as const, what: 'guard', from: 12, to: 14 }] };
    expect(more.moments[0]!.also).toEqual([{ take: 'replay', after_frame: 29, by_frame: 30 }]);
    const named = renamedTake(more, 'replay', 'slow');
    expect(named.moments[0]!.also![0]!.take).toBe('slow');
    expect(named.hidden![0]!.take).toBe('slow');
    const gone = withoutTake(more, 'replay');
    expect(gone.moments[0]!.also).toEqual([]);
    expect(gone.hidden).toEqual([]);
  });
  it('have one source of their factor: the capture rate or what is set', () => {
    const fast = captured(touch, 'replay', 240);
    expect(fast.takes[1]).toEqual({ id: 'replay', video: 'b', from: 10, to: 90, capture_rate: 240 });
    expect(captured(fast, 'replay', undefined).takes[1]).toEqual({ id: 'replay', video: 'b', from: 10, to: 90 });
    expect(tied(tied(touch, 'replay', true), 'replay', false)).toEqual(touch);
    expect(tied(touch, 'replay', true).takes[1]!.tied).toBe(true);
  });
  it('brings a video in with its first take, and once', () => {
    const one = withTake(touch, { id: 'c', file: 'c.mp4', sha256: 'cc' }, { id: 'far', from: 0, to: 9 });
    expect(one.videos).toHaveLength(3);
    expect(one.takes[2]).toMatchObject({ id: 'far', video: 'c' });
    expect(withTake(one, { id: 'other', file: 'c.mp4', sha256: 'cc' }, { id: 'far-2', from: 0, to: 9 }).videos).toHaveLength(3);
  });
  it('gives another video of the same name a name of its own', () => {
    const one = withTake(touch, { id: 'a', file: 'x.mp4', sha256: 'xx' }, { id: 'far', from: 0, to: 9 });
    expect(one.videos[2]!.id).toBe('a-2');
    expect(one.takes[2]!.video).toBe('a-2');
  });
  it('finds a name that is free', () => {
    expect(freeName(touch, 'far')).toBe('far');
    expect(freeName(touch, 'replay')).toBe('replay-2');
  });
  it('makes a name that files take of what is typed', () => {
    expect(nameFrom(' Close view ')).toBe('Close-view');
    expect(nameFrom('épée n° 2!')).toBe('epee-n-2');
    expect(nameFrom('---')).toBe('');
    expect(nameFrom('x'.repeat(99))).toHaveLength(64);
  });
  it('says and removes all that hangs on a take', () => {
    expect(hangingOn(touch, 'replay')).toEqual({ placings: 1, marks: 1, moments: 1, actions: 1 });
    const left = withoutTake(touch, 'replay');
    expect(hangingOn(left, 'replay')).toEqual({ placings: 0, marks: 0, moments: 0, actions: 0 });
    expect(left.videos.map((v) => v.id)).toEqual(['a']);
    expect(left.race.from).toBeUndefined();
    expect(left.race.left.onset).toEqual({});
    expect(left.race.right.action).toBe('lunge');
    expect(left.moments.map((m) => m.id)).toEqual(['m1']);
  });
  it('renames a take and all that names it, and never to a name that is taken', () => {
    const r = renamedTake(touch, 'replay', 'slow');
    expect(hangingOn(r, 'slow')).toEqual({ placings: 1, marks: 1, moments: 1, actions: 1 });
    expect(hangingOn(r, 'replay').marks).toBe(0);
    expect(renamedTake(touch, 'replay', 'live')).toBe(touch);
    expect(renamedTake(touch, 'replay', '')).toBe(touch);
  });
  it('changes nothing in place', () => {
    changedTake(touch, 'replay', { factor: 5 });
    expect(JSON.stringify(touch)).toBe(frozen);
  });
});

describe('what is asked', () => {
  it('leaves out what is left to the measure', () => {
    expect('from' in raceFrom(touch, '').race).toBe(false);
    expect(asked(touch, 'right', { action: '' }).race.right).toEqual({ onset: {} });
    expect(asked(touch, 'left', { target: 'hand' }).race.left).toMatchObject({ target: 'hand', onset: { kind: 'observed' } });
    expect(JSON.stringify(touch)).toBe(frozen);
  });
  it('keeps with an onset what belongs to it and nothing else', () => {
    expect(startsBy('simultaneous', { kind: 'observed', moment: 'm1' }, '')).toEqual({});
    expect(startsBy('observed', {}, 'm1')).toEqual({ kind: 'observed', moment: 'm1' });
    expect(startsBy('reaction', { kind: 'observed', moment: 'm1' }, '')).toEqual({ kind: 'reaction', cue: 'visual', choices: 1 });
    expect(starts({ onset: {} })).toBe('simultaneous');
  });
});

describe('steps', () => {
  const placed: Summary = { ...nothing, placings: [{ take: 'live', frame: 5, camera: [], grid: [], residuals: [], rms: n, warnings: [] }] };
  const at = (s: Summary | undefined) => Object.fromEntries(stepLines(s, 'live', 5).map((l) => [l.step, l.state]));
  it('calls the first that needs something the next one', () => {
    expect(at(undefined)).toEqual({ place: 'now', mark: 'open', moments: 'open', race: 'open', tell: 'open' });
    expect(at(placed)).toMatchObject({ place: 'done', mark: 'now', race: 'open' });
  });
  it('counts a frame that was refused as not placed', () => {
    const refused = { ...placed, placings: [{ ...placed.placings[0]!, refused: 'on one line' }] };
    expect(at(refused).place).toBe('now');
  });
  it('does not take a frame without a gap each way for marked', () => {
    const gap = { of: 'left' as const, target: 'hand', band: 'short', chance: n, gap: n, from: { u: 0, v: 0 }, to: { u: 0, v: 0 } };
    const marked = (of: ('left' | 'right')[]): Summary => ({ ...placed, instants: [{ take: 'live', frame: 5, at: n, arms: [], gaps: of.map((o) => ({ ...gap, of: o })) }] });
    expect(at(marked([])).mark).toBe('now');
    expect(at(marked(['left'])).mark).toBe('now');
    expect(at(marked(['left', 'right'])).mark).toBe('done');
  });
  it('prefers what the frame shown needs', () => {
    const needs = [{ step: 'place', take: 'live', frame: 9, text: 'there' }, { step: 'place', take: 'live', frame: 5, text: 'here', points: ['p'] }];
    expect(stepLines({ ...nothing, needs }, 'live', 5)[0]).toMatchObject({ needs: 'here', frame: 5, points: ['p'] });
    expect(stepLines({ ...nothing, needs }, 'live', 7)[0]).toMatchObject({ needs: 'there', frame: 9 });
  });
  it('says why there is no race', () => {
    expect(whyNoRace({ ...nothing, warnings: [{ code: 'no-race', about: '', doubt: 1, text: 'why' }] })).toBe('why');
    expect(whyNoRace(nothing)).toBe('');
    const warned = { ...nothing, warnings: [{ code: 'no-race', about: '', doubt: 1, text: 'why' }] };
    expect(inTheWay(warned)).toBe('Why');
    expect(inTheWay({ ...warned, needs: [{ step: 'race', text: 'r' }, { step: 'mark', text: 'm' }] })).toBe('m');
    // Steps before are still to be done: the race says nothing of its own.
    expect(stepLines(warned, 'live', 5)[3]!.needs).toBe('');
  });
  it('knows the thing that a need names', () => {
    const things = [{ name: 'point', word: 'point' }, { name: 'elbow', word: 'weapon elbow' }];
    expect(thingOf("right's weapon elbow", things)).toEqual({ who: 'right', what: 'elbow' });
    expect(thingOf("left's point", things)).toEqual({ who: 'left', what: 'point' });
    expect(thingOf('centre-near', things)).toBeUndefined();
  });
  it('goes round the frames that carry something', () => {
    expect(framesOf('mark', touch)).toHaveLength(2);
    expect(framesOf('moments', touch)[1]).toEqual({ take: 'replay', frame: 20 });
  });
});

describe('small things', () => {
  it('reads numbers as people type them, and nothing else', () => {
    expect(typed(' 4,1 ', 0, 10)).toBe(4.1);
    expect(typed('−2.5', -5, 0)).toBe(-2.5);
    for (const bad of ['', '4x', '1e3', '1,2,3', '11', 'NaN']) expect(typed(bad, 0, 10), bad).toBeUndefined();
  });
  it('finds the nearest frame', () => {
    const times = [0, 0.04, 0.08, 0.2];
    expect([frameNearest(times, -1), frameNearest(times, 0.055), frameNearest(times, 0.065), frameNearest(times, 0.13), frameNearest(times, 9), frameNearest([], 3)]).toEqual([0, 1, 2, 2, 3, 0]);
  });
  it('adds to an address what is wished for', () => {
    expect(addressed('/a', {})).toBe('/a');
    expect(addressed('/a?width=3', { night: true, names: 'anonymous' })).toBe('/a?width=3&theme=night&names=anonymous');
  });
});
