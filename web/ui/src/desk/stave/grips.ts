// From the pointer on the page to instants on the stave: the only place of the stave
// where pixels of the page are known.

import { timeAt, type Geometry } from '../../state/stave';
import type { Part, StaveHand } from '../../state/stavehand.svelte';
import type { TrueSeconds } from '../../units';

type Held = (t: TrueSeconds, part: Part) => void;

export class Grips {
  /** Lets go of what is held; null while nothing is. */
  #let: (() => void) | null = null;

  constructor(private picture: () => HTMLElement | undefined, private geometry: () => Geometry | undefined, private hand: StaveHand) {}

  /** The instant under a place on the page. */
  time(clientX: number): TrueSeconds | undefined {
    const g = this.geometry();
    const r = this.picture()?.getBoundingClientRect();
    return g && r && r.width > 0 ? timeAt(g, ((clientX - r.left) / r.width) * g.width) : undefined;
  }

  /** How far the pointer must go to be a move of the hand, in CSS pixels. */
  static readonly still = 4;

  /** The handler of something that can be held; held says what it is that the hand takes. */
  on(held: Held) {
    return {
      onpointerdown: (e: PointerEvent) => {
        const t = this.time(e.clientX);
        if (e.button !== 0 || t === undefined) return;
        this.#let?.();
        held(t, ((e.target as HTMLElement).dataset.end as Part | undefined) ?? 'body');
        this.#follow(e.pointerId, e.clientX);
      },
    };
  }

  /** Listens on the whole page until the pointer is let go: what is held may be drawn anew meanwhile. */
  #follow(id: number, from: number) {
    let moved = false;
    const move = (e: PointerEvent) => {
      if (e.pointerId !== id) return;
      if (!moved && Math.abs(e.clientX - from) < Grips.still) return;
      moved = true;
      const t = this.time(e.clientX);
      if (t !== undefined) this.hand.drag(t);
    };
    const up = (e: PointerEvent) => {
      if (e.pointerId !== id) return;
      this.#let?.();
      if (e.type === 'pointerup') this.hand.drop();
      else this.hand.cancel();
    };
    addEventListener('pointermove', move);
    addEventListener('pointerup', up);
    addEventListener('pointercancel', up);
    this.#let = () => {
      removeEventListener('pointermove', move);
      removeEventListener('pointerup', up);
      removeEventListener('pointercancel', up);
      this.#let = null;
    };
  }

  /** The page goes: nothing is held any more. */
  close() {
    if (!this.#let) return;
    this.#let();
    this.hand.cancel();
  }
}
