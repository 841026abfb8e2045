// Opening a touch: its paper over the server's interface, the reading beside it,
// and the news of what other windows do.

import { api, data, Refused, type Bout, type Job, type Live, type Media, type Schemas, type Touch, type TouchPaper } from '../api/client';
import { frameNo, type Frame } from '../units';
import { Desk } from './desk.svelte';
import type { FollowDoor, Memory } from './followed.svelte';
import { toLearnOn } from './guide';
import { LiveReading, Unreadable, type Ask } from './live.svelte';
import { Conflict, Paper, Rejected, type Store, type Stored } from './paper.svelte';
import { words } from '../words';

/** What an answer of the server means to the paper: nothing was lost in either case. */
export function meaning(e: unknown): unknown {
  if (!(e instanceof Refused)) return e;
  if (e.status === 409) return new Conflict(e.message);
  // A server that is busy, ending or has no room may take it later; the rest it never will.
  const later = e.status >= 500 || e.status === 408 || e.status === 429 || e.status === 499;
  return later ? e : new Rejected(e.message);
}

/** The touches of the server as a store; it remembers what came with the last answer. */
export class TouchStore implements Store<Touch> {
  constructor(readonly id: string, readonly seen: (paper: TouchPaper) => void = () => {}, private door = api) {}

  private get at() { return { params: { path: { id: this.id } } }; }

  load() { return this.#answer(data(this.door.GET('/api/touches/{id}', this.at))); }
  save(base: number, gesture: string, touch: Touch) {
    return this.#answer(data(this.door.PUT('/api/touches/{id}', { ...this.at, body: { base, gesture, touch } })));
  }
  undo(base: number) { return this.#answer(data(this.door.POST('/api/touches/{id}/undo', { ...this.at, body: { base } }))); }
  redo(base: number) { return this.#answer(data(this.door.POST('/api/touches/{id}/redo', { ...this.at, body: { base } }))); }

  async #answer(asked: Promise<TouchPaper>): Promise<Stored<Touch>> {
    try {
      const paper = await asked;
      this.seen(paper);
      return { stamp: paper.stamp, value: paper.touch };
    } catch (e) {
      throw meaning(e);
    }
  }
}

/** What is sent to be read: the score sheet of the whole bout stays at home, it is not read. */
export function lean(touch: Touch): Touch {
  const { sheet: _, ...bout }: Bout = touch.bout;
  return { ...touch, bout };
}

/** How the pictures are to be drawn just now. */
export interface Drawn { night: boolean; phone: boolean; stave_ask?: Schemas['StaveAsk'] }

export function askFor(id: string, drawn: () => Drawn, door = api): Ask {
  return async (touch: Touch, signal: AbortSignal): Promise<Live> => {
    try {
      return await data(door.POST('/api/touches/{id}/reading', {
        params: { path: { id } }, signal,
        body: { touch: lean(touch), stave: true, race: true, ...drawn() },
      }));
    } catch (e) {
      if (meaning(e) instanceof Rejected) throw new Unreadable((e as Error).message);
      // What a browser calls a lost line is no sentence for a coach.
      throw e instanceof TypeError ? new Error(words.panel.noAnswer) : e;
    }
  };
}

/** The fewest draws that a reading takes: of what was followed, nothing hangs on the race. */
const FEW_DRAWS = 100;

/** The doors of the server for following. */
export function followDoor(id: string, drawn: () => Drawn, door = api): FollowDoor {
  const at = { params: { path: { id } } };
  return {
    ask: async (touch, want, signal) => {
      const { night } = drawn();
      try {
        return await data(door.POST('/api/touches/{id}/reading', { ...at, signal, body: { touch: lean(touch), draws: FEW_DRAWS, following: want, night } }));
      } catch (e) {
        if (meaning(e) instanceof Rejected) throw new Unreadable((e as Error).message);
        throw e;
      }
    },
    follow: (touch, takes) => data(door.POST('/api/touches/{id}/follow', { ...at, body: { touch: lean(touch), ...(takes.length > 0 ? { takes } : {}) } })),
    cancel: (job) => data(door.DELETE('/api/jobs/{id}', { params: { path: { id: job } } })),
  };
}

/** A frame of a take at the end of an address: "#live/54". */
export const frameMark = (take: string, frame: number) => `#${encodeURIComponent(take)}/${frame}`;

/** The frame to open a touch at: the one that the address names, else the one from which the race is run. */
export function openAt(touch: Touch, hash: string): { take: string; frame: Frame } | undefined {
  const [, take, frame] = /^#([^/]+)\/(\d+)$/.exec(hash) ?? [];
  if (take && touch.takes.some((t) => t.id === decodeURIComponent(take))) return { take: decodeURIComponent(take), frame: frameNo(Number(frame)) };
  if (toLearnOn(touch)) return undefined;
  const from = touch.moments.find((m) => m.id === touch.race.from);
  return from && { take: from.take, frame: frameNo(from.by_frame) };
}

const memory = (): Memory | undefined => { try { return localStorage; } catch { return undefined; } };

export interface Opened { desk: Desk; previous: string; next: string }

/** Opens a touch; rejects with Refused where it is not there. */
export async function openTouch(id: string, drawn: () => Drawn): Promise<Opened> {
  let last: TouchPaper | undefined;
  let desk: Desk | undefined;
  const store = new TouchStore(id, (paper) => {
    last = paper;
    if (desk) desk.media = paper.media;
  });
  const first = await store.load();
  const paper = new Paper<Touch>(store, first);
  const all = () => ({ ...drawn(), stave_ask: desk?.staveAsk ?? {} });
  desk = new Desk(id, last!.bout, paper, new LiveReading(askFor(id, all)), last!.media, followDoor(id, drawn), memory());
  const at = openAt(first.value, location.hash);
  if (at) desk.transport.show(at.take, at.frame);
  return { desk, previous: last!.previous ?? '', next: last!.next ?? '' };
}

/** Fetches the time stamps of every video that is ready and has none yet. */
export async function fetchTimes(desk: Desk, door = api) {
  desk.retime();
  await Promise.all(desk.films.filter((film) => !desk.times[film]).map(async (film) => {
    const [sha256 = '', fields] = film.split('+');
    if (!desk.media.some((m) => m.sha256 === sha256 && m.state === 'ready')) return;
    const { times } = await data(door.GET('/api/media/{sha256}/times', { params: { path: { sha256 }, query: fields ? { fields: true } : {} } }));
    desk.setTimes(film, times);
  }));
}

/** A document of which the server tells; revision 0 says that it is gone. */
export interface Changed { id: string; revision: number; kind: string }
export interface Ears {
  document?: (change: Changed) => void;
  media?: (media: Media) => void;
  job?: (job: Job) => void;
  /** The line stands, at first or again after it was lost: anything may have happened meanwhile. */
  back?: () => void;
}

/**
 * Listens to the server's news; returns how to stop. A browser has six lines to one
 * server for all its windows, so one that is not looked at gives its line up and
 * asks anew when it is looked at again.
 */
export function listen(ears: Ears): () => void {
  let line: EventSource | undefined;
  const look = () => {
    if (document.hidden) {
      line?.close();
      line = undefined;
    } else if (!line) {
      line = new EventSource('/api/events');
      line.addEventListener('document', (e) => ears.document?.(JSON.parse(e.data) as Changed));
      line.addEventListener('media', (e) => ears.media?.(JSON.parse(e.data) as Media));
      line.addEventListener('job', (e) => ears.job?.(JSON.parse(e.data) as Job));
      line.onopen = () => ears.back?.();
    }
  };
  document.addEventListener('visibilitychange', look);
  look();
  return () => {
    document.removeEventListener('visibilitychange', look);
    line?.close();
  };
}
