// A camera that turns and zooms shows the same direction of the hall elsewhere in each
// picture. The way of a point is drawn over the picture of now, so what other frames
// showed is carried there, by how the camera stood on both.

export interface Px { u: number; v: number }
type Turn = readonly number[]; // nine numbers, by rows; empty where it is not known

/** The inverse of three by three numbers; undefined where there is none. */
function inverse(m: Turn): number[] | undefined {
  const [a, b, c, d, e, f, g, h, i] = m as [number, number, number, number, number, number, number, number, number];
  const det = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
  if (!(Math.abs(det) > 0)) return undefined;
  return [e * i - f * h, c * h - b * i, b * f - c * e, f * g - d * i, a * i - c * g, c * d - a * f, d * h - e * g, b * g - a * h, a * e - b * d].map((x) => x / det);
}

function times(m: Turn, x: number, y: number, z: number): [number, number, number] {
  return [m[0]! * x + m[1]! * y + m[2]! * z, m[3]! * x + m[4]! * y + m[5]! * z, m[6]! * x + m[7]! * y + m[8]! * z];
}

export class Carrier {
  #inverses = new Map<number, number[] | undefined>();
  constructor(private readonly turns: readonly Turn[], private readonly first: number) {}

  #turn(frame: number): Turn | undefined {
    const t = this.turns[frame - this.first];
    return t?.length === 9 ? t : undefined;
  }

  /** Where the picture of one frame shows what another shows at p. Where nothing is known of the camera on both it is taken to stand still; where it is known on one alone, there is no answer. */
  to(frame: number, from: number, p: Px): Px | undefined {
    if (frame === from) return p;
    const a = this.#turn(from);
    const b = this.#turn(frame);
    if (!a && !b) return p;
    if (!a || !b) return undefined;
    if (!this.#inverses.has(from)) this.#inverses.set(from, inverse(a));
    const back = this.#inverses.get(from);
    if (!back) return undefined;
    const [x, y, z] = times(b, ...times(back, p.u, p.v, 1));
    return Math.abs(z) > 1e-12 ? { u: x / z, v: y / z } : undefined;
  }
}
