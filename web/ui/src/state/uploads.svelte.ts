// Videos on their way into the library. They go on while the pages change; one at a
// time, so that the first is there soonest.

import type { Schemas } from '../api/client';
import { secondsLeft, titleOf } from './salle';

type Media = Schemas['Media'];

/** Sends a file; progress is told as a share. Rejects with words for the person. */
export type Send = (file: File, bout: string, progress: (share: number) => void, signal: AbortSignal) => Promise<{ media: Media; bout: string }>;
/** Makes a bout for a file and returns its ID. */
export type MakeBout = (title: string) => Promise<string>;

export class Upload {
  share = $state(0);
  state = $state<'waiting' | 'going' | 'done' | 'cancelled' | 'failed'>('waiting');
  trouble = $state('');
  /** Seconds left; undefined while not known. */
  left = $state<number | undefined>(undefined);
  readonly abort = new AbortController();
  constructor(readonly file: File, readonly bout: string, /** Shows the film before it is copied. */ readonly preview: string) {}
  cancel() { this.abort.abort(); if (this.state === 'waiting') this.state = 'cancelled'; }
}

export class Uploads {
  all = $state.raw<Upload[]>([]);
  #going = false;

  constructor(private send: Send, private make: MakeBout, private preview: (f: File) => string = (f) => URL.createObjectURL(f), private drop: (url: string) => void = (url) => URL.revokeObjectURL(url), private now = () => performance.now() / 1000) {}

  /** Takes a file in; it belongs to a bout, or to a new one. Returns the bout at once. */
  async add(file: File, bout?: string): Promise<string> {
    const of = bout ?? (await this.make(titleOf(file.name)));
    this.all = [...this.all, new Upload(file, of, this.preview(file))];
    void this.#work();
    return of;
  }

  of(bout: string): Upload | undefined { return this.all.find((u) => u.bout === bout && (u.state === 'waiting' || u.state === 'going')); }

  /** Whether closing the window would lose a copy. */
  get busy(): boolean { return this.all.some((u) => u.state === 'waiting' || u.state === 'going'); }

  dismiss(u: Upload) {
    this.all = this.all.filter((x) => x !== u);
    this.drop(u.preview);
  }

  async #work() {
    if (this.#going) return;
    this.#going = true;
    for (;;) {
      const u = this.all.find((x) => x.state === 'waiting');
      if (!u) break;
      u.state = 'going';
      const started = this.now();
      try {
        await this.send(u.file, u.bout, (share) => {
          u.share = share;
          u.left = secondsLeft(share, this.now() - started);
        }, u.abort.signal);
        u.share = 1;
        u.state = 'done';
      } catch (e) {
        u.state = u.abort.signal.aborted ? 'cancelled' : 'failed';
        u.trouble = u.state === 'failed' ? (e instanceof Error ? e.message : String(e)) : '';
      }
    }
    this.#going = false;
  }
}
