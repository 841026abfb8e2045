// Pictures from the server, by frame number: works for every video that the server
// can read.

import { frameNo, type Frame } from '../units';
import { ahead, Shelf } from './shelf';
import type { FrameSource, Picture } from './source';

/** Bytes of decoded pictures kept: some 60 of 720p. */
const BUDGET = 224 << 20;
/** What is kept of a video that is not on the stage. */
const RESTING = 32 << 20;
/** Pictures fetched ahead of the hand, and how many at a time. */
const AHEAD = 16;
const AT_ONCE = 3;

type Fetch = (url: string, init: { signal: AbortSignal }) => Promise<Response>;
type Decode = (blob: Blob) => Promise<ImageBitmap>;

interface Going { abort: AbortController; picture: Promise<Picture>; wanted: boolean }

export class ServerSource implements FrameSource {
  readonly kind = 'server';
  #shelf = new Shelf<Picture>(BUDGET, (p) => (p.image as ImageBitmap).close?.());
  #going = new Map<number, Going>();
  #head = 0;
  #direction = 0;
  #closed = false;

  constructor(
    private readonly sha: string,
    private readonly frames: number,
    private readonly fetcher: Fetch = (url, init) => fetch(url, init),
    private readonly decode: Decode = (blob) => createImageBitmap(blob),
    private readonly fields = false,
  ) {}

  ready(frame: Frame): Picture | undefined { return this.#shelf.get(frame); }

  async get(frame: Frame, signal?: AbortSignal): Promise<Picture> {
    const kept = this.#shelf.get(frame);
    if (kept) return kept;
    const going = this.#fetch(frame, true);
    if (!signal) return going;
    return Promise.race([
      going,
      new Promise<never>((_, fail) => {
        if (signal.aborted) fail(signal.reason);
        signal.addEventListener('abort', () => fail(signal.reason), { once: true });
      }),
    ]);
  }

  head(frame: Frame, direction: number) {
    this.#head = frame;
    this.#direction = direction;
    this.#shelf.head(frame, direction);
    this.#shelf.limit(BUDGET);
    const wanted = new Set(ahead(frame, direction, 0, this.frames - 1, AHEAD));
    for (const [f, g] of this.#going) {
      if (f === frame || wanted.has(f)) continue;
      g.abort.abort();
      this.#going.delete(f);
    }
    this.#prefetch();
  }

  shown(picture: Picture) { this.#shelf.hold(picture.frame); }

  rest() {
    for (const g of this.#going.values()) g.abort.abort();
    this.#shelf.hold(-1);
    this.#shelf.limit(RESTING);
  }

  close() {
    this.#closed = true;
    for (const g of this.#going.values()) g.abort.abort();
    this.#shelf.clear();
  }

  #prefetch() {
    if (this.#closed) return;
    for (const f of ahead(this.#head, this.#direction, 0, this.frames - 1, AHEAD)) {
      if (this.#going.size >= AT_ONCE) return;
      if (!this.#shelf.has(f) && !this.#going.has(f)) this.#fetch(f, false).catch(() => {});
    }
  }

  #fetch(frame: number, wanted: boolean): Promise<Picture> {
    const old = this.#going.get(frame);
    if (old && !old.abort.signal.aborted) {
      old.wanted ||= wanted;
      return old.picture;
    }
    const abort = new AbortController();
    const picture = (async () => {
      const answer = await this.fetcher(`/media/${this.sha}/frame/${frame}.jpg${this.fields ? '?fields=1' : ''}`, { signal: abort.signal });
      if (!answer.ok) throw new Error((await answer.text()).trim() || answer.statusText);
      const image = await this.decode(await answer.blob());
      const p: Picture = { frame: frameNo(frame), image, width: image.width, height: image.height };
      if (this.#closed) throw new Error('closed');
      this.#shelf.put(frame, p, image.width * image.height * 4);
      return p;
    })();
    const going: Going = { abort, picture, wanted };
    this.#going.set(frame, going);
    const over = () => {
      if (this.#going.get(frame) === going) this.#going.delete(frame);
      this.#prefetch();
    };
    picture.then(over, () => { if (this.#going.get(frame) === going) this.#going.delete(frame); });
    return picture;
  }
}
