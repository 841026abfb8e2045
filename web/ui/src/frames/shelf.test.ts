import { describe, expect, it } from 'vitest';
import { ahead, alike, frameAt, margin, Shelf } from './shelf';

describe('the shelf of pictures', () => {
  it('keeps within its budget and drops what is furthest from the hand', () => {
    const dropped: number[] = [];
    const s = new Shelf<number>(40, (v) => dropped.push(v));
    s.head(10, 1);
    for (const f of [8, 9, 10, 11, 12]) s.put(f, f, 10);
    expect(s.bytes).toBe(40);
    expect(dropped).toEqual([8]); // two behind counts for four ahead
    s.put(14, 14, 10);
    expect(dropped).toEqual([8, 14]); // nothing nearer is given up for it
    s.head(14, 1);
    s.put(14, 14, 10);
    expect(dropped).toEqual([8, 14, 9]);
  });
  it('says what it would rather not decode', () => {
    const s = new Shelf<number>(20);
    s.head(0, 1);
    s.put(0, 0, 10);
    s.put(1, 1, 10);
    expect(s.wants(2, 10)).toBe(false);
    s.head(2, 1);
    expect(s.wants(2, 10)).toBe(true);
  });
  it('replaces a picture without counting it twice', () => {
    const s = new Shelf<number>(100);
    s.put(1, 1, 10);
    s.put(1, 2, 20);
    expect(s.bytes).toBe(20);
    expect(s.get(1)).toBe(2);
  });
});

describe('a picture in use', () => {
  it('stays although it is the furthest', () => {
    const dropped: number[] = [];
    const s = new Shelf<number>(20, (v) => dropped.push(v));
    s.put(0, 0, 10);
    s.hold(0);
    s.head(50, 1);
    s.put(50, 50, 10);
    s.put(51, 51, 10);
    expect(s.has(0)).toBe(true);
    expect(dropped).toEqual([51]);
  });
  it('is given back when there is to be less', () => {
    const s = new Shelf<number>(100);
    for (const f of [0, 1, 2, 3]) s.put(f, f, 10);
    s.limit(20);
    expect(s.bytes).toBe(20);
    expect(s.has(0)).toBe(true);
  });
});

describe('how far ahead more is decoded', () => {
  it('is a third of what there is room for', () => expect(margin(300, 10)).toBe(10));
  it('is never nothing and never endless', () => {
    expect(margin(10, 10)).toBe(4);
    expect(margin(1e9, 10)).toBe(40);
  });
});

describe('whether a file is read alike on both sides', () => {
  const times = [0, 0.04, 0.08, 0.12];
  it('takes the same ends', () => expect(alike(times, 0.001, 0.12)).toBe(true));
  it('takes hidden pictures before the start', () => expect(alike(times, -0.2, 0.12)).toBe(true));
  it('refuses a list that is shifted by whole frames', () => {
    expect(alike(times, 0.08, 0.2)).toBe(false);
    expect(alike([0.08, 0.12, 0.16], 0, 0.08)).toBe(false);
  });
  it('refuses one that ends elsewhere', () => expect(alike(times, 0, 0.16)).toBe(false));
  it('refuses nothing at all', () => expect(alike([], 0, 0)).toBe(false));
});

describe('what is fetched ahead', () => {
  it('goes the way of the hand', () => expect(ahead(5, 1, 0, 9, 3)).toEqual([6, 7, 8]));
  it('goes back', () => expect(ahead(2, -1, 0, 9, 3)).toEqual([1, 0]));
  it('looks both ways at rest', () => expect(ahead(1, 0, 0, 9, 4)).toEqual([2, 0, 3, 4]));
  it('ends with the video', () => expect(ahead(9, 1, 0, 9, 3)).toEqual([]));
});

describe('which frame a time stamp is', () => {
  const times = [0, 0.033, 0.067, 0.1, 0.2];
  it('takes the nearest', () => {
    expect(frameAt(times, 0.034)).toBe(1);
    expect(frameAt(times, 0.19)).toBe(4);
  });
  it('takes none where none is near', () => {
    expect(frameAt(times, 0.15)).toBe(-1);
    expect(frameAt(times, 0.3)).toBe(-1);
    expect(frameAt(times, -0.05)).toBe(-1);
    expect(frameAt([], 0)).toBe(-1);
  });
});
