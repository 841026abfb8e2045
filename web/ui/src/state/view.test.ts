import { describe, expect, it } from 'vitest';
import { fit, panned, revealed, toPicture, toStage, zoomed } from './view';

const picture = { width: 1280, height: 720 };
const stage = { width: 640, height: 480 };

describe('the view', () => {
  it('fits the picture and centres it', () => {
    expect(fit(picture, stage)).toEqual({ scale: 0.5, x: 0, y: 60 });
  });
  it('puts the centre of the first pixel half a pixel in', () => {
    expect(toStage({ scale: 2, x: 0, y: 0 }, { u: 0, v: 0 })).toEqual({ x: 1, y: 1 });
  });
  it('goes there and back', () => {
    const v = { scale: 3.7, x: -120.25, y: 14.5 };
    const p = toPicture(v, toStage(v, { u: 411.3, v: 20.75 }));
    expect(p.u).toBeCloseTo(411.3, 9);
    expect(p.v).toBeCloseTo(20.75, 9);
  });
  it('zooms about a point that stays where it is', () => {
    const v = zoomed(fit(picture, stage), { x: 320, y: 240 }, 4, picture, stage);
    const before = toPicture(fit(picture, stage), { x: 320, y: 240 });
    const after = toPicture(v, { x: 320, y: 240 });
    expect(after.u).toBeCloseTo(before.u, 6);
    expect(after.v).toBeCloseTo(before.v, 6);
  });
  it('never zooms out beyond the whole picture', () => {
    expect(zoomed(fit(picture, stage), { x: 1, y: 1 }, 0.01, picture, stage)).toEqual(fit(picture, stage));
  });
  it('leaves no gap at the edges', () => {
    const v = panned({ scale: 2, x: 0, y: 0 }, 999, 999, picture, stage);
    expect([v.x, v.y]).toEqual([0, 0]);
    const w = panned(v, -9999, -9999, picture, stage);
    expect([w.x, w.y]).toEqual([640 - 2560, 480 - 1440]);
  });
  it('brings a point into sight', () => {
    const v = { scale: 2, x: 0, y: 0 };
    expect(revealed(v, { u: 100, v: 100 }, picture, stage)).toBe(v);
    const s = toStage(revealed(v, { u: 900, v: 100 }, picture, stage), { u: 900, v: 100 });
    expect(s.x).toBeCloseTo(600, 6);
  });
});
