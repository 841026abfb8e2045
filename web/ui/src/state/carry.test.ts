import { describe, expect, it } from 'vitest';
import { Carrier } from './carry';

/** K·R of a camera with this focal length, panned by an angle about the vertical. */
function turn(focal: number, pan: number): number[] {
  const [c, s] = [Math.cos(pan), Math.sin(pan)];
  const r = [[c, 0, -s], [0, 1, 0], [s, 0, c]];
  const k = [[focal, 0, 640], [0, focal, 360], [0, 0, 1]];
  return k.flatMap((row) => [0, 1, 2].map((j) => row.reduce((sum, x, i) => sum + x * r[i]![j]!, 0)));
}
/** Where such a camera shows a direction: the pinhole written out. */
function shows(focal: number, pan: number, [x, y, z]: [number, number, number]) {
  const [c, s] = [Math.cos(pan), Math.sin(pan)];
  const depth = s * x + c * z;
  return { u: 640 + (focal * (c * x - s * z)) / depth, v: 360 + (focal * y) / depth };
}

describe('a camera that turns', () => {
  const carrier = new Carrier([turn(1200, 0), turn(1200, 0.05), turn(1500, -0.02), []], 10);
  it('carries what one picture shows to where another shows it', () => {
    for (const d of [[0, 0, 1], [0.2, -0.1, 1], [-0.3, 0.15, 1]] as [number, number, number][]) {
      const got = carrier.to(11, 10, shows(1200, 0, d))!;
      const want = shows(1200, 0.05, d);
      expect(got.u).toBeCloseTo(want.u, 6);
      expect(got.v).toBeCloseTo(want.v, 6);
      const zoomed = carrier.to(12, 11, want)!;
      expect(zoomed.u).toBeCloseTo(shows(1500, -0.02, d).u, 6);
    }
  });
  it('says nothing where the camera is known on one frame alone, and stands still where it is on none', () => {
    expect(carrier.to(13, 10, { u: 1, v: 2 })).toBeUndefined();
    expect(carrier.to(14, 13, { u: 1, v: 2 })).toEqual({ u: 1, v: 2 });
    expect(new Carrier([], 0).to(5, 9, { u: 1, v: 2 })).toEqual({ u: 1, v: 2 });
  });
});
