import { describe, expect, it } from 'vitest';
import type { Touch } from '../api/client';
import { trace } from './traces.fixture';
import { hiddenChanged, isHidden, nearestProposal, openProposals, pathOf, runsOf, seenAt, stepAt, traceOf, type Proposal } from './traces';

const n = { value: '1', text: '1' };
const touch = { marks: [{ take: 'live', frame: 12, who: 'left', what: 'guard', at: { u: 1, v: 2 }, sd: 1.5 }], moments: [], takes: [] } as unknown as Touch;
const guard = { who: 'left' as const, what: 'guard' };
const frozen = JSON.stringify(touch);

describe('traces', () => {
  it('say what is known of a frame', () => {
    const t = trace('mfl-h');
    expect(stepAt(t, 10)).toEqual({ state: 'marked', at: { u: 100, v: 50 }, sd: 1.5, sure: 1 });
    expect(stepAt(t, 11)).toMatchObject({ state: 'followed', sure: 0.9 });
    expect(stepAt(t, 12)?.state).toBe('lost');
    expect(stepAt(t, 13)).toBeUndefined();
    expect(stepAt(t, 14)?.state).toBe('hidden');
    expect(stepAt(t, 9)).toBeUndefined();
    expect(stepAt(t, 15)).toBeUndefined();
    expect(stepAt(undefined, 10)).toBeUndefined();
  });
  it('are broken where the point was not seen', () => {
    expect(pathOf(trace('ffllffhf'), 0, 99).map((p) => p.map((b) => b.frame))).toEqual([[10, 11], [14, 15], [17]]);
    expect(pathOf(trace('ffff'), 11, 12).map((p) => p.map((b) => b.frame))).toEqual([[11, 12]]);
  });
  it('run along the film in stretches of one state, that cover it once', () => {
    const t = { ...trace('mfffllmh'), sure: [100, 90, 30, 30, 0, 0, 100, 0] };
    const runs = runsOf(t);
    expect(runs.map((r) => [r.from, r.to, r.state, r.sure])).toEqual([
      [10, 10, 'marked', 'sure'], [11, 11, 'followed', 'sure'], [12, 13, 'followed', 'unsure'], [14, 15, 'lost', 'sure'], [16, 16, 'marked', 'sure'], [17, 17, 'hidden', 'sure'],
    ]);
    expect(runs.reduce((a, r) => a + r.to - r.from + 1, 0)).toBe(t.states.length);
    expect(runsOf(undefined)).toEqual([]);
  });
  it('are found by who and what', () => {
    expect(traceOf([trace('m')], guard)?.from).toBe(10);
    expect(traceOf([trace('m')], { who: 'right', what: 'guard' })).toBeUndefined();
  });
});

describe('hidden points', () => {
  const at = (t: Touch) => (t.hidden ?? []).map((h) => [h.from, h.to]);
  const press = (t: Touch, ...frames: number[]) => frames.reduce((x, f) => hiddenChanged(x, 'live', f, guard), t);
  it('join with their neighbours and part again', () => {
    expect(at(press(touch, 20))).toEqual([[20, 20]]);
    expect(at(press(touch, 20, 21, 19))).toEqual([[19, 21]]);
    expect(at(press(touch, 20, 22, 21))).toEqual([[20, 22]]);
    expect(at(press(touch, 20, 21, 22, 21))).toEqual([[20, 20], [22, 22]]);
    expect(press(touch, 20, 20)).not.toHaveProperty('hidden');
  });
  it('never meet a mark: hiding takes it out, marking shows the point', () => {
    const hidden = press(touch, 12);
    expect(hidden.marks).toEqual([]);
    expect(isHidden(seenAt(hidden, 'live', 12, guard), 'live', 12, guard)).toBe(false);
    expect(seenAt(touch, 'live', 12, guard)).toBe(touch);
  });
  it('are of one point of one take', () => {
    const t = press(touch, 20);
    expect(isHidden(t, 'live', 20, { who: 'right', what: 'guard' })).toBe(false);
    expect(isHidden(t, 'replay', 20, guard)).toBe(false);
    expect(hiddenChanged(t, 'replay', 21, guard).hidden).toHaveLength(2);
  });
  it('leave what they get as it was', () => { expect(JSON.stringify(touch)).toBe(frozen); });
});

describe('proposed moments', () => {
  const p = (id: string, by: number, take = 'live'): Proposal => ({ id, name: `${id} starts`, who: 'left', part: 'hand', kind: 'starts', take, after_frame: by - 1, by_frame: by, at: n, sure: n });
  it('go when they were refused or taken over', () => {
    const all = [p('a', 5), p('b', 9)];
    expect(openProposals(all, touch, new Set(['a'])).map((x) => x.id)).toEqual(['b']);
    expect(openProposals(all, { ...touch, moments: [{ id: 'm', name: 'B starts', take: 'live', after_frame: 0, by_frame: 8 }] } as Touch, new Set()).map((x) => x.id)).toEqual(['a', 'b']); // before it
    const taken = { ...touch, moments: [{ id: 'm', name: 'b starts', take: 'live', after_frame: 8, by_frame: 9 }] } as Touch;
    expect(openProposals(all, taken, new Set()).map((x) => x.id)).toEqual(['a']);
  });
  it('are answered by a moment that another take shows at the same instant', () => {
    const at = (low: string, high: string) => ({ value: low, low, high, text: '' });
    const all = [{ ...p('a', 5), at: at('1.00', '1.04') }];
    const set = { ...touch, moments: [{ id: 'm', name: 'A starts', take: 'replay', after_frame: 70, by_frame: 71 }] } as Touch;
    expect(openProposals(all, set, new Set(), [{ id: 'm', at: at('1.03', '1.07') }])).toEqual([]);
    expect(openProposals(all, set, new Set(), [{ id: 'm', at: at('1.05', '1.07') }])).toHaveLength(1);
    expect(openProposals(all, set, new Set())).toHaveLength(1);
  });
  it('are answered by the nearest, of the take shown first', () => {
    const all = [p('far', 50), p('near', 21), p('other', 20, 'replay')];
    expect(nearestProposal(all, 'live', 20)?.id).toBe('near');
    expect(nearestProposal([], 'live', 20)).toBeUndefined();
  });
});
