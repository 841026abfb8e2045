import { expect, it } from 'vitest';
import type { Mark, Placing, Take } from '../api/client';
import { framesSet } from './framesset';

const mark = (take: string, frame: number) => ({ take, frame }) as Mark;

it('lists the frames that carry something, in the order of the takes', () => {
  const got = framesSet({
    takes: [{ id: 'live' }, { id: 'replay' }] as Take[],
    placings: [{ take: 'live', frame: 7, points: [{}, {}], lines: [{}] } as unknown as Placing],
    marks: [mark('replay', 3), mark('live', 12), mark('live', 7), mark('live', 7)],
  });
  expect(got).toEqual([
    { take: 'live', frame: 7, points: 3, marks: 2 },
    { take: 'live', frame: 12, points: 0, marks: 1 },
    { take: 'replay', frame: 3, points: 0, marks: 1 },
  ]);
});
