// LiveReading: the reading of the touch as it stands on the desk, asked for again
// whenever something changed; or the answer to another question about it. One question is on its way at a time; of those that
// came up meanwhile only the newest is asked. What is shown stays until the next
// answer is there, and says whether it is of now. A question that nobody answered
// is asked again after a while; one that was refused is not.

import type { Live, Touch } from '../api/client';

/** Asks for an answer; rejects with Unreadable where asking again would not help. */
export type Asks<Q, A> = (question: Q, signal: AbortSignal) => Promise<A>;
/** Asks for a reading of the touch. */
export type Ask = Asks<Touch, Live>;

/** The touch as it stands cannot be read at all. */
export class Unreadable extends Error {}

export class LiveReading<Q = Touch, A = Live> {
  answer = $state.raw<A | null>(null);
  /** True while what is shown is of an older state: it is dimmed, never moved. */
  old = $state(true);
  trouble = $state('');

  #ask: Asks<Q, A>;
  #wait: (ms: number) => Promise<void>;
  #next: Q | null = null;
  #last: Q | null = null;
  #going: AbortController | null = null;
  #closed = false;

  constructor(ask: Asks<Q, A>, wait = (ms: number) => new Promise<void>((r) => setTimeout(r, ms))) {
    this.#ask = ask;
    this.#wait = wait;
  }

  /** The touch is now this. One that says the same as the last is not asked for again. */
  of(question: Q) {
    if (this.#last && same(this.#last, question)) return;
    this.#begin(question);
  }

  #begin(question: Q) {
    this.#next = question;
    this.#last = question;
    this.old = true;
    if (!this.#going) void this.#run();
  }

  /** Asks again: the page is drawn for another width or another light. */
  again() { if (this.#last) this.#begin(this.#last); }

  close() { this.#closed = true; this.#next = null; this.#going?.abort(); }

  async #run() {
    let pause = 500;
    while (this.#next && !this.#closed) {
      const question: Q = this.#next;
      this.#next = null;
      const going = this.#going = new AbortController();
      try {
        this.answer = await this.#ask(question, going.signal);
        this.trouble = '';
        pause = 500;
        this.old = this.#next !== null;
      } catch (e) {
        if (going.signal.aborted) break;
        this.trouble = e instanceof Error ? e.message : String(e);
        if (e instanceof Unreadable) continue;
        await this.#wait(pause);
        pause = Math.min(pause * 2, 8000);
        this.#next ??= question;
      }
    }
    this.#going = null;
  }
}

/** Whether two values say the same on the wire: the order of names does not count, nor what is undefined. */
export function same(a: unknown, b: unknown): boolean {
  if (a === b) return true;
  if (typeof a !== 'object' || typeof b !== 'object' || !a || !b || Array.isArray(a) !== Array.isArray(b)) return false;
  const [x, y] = [a as Record<string, unknown>, b as Record<string, unknown>];
  return [...new Set([...Object.keys(x), ...Object.keys(y)])].every((k) => same(x[k], y[k]));
}
