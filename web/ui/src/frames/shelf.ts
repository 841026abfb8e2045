// The pictures at hand, within a budget. What lies furthest from the hand goes
// first; what lies behind it counts twice as far, for it is asked for less.

import { frameNearest } from '../state/times';

export interface Kept<T> { value: T; bytes: number }

export class Shelf<T> {
  #kept = new Map<number, Kept<T>>();
  #bytes = 0;
  #head = 0;
  #direction = 0;
  #held = -1;

  constructor(private budget: number, private readonly drop: (value: T) => void = () => {}) {}

  get bytes() { return this.#bytes; }
  get size() { return this.#kept.size; }

  get(frame: number): T | undefined { return this.#kept.get(frame)?.value; }
  has(frame: number): boolean { return this.#kept.has(frame); }

  head(frame: number, direction: number) {
    this.#head = frame;
    this.#direction = direction;
  }

  /** The picture of this frame is in use: it is not given up. */
  hold(frame: number) { this.#held = frame; }

  /** From now on no more than this is kept. */
  limit(budget: number) {
    this.budget = budget;
    this.#trim();
  }

  /** Puts a picture on the shelf; returns false where it is further off than all that is there and there is no room. */
  put(frame: number, value: T, bytes: number): boolean {
    this.take(frame);
    this.#kept.set(frame, { value, bytes });
    this.#bytes += bytes;
    this.#trim();
    return this.#kept.has(frame);
  }

  #trim() {
    while (this.#bytes > this.budget && this.#kept.size > 1) this.take(this.#furthest());
  }

  /** True where a picture of this size would not push out one that is nearer to the hand. */
  wants(frame: number, bytes: number): boolean {
    if (this.#bytes + bytes <= this.budget || this.#kept.size === 0) return true;
    return this.distance(frame) < this.distance(this.#furthest());
  }

  take(frame: number) {
    const old = this.#kept.get(frame);
    if (!old) return;
    this.#kept.delete(frame);
    this.#bytes -= old.bytes;
    this.drop(old.value);
  }

  clear() { for (const f of [...this.#kept.keys()]) this.take(f); }

  distance(frame: number): number {
    const d = frame - this.#head;
    return d * this.#direction < 0 ? 2 * Math.abs(d) : Math.abs(d);
  }

  #furthest(): number {
    let worst = -1;
    let at = 0;
    for (const f of this.#kept.keys()) {
      const d = this.distance(f);
      if (f !== this.#held && d > worst) [worst, at] = [d, f];
    }
    return at;
  }
}

/** How near to the end of what is at hand the hand may come before more is fetched: a third of what there is room for, so that a whole group is decoded in good time and none twice. */
export function margin(budget: number, bytes: number): number {
  return Math.max(4, Math.min(40, Math.floor(budget / Math.max(1, bytes) / 3)));
}

/** Whether a file is read alike here and by the server: it begins and ends with the same time stamps. What lies before the time 0 of the file is hidden. */
export function alike(times: readonly number[], first: number, last: number): boolean {
  const n = times.length;
  if (n === 0) return false;
  const frame = n > 1 ? (times[n - 1]! - times[0]!) / (n - 1) : 0.04;
  const begins = first < 0 ? times[0]! > first - frame / 2 : Math.abs(first - times[0]!) < frame / 2;
  return begins && Math.abs(last - times[n - 1]!) < frame / 2;
}

/** The frames to fetch before they are asked for, the most urgent first: those ahead in the direction of travel, a few on both sides while the hand rests. */
export function ahead(head: number, direction: number, first: number, last: number, most: number): number[] {
  const out: number[] = [];
  for (let k = 1; out.length < most && (head + k <= last || head - k >= first); k++) {
    if (direction >= 0 && head + k <= last) out.push(head + k);
    if (direction <= 0 && head - k >= first) out.push(head - k);
    if (direction > 0 && head + k > last) break;
    if (direction < 0 && head - k < first) break;
  }
  return out.slice(0, most);
}

/** The frame whose time stamp this is, or −1 where it is none of them (off by more than half the distance to the next). */
export function frameAt(times: readonly number[], t: number): number {
  if (times.length === 0) return -1;
  const at = frameNearest(times, t);
  const near = times[at]!;
  const gap = Math.min(at > 0 ? near - times[at - 1]! : Infinity, at + 1 < times.length ? times[at + 1]! - near : Infinity);
  return Math.abs(t - near) <= (Number.isFinite(gap) ? gap / 2 : 0.5) ? at : -1;
}
