import { describe, expect, it } from 'vitest';
import { loupeAt, nextPoint, nextThing, stepThing } from './stageorder';

const points = [{ name: 'a', painted: false, on: { x: 0 } }, { name: 'c', painted: true, on: { x: -7 } }, { name: 'b', painted: true, on: { x: 2 } }];
const things = ['point', 'guard', 'elbow'];
const marks = (...all: string[]) => all.map((s) => ({ who: s.split(' ')[0] as 'left' | 'right', what: s.split(' ')[1]! }));

describe('the piste point that is asked for', () => {
  it('is the one that would help most', () => expect(nextPoint(points, new Set(['c']), ['c', 'a'])).toBe('a'));
  it('else is one of a neighbouring frame', () => expect(nextPoint(points, new Set(['b']), ['b'], ['b', 'c'])).toBe('c'));
  it('else is the painted one nearest to the middle', () => expect(nextPoint(points, new Set(), [])).toBe('b'));
  it('else is any', () => expect(nextPoint(points, new Set(['b', 'c']), [])).toBe('a'));
  it('is none where all are set', () => expect(nextPoint(points, new Set(['a', 'b', 'c']), ['a'])).toBe(''));
});

describe('the thing that is asked for', () => {
  it('is the next in order', () => expect(nextThing(things, marks('left point'), { who: 'left', what: 'point' })).toEqual({ who: 'left', what: 'guard' }));
  it('passes over what is set', () => expect(nextThing(things, marks('left point', 'left guard'), { who: 'left', what: 'point' })).toEqual({ who: 'left', what: 'elbow' }));
  it('goes round to what was left out', () => expect(nextThing(things, marks('left guard', 'left elbow'), { who: 'left', what: 'elbow' })).toEqual({ who: 'left', what: 'point' }));
  it('goes over to the other fencer', () => expect(nextThing(things, marks('left point', 'left guard', 'left elbow', 'right point'), { who: 'left', what: 'elbow' })).toEqual({ who: 'right', what: 'guard' }));
  it('is none where all are set', () => {
    const all = marks(...['left', 'right'].flatMap((w) => things.map((t) => `${w} ${t}`)));
    expect(nextThing(things, all, { who: 'left', what: 'point' })).toBeNull();
  });
});

describe('one step through the things', () => {
  it('goes on', () => expect(stepThing(things, { who: 'left', what: 'point' }, 1)).toEqual({ who: 'left', what: 'guard' }));
  it('goes over to the other fencer', () => expect(stepThing(things, { who: 'left', what: 'elbow' }, 1)).toEqual({ who: 'right', what: 'point' }));
  it('goes round backwards', () => expect(stepThing(things, { who: 'left', what: 'point' }, -1)).toEqual({ who: 'right', what: 'elbow' }));
});

describe('the loupe', () => {
  const stage = { width: 800, height: 500 };
  const loupe = { width: 200, height: 220 };
  it('stays where it is while the point is far', () => {
    expect(loupeAt({ right: true, bottom: false }, { x: 100, y: 300 }, stage, loupe)).toEqual({ right: true, bottom: false });
    expect(loupeAt({ right: false, bottom: false }, { x: 500, y: 300 }, stage, loupe)).toEqual({ right: false, bottom: false });
  });
  it('gives way across', () => expect(loupeAt({ right: true, bottom: false }, { x: 580, y: 100 }, stage, loupe)).toEqual({ right: false, bottom: false }));
  it('gives way down where the stage is narrow', () => {
    expect(loupeAt({ right: true, bottom: false }, { x: 200, y: 100 }, { width: 390, height: 600 }, loupe)).toEqual({ right: true, bottom: true });
  });
  it('takes the furthest corner where it is near everywhere', () => {
    expect(loupeAt({ right: false, bottom: false }, { x: 100, y: 90 }, { width: 250, height: 200 }, loupe)).toEqual({ right: true, bottom: true });
  });
});
