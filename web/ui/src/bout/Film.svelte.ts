// The film of a bout under the hand: where it is and how it runs. The video element
// only shows; what is asked of it is decided here.

import { frameAt } from '../state/times';
import { middleOf } from '../state/sheet';

export class Film {
  at = $state(0);
  length = $state(0);
  playing = $state(false);
  speed = $state(1);
  video: HTMLVideoElement | null = null;
  times: readonly number[] | null = null;

  seek(t: number) {
    const to = Math.max(0, Math.min(this.length || Infinity, t));
    this.at = to;
    if (this.video) this.video.currentTime = to;
  }

  /** One frame on or back: exactly where the time stamps are known, else by a 25th of a second. */
  step(by: number) {
    this.stop();
    if (!this.times || this.times.length < 2) {
      this.seek(this.at + by / 25);
      return;
    }
    const now = frameAt(this.times, this.at - (this.#half(this.at)));
    this.seek(middleOf(this.times, Math.max(0, Math.min(this.times.length - 1, now + by))));
  }

  #half(t: number): number {
    const f = frameAt(this.times!, t);
    return Math.max(0, middleOf(this.times!, f) - (this.times![f] ?? 0));
  }

  play(speed = this.speed) {
    this.speed = speed;
    if (!this.video) return;
    this.video.playbackRate = speed;
    this.video.play().catch(() => { this.playing = false; });
  }
  stop() { this.video?.pause(); }
  toggle() { if (this.playing) this.stop(); else this.play(); }
}
