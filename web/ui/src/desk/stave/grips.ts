// From the pointer on the page to instants on the stave: the only place of the stave
// where pixels of the page are known.

import { timeAt, type Geometry } from '../../state/stave';
import type { Part, StaveHand } from '../../state/stavehand.svelte';
import type { TrueSeconds } from '../../units';

type Held = (t: TrueSeconds, part: Part) => void;

export class Grips {
  #from: { x: number; id: number } | null = null;
  #moved = false;

  constructor(private picture: () => HTMLElement | undefined, private geometry: () => Geometry | undefined, private hand: StaveHand) {}

  /** The instant under a place on the page. */
  time(clientX: number): TrueSeconds | undefined {
    const g = this.geometry();
    const r = this.picture()?.getBoundingClientRect();
    return g && r && r.width > 0 ? timeAt(g, ((clientX - r.left) / r.width) * g.width) : undefined;
  }

  /** How far two instants must be apart on the page to be a move of the hand, in CSS pixels. */
  static readonly still = 4;

  /** The handlers of something that can be held; held says what it is that the hand takes. */
  on(held: Held) {
    return {
      onpointerdown: (e: PointerEvent) => {
        const t = this.time(e.clientX);
        if (e.button !== 0 || t === undefined) return;
        (e.currentTarget as HTMLElement).setPointerCapture(e.pointerId);
        this.#from = { x: e.clientX, id: e.pointerId };
        this.#moved = false;
        held(t, ((e.target as HTMLElement).dataset.end as Part | undefined) ?? 'body');
      },
      onpointermove: (e: PointerEvent) => {
        if (this.#from?.id !== e.pointerId) return;
        if (!this.#moved && Math.abs(e.clientX - this.#from.x) < Grips.still) return;
        this.#moved = true;
        const t = this.time(e.clientX);
        if (t !== undefined) this.hand.drag(t);
      },
      onpointerup: (e: PointerEvent) => {
        if (this.#from?.id !== e.pointerId) return;
        this.#from = null;
        this.hand.drop();
      },
      onpointercancel: (e: PointerEvent) => {
        if (this.#from?.id !== e.pointerId) return;
        this.#from = null;
        this.hand.cancel();
      },
    };
  }
}
