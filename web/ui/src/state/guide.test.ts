import { describe, expect, it } from 'vitest';
import type { Summary, Touch } from '../api/client';
import { guide, remember, toLearnOn, wanted, whereTo, type Memory, type Seen } from './guide';

const n = { value: '1', text: '1' };
const nothing: Summary = { inputs: '', instants: [], moments: [], needs: [], placings: [], warnings: [], proposals: [], next_marks: [], profiles: [], drifts: [], clocks: [], orders: [] };
const placing = { take: 'live', frame: 5, camera: [], grid: [], residuals: [], rms: n, warnings: [] };
const gap = (of: 'left' | 'right') => ({ of, target: 'hand', band: 'short', chance: n, gap: n, from: { u: 0, v: 0 }, to: { u: 0, v: 0 } });
const instant = { take: 'live', frame: 5, at: n, arms: [], gaps: [gap('left'), gap('right')] };
const seen = (summary: Summary | undefined, moved = true, read = false): Seen => ({ summary, moved, read });

describe('the guided first touch', () => {
  it('leads from the picture to the race by what is there', () => {
    expect(guide(seen(nothing, false)).hint).toBe('look');
    expect(guide(seen(nothing)).hint).toBe('place');
    expect(guide(seen({ ...nothing, placings: [placing] })).hint).toBe('mark');
    expect(guide(seen({ ...nothing, placings: [placing], instants: [instant] })).hint).toBe('moment');
    const timed = { ...nothing, placings: [placing], instants: [instant], moments: [{ id: 'm', at: n }] };
    expect(guide(seen(timed))).toEqual({ hint: 'race', number: 5 });
    const raced = { ...timed, race: {} as Summary['race'] & object };
    expect(guide(seen(raced, false)).hint).toBe('race');
    expect(guide(seen(raced, false, true)).hint).toBe('end');
  });
  it('goes back when work is taken back', () => {
    expect(guide(seen({ ...nothing, placings: [{ ...placing, refused: 'on one line' }] })).hint).toBe('place');
    expect(guide(seen({ ...nothing, placings: [placing], instants: [{ ...instant, gaps: [gap('left')] }] })).hint).toBe('mark');
  });
  it('waits at the start while nothing is known', () => {
    expect(guide(seen(undefined)).hint).toBe('look');
    expect(whereTo(undefined)).toBeUndefined();
    expect(whereTo({ ...nothing, placings: [placing] })).toEqual({ take: 'live', frame: 5 });
  });
  it('comes by itself on the demo only, and remembers what was said', () => {
    const kept = new Map<string, string>();
    const memory: Memory = { getItem: (k) => kept.get(k) ?? null, setItem: (k, v) => void kept.set(k, v) };
    expect(wanted(memory, 'a', true)).toBe(true);
    expect(wanted(memory, 'a', false)).toBe(false);
    remember(memory, 'a', true);
    expect(wanted(memory, 'a', false)).toBe(true); // it was begun here: a reload goes on
    expect(wanted(memory, 'b', false)).toBe(false);
    expect(wanted(memory, 'b', true)).toBe(true);
    remember(memory, 'a', false);
    expect(wanted(memory, 'a', true)).toBe(false);
    expect(wanted(memory, 'b', true)).toBe(false);
    const broken: Memory = { getItem: () => { throw new Error('no'); }, setItem: () => { throw new Error('no'); } };
    remember(broken, 'a', false);
    expect(wanted(broken, 'a', true)).toBe(true);
  });
  it('teaches on what is not yet marked on both sides', () => {
    const mark = (who: 'left' | 'right') => ({ take: 'live', frame: 5, who, what: 'point', at: { u: 0, v: 0 }, sd: 1 });
    const t = { invented: true, marks: [mark('left')] } as unknown as Touch;
    expect(toLearnOn(t)).toBe(true);
    expect(toLearnOn({ ...t, marks: [mark('left'), mark('right')] })).toBe(false);
    expect(toLearnOn({ ...t, invented: false })).toBe(false);
  });
});
