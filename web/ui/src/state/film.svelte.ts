// The film of a bout under the hand: where it is and how it runs. The player only
// shows; what is asked of it is decided here, so that it can be tried without one.

import { middleOf, shownAt } from './sheet';

/** As much of a video element as the film needs. */
export interface Player {
  currentTime: number;
  playbackRate: number;
  readonly seeking: boolean;
  play(): Promise<void>;
  pause(): void;
}

/** How fast L and J go, press by press. */
const rates = [1, 2, 4];

export class Film {
  /** The instant of the file that is shown or asked for, in seconds. */
  at = $state(0);
  length = $state(0);
  playing = $state(false);
  /** Speed of playing on. */
  speed = $state(1);
  /** Speed of going back; 0 while it does not. */
  backwards = $state(0);
  player: Player | null = null;
  /** The time stamp of every frame; null until they are known. */
  times: readonly number[] | null = null;
  #asked: number | null = null;

  /** Shows this instant. While the player still looks for an earlier one, only the newest is kept: a bar that is dragged never waits for what it has passed. */
  seek(t: number) {
    this.at = Math.max(0, Math.min(this.length || Infinity, t));
    if (!this.player) return;
    if (this.player.seeking) this.#asked = this.at;
    else this.player.currentTime = this.#safe(this.at);
  }

  /** The player found what it was asked for. */
  found() {
    const next = this.#asked;
    this.#asked = null;
    if (next !== null && this.player) this.player.currentTime = this.#safe(next);
  }

  /** The player shows this instant while it runs on. */
  shows(t: number) { if (this.playing) this.at = t; }

  /** A file is there; a film that goes on in another copy of it stays where it was. */
  loaded(length: number) {
    this.length = Number.isFinite(length) ? length : 0;
    this.#asked = null;
    if (this.at > 0) this.seek(this.at);
  }

  /** Another film is laid in. */
  other() {
    this.stop();
    this.at = 0;
    this.length = 0;
    this.times = null;
    this.#asked = null;
  }

  /** One frame on or back: exactly where the time stamps are known, else by a 25th of a second. */
  step(by: number) {
    this.stop();
    if (!this.times || this.times.length < 2) {
      this.seek(this.at + by / 25);
      return;
    }
    const to = Math.max(0, Math.min(this.times.length - 1, shownAt(this.times, this.at) + by));
    this.seek(middleOf(this.times, to));
  }

  play(speed = this.speed) {
    this.backwards = 0;
    this.speed = speed;
    if (!this.player) return;
    if (this.length > 0 && this.at >= this.length - 0.05) this.seek(0);
    this.player.playbackRate = speed;
    this.player.play().catch(() => { this.playing = false; });
  }

  stop() {
    this.backwards = 0;
    if (!this.playing) return;
    this.player?.pause();
  }

  /** The player stands. */
  stands(at: number) {
    if (this.playing) this.at = at;
    this.playing = false;
  }

  toggle() { if (this.playing || this.backwards > 0) this.stop(); else this.play(); }

  /** Plays on; pressed again, faster. */
  faster() { this.play(this.playing ? (rates[rates.indexOf(this.speed) + 1] ?? rates.at(-1)!) : Math.max(1, rates.includes(this.speed) ? this.speed : 1)); }

  /** Goes back; pressed again, faster. No player plays backwards, so it is led back: see tick. */
  goBack() {
    const was = this.backwards;
    this.stop();
    this.backwards = was ? (rates[rates.indexOf(was) + 1] ?? rates.at(-1)!) : 1;
  }

  /** So many seconds have gone by while it goes back. */
  tick(seconds: number) {
    if (this.backwards === 0) return;
    this.seek(this.at - this.backwards * seconds);
    if (this.at === 0) this.backwards = 0;
  }

  /** Seeking to the very time stamp of a frame may show the one before; the middle of its stay never does. */
  #safe(t: number): number { return this.times && this.times.length > 1 ? middleOf(this.times, shownAt(this.times, t)) : t; }
}
