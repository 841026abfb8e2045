// Pictures decoded in the browser: the file is read by ranges, a group of pictures
// is decoded as a whole, from its key frame on, and kept within a budget. Which
// frame a picture is, is decided by the server's list of time stamps alone.

import { frameNo, type Frame } from '../units';
import { alike, frameAt, margin, Shelf } from './shelf';
import type { FrameSource, Picture } from './source';

/** Bytes of decoded pictures kept: some 100 of 720p, three groups of one second. */
const BUDGET = 384 << 20;
/** What is kept of a video that is not on the stage. */
const RESTING = 32 << 20;

/** How often a part of the file is asked for again, each time after twice as long: for some 15 s. */
const RETRIES = 6;

/** A run of frames that is decoded together: from a key frame to before the next. */
interface Run { from: number; to: number; start: number; end: number }
/** Decoding under way: at is the last frame that came. */
interface Going { run: Run; at: number; stop: boolean }

type Mediabunny = typeof import('mediabunny');

export class BrowserSource implements FrameSource {
  readonly kind = 'browser';
  #shelf = new Shelf<Picture>(BUDGET, (p) => (p.image as ImageBitmap).close());
  #runs = new Map<number, Run>(); // by the first frame
  #waiting = new Map<number, { done: (p: Picture) => void; fail: (e: unknown) => void }[]>();
  #decoding: Going | null = null;
  #head = 0;
  #direction = 0;
  #closed = false;
  #resting = false;
  #failed: unknown = null;
  #opening = false; // nobody is told of a failure that open itself answers
  #wanted: number[] = []; // frames that somebody waits for, the newest last

  private constructor(
    private readonly times: readonly number[],
    private readonly sink: InstanceType<Mediabunny['VideoSampleSink']>,
    private readonly packets: InstanceType<Mediabunny['EncodedPacketSink']>,
    private readonly input: InstanceType<Mediabunny['Input']>,
    private readonly size: { width: number; height: number },
    private readonly lost: (e: unknown) => void,
  ) {}

  /** Opens a video; null where the browser cannot decode it. lost is called when decoding fails later on. */
  static async open(url: string, times: readonly number[], size: { width: number; height: number }, lost: (e: unknown) => void): Promise<BrowserSource | null> {
    if (typeof VideoDecoder === 'undefined') return null;
    const { ALL_FORMATS, EncodedPacketSink, Input, UrlSource, VideoSampleSink } = await import('mediabunny');
    // One connection a video: a browser has six for all that a page asks for.
    const input = new Input({ formats: ALL_FORMATS, source: new UrlSource(url, { parallelism: 1, getRetryDelay: (before) => (before < RETRIES ? 0.25 * 2 ** before : null) }) });
    try {
      const track = await input.getPrimaryVideoTrack();
      if (!track || !(await track.canDecode())) throw new Error('no track that can be decoded');
      const packets = new EncodedPacketSink(track);
      const last = await packets.getPacket(Infinity, { metadataOnly: true });
      if (!last || !alike(times, await track.getFirstTimestamp(), last.timestamp)) throw new Error('the time stamps are read otherwise');
      const source = new BrowserSource(times, new VideoSampleSink(track), packets, input, size, lost);
      source.#opening = true;
      await source.get(frameNo(0));
      source.#opening = false;
      return source;
    } catch {
      input.dispose();
      return null;
    }
  }

  ready(frame: Frame): Picture | undefined { return this.#shelf.get(frame); }

  get(frame: Frame, signal?: AbortSignal): Promise<Picture> {
    const kept = this.#shelf.get(frame);
    if (kept) return Promise.resolve(kept);
    if (this.#failed) return Promise.reject(this.#failed);
    return new Promise((done, fail) => {
      const entry = { done, fail };
      const list = this.#waiting.get(frame) ?? [];
      list.push(entry);
      this.#waiting.set(frame, list);
      signal?.addEventListener('abort', () => {
        this.#waiting.set(frame, (this.#waiting.get(frame) ?? []).filter((e) => e !== entry));
        fail(signal.reason);
      }, { once: true });
      this.#wanted = [...this.#wanted.filter((f) => f !== frame), frame];
      const going = this.#decoding;
      if (going && (frame <= going.at || frame < going.run.from || frame > going.run.to)) going.stop = true;
      void this.#work();
    });
  }

  head(frame: Frame, direction: number) {
    this.#resting = false;
    this.#head = frame;
    this.#direction = direction;
    this.#shelf.head(frame, direction);
    this.#shelf.limit(BUDGET);
    void this.#work();
  }

  shown(picture: Picture) { this.#shelf.hold(picture.frame); }

  rest() {
    if (this.#decoding) this.#decoding.stop = true;
    this.#resting = true;
    this.#shelf.hold(-1);
    this.#shelf.limit(RESTING);
  }

  close() {
    this.#closed = true;
    if (this.#decoding) this.#decoding.stop = true;
    this.#shelf.clear();
    this.input.dispose();
  }

  /** The next frame to decode for: one that is waited for, else one that the hand will soon reach. */
  #next(): number | null {
    while (this.#wanted.length > 0) {
      const f = this.#wanted[this.#wanted.length - 1]!;
      if ((this.#waiting.get(f)?.length ?? 0) > 0 && !this.#shelf.has(f)) return f;
      this.#wanted.pop();
    }
    if (this.#resting) return null;
    const last = this.times.length - 1;
    const steps = this.#direction === 0 ? [1, -1] : [this.#direction];
    const bytes = this.size.width * this.size.height * 4;
    const near = margin(BUDGET, bytes);
    for (const step of steps) {
      for (let k = 0; k <= near; k++) {
        const f = this.#head + k * step;
        if (f < 0 || f > last) break;
        if (this.#shelf.has(f)) continue;
        if (this.#shelf.wants(f, bytes)) return f;
        break;
      }
    }
    return null;
  }

  async #work() {
    if (this.#decoding || this.#closed || this.#failed) return;
    const frame = this.#next();
    if (frame === null) return;
    // Taken at once, so that no second worker starts while the run is looked up.
    const going: Going = { run: { from: frame, to: frame, start: 0, end: 0 }, at: -1, stop: false };
    this.#decoding = going;
    try {
      going.run = await this.#runOf(frame);
      await this.#decode(going, frame);
    } catch (e) {
      this.#fail(e);
    } finally {
      this.#decoding = null;
    }
    void this.#work();
  }

  #fail(e: unknown) {
    if (this.#closed) return;
    this.#failed = e;
    for (const list of this.#waiting.values()) for (const w of list) w.fail(e);
    this.#waiting.clear();
    if (!this.#opening) this.lost(e);
  }

  async #runOf(frame: number): Promise<Run> {
    for (const r of this.#runs.values()) if (frame >= r.from && frame <= r.to) return r;
    const t = this.times[frame]! + 1e-4; // files round their time stamps
    const key = (await this.packets.getKeyPacket(t, { metadataOnly: true })) ?? (await this.packets.getFirstKeyPacket({ metadataOnly: true }));
    if (!key) throw new Error('the file has no key frame');
    const next = await this.packets.getNextKeyPacket(key, { metadataOnly: true });
    const from = Math.max(0, frameAt(this.times, key.timestamp));
    const end = next ? next.timestamp : Infinity;
    let to = this.times.length - 1;
    if (next) to = Math.max(from, (frameAt(this.times, next.timestamp) === -1 ? frame + 1 : frameAt(this.times, next.timestamp)) - 1);
    const run = { from, to, start: key.timestamp, end };
    if (frame >= from && frame <= to) this.#runs.set(from, run);
    return run;
  }

  async #decode(going: Going, aim: number) {
    const { run } = going;
    if (aim < run.from || aim > run.to) throw new Error(`no group of pictures has frame ${aim}`);
    const seen = new Set<number>();
    const bytes = this.size.width * this.size.height * 4;
    for await (const sample of this.sink.samples(run.start, run.end)) {
      try {
        if (this.#closed) return;
        const frame = frameAt(this.times, sample.timestamp);
        if (frame < run.from || frame > run.to) continue; // hidden, or of another run
        if (seen.has(frame)) throw new Error(`two pictures claim to be frame ${frame}`);
        seen.add(frame);
        going.at = frame;
        const wanted = (this.#waiting.get(frame)?.length ?? 0) > 0;
        if (this.#shelf.has(frame) || (!wanted && !this.#shelf.wants(frame, bytes))) continue;
        const picture = await this.#picture(frame, sample);
        if (this.#closed) { (picture.image as ImageBitmap).close(); return; }
        this.#shelf.put(frame, picture, bytes);
        for (const w of this.#waiting.get(frame) ?? []) w.done(picture);
        this.#waiting.delete(frame);
      } finally {
        sample.close();
      }
      if (going.stop && (seen.has(aim) || !this.#waiting.get(aim)?.length)) return;
    }
    // A frame that is missing makes every other one doubtful.
    if (seen.size < run.to - run.from + 1) throw new Error(`of the frames ${run.from} to ${run.to} only ${seen.size} came`);
  }

  async #picture(frame: number, sample: { rotation: number; toVideoFrame(): VideoFrame; draw(c: OffscreenCanvasRenderingContext2D, x: number, y: number, w: number, h: number): void }): Promise<Picture> {
    const { width, height } = this.size;
    let image: ImageBitmap;
    if (sample.rotation === 0) {
      const v = sample.toVideoFrame();
      try {
        image = await createImageBitmap(v, v.displayWidth === width && v.displayHeight === height ? {} : { resizeWidth: width, resizeHeight: height });
      } finally {
        v.close();
      }
    } else {
      const c = new OffscreenCanvas(width, height);
      sample.draw(c.getContext('2d')!, 0, 0, width, height);
      image = c.transferToImageBitmap();
    }
    return { frame: frameNo(frame), image, width, height };
  }
}
