// Opens the exact frames of a video: decoded in the browser where it can, else from
// the server. When the browser gives up half-way, the server takes over and the page
// is told.

import type { Clip } from '../api/client';
import type { Frame } from '../units';
import { BrowserSource } from './browser';
import { ServerSource } from './server';
import type { FrameSource, Picture } from './source';

/** After this many milliseconds the server is asked for the frame as well. */
const PATIENCE = 3000;

export class EitherSource implements FrameSource {
  #now: FrameSource;
  #spare: FrameSource;
  #head: [Frame, number] | null = null;

  constructor(first: FrameSource, spare: FrameSource, private readonly patience = PATIENCE) {
    this.#now = first;
    this.#spare = spare;
  }

  get kind() { return this.#now.kind; }
  ready(frame: Frame) { return this.#now.ready(frame); }

  async get(frame: Frame, signal?: AbortSignal): Promise<Picture> {
    const asked = this.#now;
    if (asked === this.#spare) return asked.get(frame, signal);
    const first = asked.get(frame, signal).catch((e: unknown) => {
      if (signal?.aborted) throw e;
      this.fallBack();
      return this.#spare.get(frame, signal);
    });
    let timer: ReturnType<typeof setTimeout> | undefined;
    const second = new Promise<Picture>((done) => {
      timer = setTimeout(() => {
        if (!signal?.aborted) this.#spare.get(frame, signal).then(done, () => {}); // the first one tells what is wrong
      }, this.patience);
    });
    return Promise.race([first, second]).finally(() => clearTimeout(timer));
  }

  head(frame: Frame, direction: number) {
    this.#head = [frame, direction];
    this.#now.head(frame, direction);
  }

  shown(picture: Picture) { this.#now.shown(picture); }
  rest() { this.#now.rest(); }

  fallBack() {
    if (this.#now === this.#spare) return;
    const old = this.#now;
    this.#now = this.#spare;
    if (this.#head) this.#now.head(...this.#head);
    old.close();
  }

  close() {
    this.#now.close();
    this.#spare.close();
  }
}

/** told is called once if the browser stops decoding on the way. Fields come from the server: no browser takes a frame apart. */
export async function openFrames(sha: string, clip: Clip, times: readonly number[], fields: boolean, told: () => void): Promise<FrameSource> {
  const spare = new ServerSource(sha, times.length, undefined, undefined, fields);
  if (fields) return spare;
  if (clip.interlaced || new URLSearchParams(location.search).get('frames') === 'server') return spare;
  let either: EitherSource | null = null;
  const browser = await BrowserSource.open(`/media/${sha}/video`, times, clip, () => {
    either?.fallBack();
    told();
  });
  if (!browser) return spare;
  either = new EitherSource(browser, spare);
  return either;
}
