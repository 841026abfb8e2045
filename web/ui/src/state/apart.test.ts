import { describe, expect, it } from 'vitest';
import { apart } from './apart';

const at = (x: number, y: number, up: boolean, width = 100) => ({ x, y, up, width });

describe('words on a picture', () => {
  it('stay where they are when nothing lies on them', () => {
    expect(apart([at(0, 0, true), at(100, 0, true), at(0, 20, false)], 18)).toEqual([0, 0, 20]);
  });
  it('give way to those before them, each in its own direction', () => {
    expect(apart([at(0, 0, true), at(60, 5, true), at(10, -2, true)], 18)).toEqual([0, -31, -56]);
    expect(apart([at(0, 0, false), at(60, 5, false)], 18)).toEqual([0, 23]);
  });
  it('never lie on each other, however many there are', () => {
    const ys = apart(Array.from({ length: 12 }, (_, i) => at(i * 3, i % 5, i % 2 === 0)), 18).sort((a, b) => a - b);
    for (let i = 1; i < ys.length; i++) expect(ys[i]! - ys[i - 1]!).toBeGreaterThanOrEqual(18 - 1e-9);
  });
});
