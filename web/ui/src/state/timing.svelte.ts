// TimingState: what the frame shown tells of the timing. It follows the frame once the
// hand rests, asks for the map when the rest has come, and asks each move of a slider
// at once. What is shown stays until the next answer is there, and says whether it is
// of now. No element of the page is known here.

import type { At, Change, Side, TimingAnswer, Touch } from '../api/client';
import { LiveReading, same, type Asks } from './live.svelte';

export interface TimingQuestion { touch: Touch; at: At; change?: Change }

/** What is asked for: all but the map, the map, what a change does, one picture on a wide sheet. */
export type TimingPart = 'here' | 'map' | 'change' | 'wide';

/** The door of the server for timing. */
export type TimingDoor = (part: TimingPart, question: TimingQuestion, signal?: AbortSignal, picture?: string) => Promise<TimingAnswer>;

/** How long the frame must stand before it is asked of, in milliseconds. */
export const REST = 120;

/** The sliders: what they change, in the unit that they show, and how far. */
export const sliders = [
  { field: 'closer_m', unit: 'cm', per: 100, least: -40, most: 40, step: 1 },
  { field: 'earlier_s', unit: 'ms', per: 1000, least: -200, most: 200, step: 5 },
  { field: 'longer_m', unit: 'cm', per: 100, least: -15, most: 15, step: 1 },
] as const;
export type Slider = (typeof sliders)[number];

/** Whether a change changes anything. */
export function changes(c: Change): boolean { return !!(c.closer_m || c.earlier_s || c.longer_m || c.target); }

/** The number that a slider shows; whole steps, whatever the field holds. */
export function shownBy(s: Slider, c: Change): number { return Math.round((c[s.field] ?? 0) * s.per); }

/** The change with a slider at another place; at 0 the field is gone. */
export function slid(c: Change, s: Slider, shown: number): Change {
  const { [s.field]: _, ...rest } = c;
  return shown === 0 ? rest : { ...rest, [s.field]: shown / s.per };
}

/** A note that the coach does not want to see, and back. */
export function dismissed(t: Touch, note: string, yes: boolean): Touch {
  const { dismissed: old = [], ...rest } = t;
  const all = old.filter((n) => n !== note);
  if (yes) all.push(note);
  return all.length > 0 ? { ...rest, dismissed: all } : rest;
}

/** Whose attack it is; empty leaves it to be computed. */
export function attackBy(t: Touch, who: Side | ''): Touch {
  const { attacker: _, ...rest } = t;
  return who ? { ...rest, attacker: who } : rest;
}

/** Runs something after a while; returns how to call it off. */
export type Later = (ms: number, run: () => void) => () => void;
const later: Later = (ms, run) => {
  const t = setTimeout(run, ms);
  return () => clearTimeout(t);
};

export class TimingState {
  /** What would be different; nothing at first. */
  change = $state.raw<Change>({ who: 'left' });

  readonly #here: LiveReading<TimingQuestion, TimingAnswer>;
  readonly #map: LiveReading<TimingQuestion, TimingAnswer>;
  readonly #changed: LiveReading<TimingQuestion, TimingAnswer>;
  #asked = $state.raw<TimingQuestion | null>(null);
  /** The question that is asked once the frame has stood. */
  #waiting = $state.raw<TimingQuestion | null>(null);
  #callOff = () => {};

  constructor(private readonly door: TimingDoor, private readonly later_: Later = later, wait?: (ms: number) => Promise<void>) {
    const ask = (part: TimingPart, done = (_: TimingQuestion) => {}): Asks<TimingQuestion, TimingAnswer> => async (q, signal) => {
      const answer = await door(part, q, signal);
      done(q);
      return answer;
    };
    // The map takes longest: it comes when the rest of the same frame is there.
    this.#here = new LiveReading(ask('here', (q) => { if (q === this.#asked) this.#map.of(q); }), wait);
    this.#map = new LiveReading(ask('map'), wait);
    this.#changed = new LiveReading(ask('change'), wait);
  }

  get answer(): TimingAnswer | null { return this.#here.answer; }
  /** True while what is shown is of another frame or of an older state. */
  get old(): boolean { return this.#here.old || this.#waiting !== null; }
  get trouble(): string { return this.#here.trouble; }
  get map(): TimingAnswer | null { return this.#map.answer; }
  get mapOld(): boolean { return this.old || this.#map.old; }
  /** What the change would do; null where nothing is changed. */
  get changed(): TimingAnswer | null { return changes(this.change) ? this.#changed.answer : null; }
  get changedOld(): boolean { return this.#waiting !== null || this.#changed.old; }
  get changedTrouble(): string { return changes(this.change) ? this.#changed.trouble : ''; }

  /** This touch and frame are shown now; busy while the hand holds something or the film runs. */
  look(touch: Touch, at: At, busy: boolean) {
    const q: TimingQuestion = { touch, at };
    this.#callOff();
    if (this.#asked && same(this.#asked, q)) {
      this.#waiting = null;
      return;
    }
    this.#waiting = q;
    if (busy) return;
    if (!this.#asked) this.#begin();
    else this.#callOff = this.later_(REST, () => this.#begin());
  }

  #begin() {
    const q = this.#waiting;
    if (!q) return;
    this.#asked = q;
    this.#waiting = null;
    this.#here.of(q);
    this.#askChange();
  }

  /** Changes what would be different; every move of a slider is asked at once. */
  set(change: Change) {
    this.change = change;
    this.#askChange();
  }
  #askChange() {
    if (this.#asked && changes(this.change)) this.#changed.of({ ...this.#asked, change: this.change });
  }

  /** Asks again: the page is drawn in another light, or what the bout says has changed. */
  again() {
    this.#here.again();
    this.#map.again();
    if (changes(this.change)) this.#changed.again();
  }

  /** One of the pictures on a wide sheet, of what is shown. */
  async wide(picture: string): Promise<string> {
    const q = picture === 'what_if' ? { ...this.#asked!, change: this.change } : this.#asked;
    return q ? ((await this.door('wide', q, undefined, picture)).pictures[picture] ?? '') : '';
  }

  close() {
    this.#callOff();
    this.#here.close();
    this.#map.close();
    this.#changed.close();
  }
}
