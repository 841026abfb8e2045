// The film before it is written: its pictures come from the server one by one, small,
// some of them ahead of the hand. Playing waits for a picture that is not there yet and
// shows no other in its place. No element of the page is known here.

import type { Schemas } from '../api/client';

export type FilmTold = Schemas['Film'];

/** Pictures a second of a preview: enough to judge a cut, few enough to come in time. */
export const PREVIEW_RATE = 10;
/** How many pictures are asked for ahead, and how many at once: a browser has six lines. */
const AHEAD = 14, AT_ONCE = 3;
/** How many pictures are kept: about a minute of preview. */
const KEPT = 600;

export interface Loader<P> {
  /** Fetches a picture; rejects where it does not come. */
  load(address: string): Promise<P>;
  /** Frees one that is no longer kept. */
  free?(picture: P): void;
}

export class Preview<P> {
  film = $state.raw<FilmTold | null>(null);
  /** The frame of the clip that is asked for; always one that the preview steps on. */
  at = $state(0);
  playing = $state(false);
  /** The picture that is shown, and of which frame it is. */
  picture = $state.raw<P | null>(null);
  shown = $state(-1);
  /** True while the picture that is asked for has not come. */
  waiting = $state(false);
  trouble = $state('');

  #kept = new Map<string, P>();
  #coming = new Map<string, Promise<void>>();
  #failed = new Set<string>();
  #ended = false;
  #carry = 0;

  constructor(private loader: Loader<P>, private width = 480) {}

  /** Frames of the clip from one picture of the preview to the next. */
  get step() { return this.film ? Math.max(1, Math.round(this.film.rate / PREVIEW_RATE)) : 1; }
  get last() { return this.film ? Math.max(0, this.film.frames - 1) : 0; }
  get seconds() { return this.film ? this.at / this.film.rate : 0; }
  /** The shot under the hand. */
  get shot() { return this.film?.shots.find((s) => this.at >= s.first && this.at < s.first + s.frames)?.shot ?? ''; }
  /** What is said at the frame. */
  get caption() {
    const t = this.seconds;
    return this.film?.cues.find((c) => t >= c.from_s && t < c.to_s)?.text ?? '';
  }

  /** Another state of the film: the hand stays at its time, pictures of shots that are the same stay. */
  lay(film: FilmTold | null) {
    if (film?.key === this.film?.key && film) return;
    this.film = film;
    this.#failed.clear();
    this.shown = -1;
    if (!film) { this.playing = false; this.picture = null; return; }
    this.seek(this.at);
  }

  seek(frame: number) {
    if (!this.film) return;
    this.at = this.#onStep(Math.max(0, Math.min(Math.round(frame), this.last)));
    this.trouble = '';
    this.#look();
  }
  /** To the first frame of a shot. */
  to(shot: string) {
    const s = this.film?.shots.find((x) => x.shot === shot);
    if (s) this.seek(s.first);
  }
  by(steps: number) { this.playing = false; this.seek(this.at + steps * this.step); }
  toggle() {
    if (!this.film) return;
    if (!this.playing && this.at + this.step > this.last) this.seek(0);
    this.playing = !this.playing;
    this.#carry = 0;
    this.#look();
  }

  /** Time goes on by so many seconds; a picture that has not come holds it. */
  tick(seconds: number) {
    if (!this.playing || !this.film || this.shown !== this.at) return;
    this.#carry += Math.min(seconds, 0.5) * this.film.rate;
    const steps = Math.floor(this.#carry / this.step);
    if (steps < 1) return;
    this.#carry -= steps * this.step;
    const next = this.at + steps * this.step;
    if (next > this.last) {
      this.playing = false;
      this.seek(this.last);
    } else this.seek(next);
  }

  end() {
    this.#ended = true;
    this.playing = false;
    for (const p of this.#kept.values()) this.loader.free?.(p);
    this.#kept.clear();
  }

  /** Frames within a shot are stepped from its first: a cut is always shown where it is. */
  #onStep(frame: number): number {
    const s = this.film!.shots.find((x) => frame < x.first + x.frames) ?? this.film!.shots.at(-1);
    if (!s) return 0;
    return s.first + Math.floor(Math.max(0, frame - s.first) / this.step) * this.step;
  }
  #address(frame: number): string {
    const s = this.film?.shots.find((x) => frame >= x.first && frame < x.first + x.frames);
    return s ? `${s.picture}/${frame - s.first}.jpg?width=${this.width}` : '';
  }
  /** Shows the picture of the frame, and asks for it and for those that come next. */
  #look() {
    const here = this.#address(this.at);
    const p = this.#kept.get(here);
    if (p !== undefined) {
      this.#kept.delete(here); // the latest is the last to go
      this.#kept.set(here, p);
      this.picture = p;
      this.shown = this.at;
      this.waiting = false;
    } else this.waiting = !!here && !this.#failed.has(here);
    this.#fetch();
  }
  #fetch() {
    if (!this.film || this.#ended) return;
    const ahead = this.playing ? AHEAD : 2;
    for (let k = 0, f = this.at; k <= ahead && f <= this.last && this.#coming.size < AT_ONCE; k++, f = this.#next(f)) {
      const a = this.#address(f);
      if (!a || this.#kept.has(a) || this.#coming.has(a) || this.#failed.has(a)) continue;
      this.#coming.set(a, this.loader.load(a).then((p) => this.#came(a, p), (e: Error) => { this.#failed.add(a); if (a === this.#address(this.at)) { this.trouble = e.message; this.playing = false; } })
        .finally(() => { this.#coming.delete(a); if (!this.#ended) this.#look(); }));
    }
  }
  #next(frame: number): number {
    const s = this.film!.shots.find((x) => frame >= x.first && frame < x.first + x.frames);
    const next = frame + this.step;
    return s && next >= s.first + s.frames ? s.first + s.frames : next;
  }
  #came(address: string, p: P) {
    if (this.#ended) { this.loader.free?.(p); return; }
    this.#kept.set(address, p);
    for (const [a, old] of this.#kept) {
      if (this.#kept.size <= KEPT) break;
      this.#kept.delete(a);
      this.loader.free?.(old);
    }
  }
}
