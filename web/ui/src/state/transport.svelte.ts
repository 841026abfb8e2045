// Transport: which take and which frame is shown, and how it runs. It knows the
// time stamps of the file, so playing follows the file and not a frame rate.

import type { Take } from '../api/client';
import { frameNo, type Frame } from '../units';

/** How fast it can play, against the file's own clock. */
export const speeds = [0.125, 0.25, 0.5, 1, 2];

export class Transport {
  take = $state('');
  frame = $state<Frame>(frameNo(0));
  /** How fast it plays against the file's own clock; 0 stands still, below 0 runs back. */
  rate = $state(0);
  /** How fast it plays when it is told to. */
  speed = $state(0.25);
  /** Which way the hand last went: −1, 0 or 1. */
  direction = $state(0);

  #takes: Take[] = [];
  #times: Record<string, readonly number[]> = {};
  #at = 0; // file seconds while playing

  setTakes(takes: Take[]) {
    this.#takes = takes;
    if (!takes.some((t) => t.id === this.take) && takes[0]) this.show(takes[0].id);
  }
  /** Time stamps of a video, by its name in the touch. */
  setTimes(video: string, times: readonly number[]) { this.#times[video] = times; }

  get current(): Take | undefined { return this.#takes.find((t) => t.id === this.take); }
  get first(): Frame { return frameNo(this.current?.from ?? 0); }
  get last(): Frame { return frameNo(this.current?.to ?? 0); }

  show(take: string, frame?: Frame) {
    this.rate = 0;
    this.take = take;
    this.seek(frame ?? (frameNo(this.current?.from ?? 0)));
  }

  seek(frame: Frame) {
    const to = frameNo(Math.max(this.first, Math.min(this.last, Math.round(frame))));
    this.direction = Math.sign(to - this.frame);
    this.frame = to;
  }

  step(by: number) { this.rate = 0; this.seek(frameNo(this.frame + by)); }

  play(rate: number) {
    const times = this.#now();
    this.#at = times?.[this.frame] ?? 0;
    this.rate = rate;
  }

  /** Plays or stops. */
  toggle() {
    if (this.rate === 0) this.play(this.speed);
    else this.rate = 0;
  }

  /** Plays this way; once more and it goes faster, up to the fastest. */
  shuttle(way: 1 | -1) {
    const on = this.rate * way > 0;
    if (on) this.speed = speeds[speeds.indexOf(this.speed) + 1] ?? this.speed;
    this.play(way * this.speed);
  }

  /** Plays at another speed from now on, the way it goes. */
  setSpeed(speed: number) {
    this.speed = speed;
    if (this.rate !== 0) this.play(Math.sign(this.rate) * speed);
  }

  /** Goes on by this many seconds of the wall clock; the page calls it once a repaint. */
  tick(seconds: number) {
    const times = this.#now();
    if (this.rate === 0 || !times) return;
    this.#at += seconds * this.rate;
    let f: number = this.frame;
    if (this.rate > 0) while (f < this.last && (times[f + 1] ?? Infinity) <= this.#at) f++;
    else while (f > this.first && (times[f] ?? -Infinity) > this.#at) f--;
    if (f !== this.frame) this.seek(frameNo(f));
    if ((this.rate > 0 && f >= this.last) || (this.rate < 0 && f <= this.first)) this.rate = 0;
  }

  #now(): readonly number[] | undefined {
    const take = this.current;
    return take ? this.#times[take.video] : undefined;
  }
}
