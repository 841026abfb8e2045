// LiveReading: the reading of the touch as it stands on the desk, asked for again
// whenever something changed. One question is on its way at a time; of those that
// came up meanwhile only the newest is asked. What is shown stays until the next
// answer is there, and says whether it is of now.

import type { Live, Touch } from '../api/client';

/** Asks for a reading. */
export type Ask = (touch: Touch, signal: AbortSignal) => Promise<Live>;

export class LiveReading {
  answer = $state.raw<Live | null>(null);
  /** True while what is shown is of an older state: it is dimmed, never moved. */
  old = $state(true);
  trouble = $state('');

  #ask: Ask;
  #next: Touch | null = null;
  #going: AbortController | null = null;

  constructor(ask: Ask) { this.#ask = ask; }

  /** The touch is now this. */
  of(touch: Touch) {
    this.#next = touch;
    this.old = true;
    if (!this.#going) void this.#run();
  }

  close() { this.#next = null; this.#going?.abort(); }

  async #run() {
    while (this.#next) {
      const touch = this.#next;
      this.#next = null;
      this.#going = new AbortController();
      try {
        this.answer = await this.#ask(touch, this.#going.signal);
        this.trouble = '';
      } catch (e) {
        if (!this.#going.signal.aborted) this.trouble = e instanceof Error ? e.message : String(e);
      }
    }
    this.#going = null;
    this.old = false;
  }
}
