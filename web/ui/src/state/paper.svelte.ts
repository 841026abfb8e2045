// Paper: one document under the hand. It is the only writer of its document.
//
// A gesture begins and ends with the hand (pointer down to pointer up, one key,
// one field left), never with a clock. Whatever changes in between is one step:
// one save, one undo. Saves go out one after the other, each on top of the one
// before; a gesture is never merged with another.

import type { Stamp } from '../api/client';

/** A stored state. */
export interface Stored<T> { stamp: Stamp; value: T }

/** Where papers are kept. */
export interface Store<T> {
  load(): Promise<Stored<T>>;
  /** Rejects with Conflict where base is not the current revision. */
  save(base: number, gesture: string, value: T): Promise<Stored<T>>;
  undo(base: number): Promise<Stored<T>>;
  redo(base: number): Promise<Stored<T>>;
}

/** The document was changed elsewhere; nothing was overwritten. */
export class Conflict extends Error {}
/** The store refuses this state: it will never take it. */
export class Rejected extends Error {}

export type Saving = 'saved' | 'saving' | 'waiting' | 'conflict' | 'refused';

interface Step<T> { gesture: string; value: T }

export class Paper<T> {
  /** The document as the hand has it; replaced as a whole, never changed in place. */
  value = $state.raw() as T;
  stamp = $state.raw() as Stamp;
  saving = $state<Saving>('saved');
  /** What to tell the person: empty where all is well. */
  trouble = $state('');
  /** True while a gesture is going on. */
  held = $state(false);

  #gesture = '';
  #before: T;
  #queue: Step<T>[] = [];
  #going: Promise<void> | null = null;
  #wait: (ms: number) => Promise<void>;

  constructor(private store: Store<T>, first: Stored<T>, wait = (ms: number) => new Promise<void>((r) => setTimeout(r, ms))) {
    this.value = first.value;
    this.stamp = first.stamp;
    this.#before = first.value;
    this.#wait = wait;
  }

  get canUndo() { return this.#queue.length > 0 || this.stamp.can_undo; }
  get canRedo() { return this.#queue.length === 0 && this.stamp.can_redo; }

  /** Begins a gesture; one that is going on is ended first. */
  begin(gesture: string) {
    if (this.held) this.end();
    this.#gesture = gesture;
    this.#before = this.value;
    this.held = true;
  }

  /** Changes the document within the gesture. change must not touch what it gets. */
  change(change: (value: T) => T) {
    if (!this.held) throw new Error('paper: change outside a gesture');
    this.value = change(this.value);
  }

  /** Ends the gesture and saves it; one that changed nothing leaves no step. */
  end() {
    if (!this.held) return;
    this.held = false;
    if (this.value === this.#before) return;
    this.#queue.push({ gesture: this.#gesture, value: this.value });
    void this.#drain();
  }

  /** Gives the gesture up: the document is as it was before. */
  cancel() {
    if (!this.held) return;
    this.held = false;
    this.value = this.#before;
  }

  /** A gesture of one change. */
  do(gesture: string, change: (value: T) => T) {
    this.begin(gesture);
    this.change(change);
    this.end();
  }

  /** Resolves when everything that was done is stored or refused. */
  async settled() { while (this.#going) await this.#going; }

  async undo() { await this.#step((base) => this.store.undo(base)); }
  async redo() { await this.#step((base) => this.store.redo(base)); }

  async #step(move: (base: number) => Promise<Stored<T>>) {
    if (this.held) this.end();
    await this.settled();
    if (this.saving === 'conflict' || this.saving === 'refused') return;
    try {
      this.#take(await move(this.stamp.revision));
    } catch (e) {
      if (e instanceof Conflict) await this.takeTheirs();
      else this.trouble = message(e);
    }
  }

  /** The server says that the document changed: followed only while the hand rests. */
  async changedElsewhere(revision: number) {
    if (revision === this.stamp.revision || this.held || this.#queue.length > 0 || this.#going || this.saving !== 'saved') return;
    const theirs = await this.store.load();
    if (theirs.stamp.revision === this.stamp.revision) return;
    if (!this.held && this.#queue.length === 0 && !this.#going) this.#take(theirs);
  }

  /** Settles a conflict: what the other window did stands, what was queued is dropped. */
  async takeTheirs() {
    this.#queue = [];
    this.held = false;
    this.#take(await this.store.load());
  }

  /** Settles a conflict: my last state goes on top of theirs, as one step that can be undone. */
  async putMineOnTop() {
    const mine = this.#queue[this.#queue.length - 1];
    const theirs = await this.store.load();
    this.stamp = theirs.stamp;
    this.saving = 'saved';
    this.trouble = '';
    this.#queue = mine ? [mine] : [];
    void this.#drain();
  }

  #take(stored: Stored<T>) {
    this.value = stored.value;
    this.stamp = stored.stamp;
    this.#before = stored.value;
    this.saving = 'saved';
    this.trouble = '';
  }

  #drain(): Promise<void> {
    if (!this.#going && this.saving !== 'conflict' && this.saving !== 'refused') {
      this.#going = this.#send().finally(() => {
        this.#going = null;
        // A gesture that ended between the last save and here is not left lying.
        if (this.#queue.length > 0) void this.#drain();
      });
    }
    return this.#going ?? Promise.resolve();
  }

  async #send() {
    let pause = 500;
    while (this.#queue.length > 0) {
      const step = this.#queue[0]!;
      this.saving = this.saving === 'waiting' ? 'waiting' : 'saving';
      try {
        const stored = await this.store.save(this.stamp.revision, step.gesture, step.value);
        this.#queue.shift();
        this.stamp = stored.stamp;
        // What the server fills in (scores, numbers) is taken over when the hand rests.
        if (this.#queue.length === 0 && !this.held) {
          this.value = stored.value;
          this.#before = stored.value;
        }
        this.saving = this.#queue.length > 0 ? 'saving' : 'saved';
        this.trouble = '';
        pause = 500;
      } catch (e) {
        if (e instanceof Conflict || e instanceof Rejected) {
          this.saving = e instanceof Conflict ? 'conflict' : 'refused';
          this.trouble = message(e);
          return;
        }
        this.saving = 'waiting';
        this.trouble = message(e);
        await this.#wait(pause);
        pause = Math.min(pause * 2, 8000);
      }
    }
  }

  /** Drops a step that the store refuses, and returns to what is stored. */
  async giveUp() { await this.takeTheirs(); }
}

function message(e: unknown): string { return e instanceof Error ? e.message : String(e); }
