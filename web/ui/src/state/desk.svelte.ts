// Desk: the state of the touch desk. No element of the page is known here, so all
// of it is tested without a browser.

import type { Action, Mark, Media, Moment, PlacedPoint, Placing, Schemas, Side, Touch } from '../api/client';
import { frameNo, type Frame, type PicturePoint } from '../units';
import { closedDoor, FollowState, type FollowDoor, type Memory } from './followed.svelte';
import type { LiveReading } from './live.svelte';
import type { Paper } from './paper.svelte';
import { filmOf } from './takes';
import { withoutNote } from './notes';
import { seenAt } from './traces';
import { Transport } from './transport.svelte';

/** What the hand does on the picture. */
export type Tool = 'look' | 'place' | 'mark';

export type Selected =
  | { kind: 'nothing' }
  | { kind: 'point'; name: string } // of the piste, on the frame shown
  | { kind: 'mark'; who: Side; what: string } // on the frame shown
  | { kind: 'moment'; id: string }
  | { kind: 'action'; id: string };

export class Desk {
  tool = $state<Tool>('look');
  selected = $state.raw<Selected>({ kind: 'nothing' });
  /** The piste point that the next click places; empty takes the one that would help most. */
  placeNext = $state('');
  /** Who and what the next click marks. */
  who = $state<Side>('left');
  what = $state('point');
  readonly transport = new Transport();
  /** What was followed through the takes, and the work on it. */
  readonly follow: FollowState;
  /** How the stave is wanted: the stretch of true time and the room for it; setting it asks again. */
  staveAsk = $state.raw<Schemas['StaveAsk']>({});
  /** The videos of the touch, as far as the library has them. */
  media = $state.raw<Media[]>([]);
  /** Time stamps of their frames, by film (SHA-256, and whether it is in fields), as they arrive. */
  times = $state.raw<Record<string, readonly number[]>>({});

  constructor(
    readonly id: string,
    readonly bout: string,
    readonly paper: Paper<Touch>,
    readonly live: LiveReading,
    media: Media[],
    door: FollowDoor = closedDoor,
    memory?: Memory,
  ) {
    this.media = media;
    this.follow = new FollowState(this, door, memory);
    this.transport.setTakes(paper.value.takes);
  }

  /** Takes in the time stamps of one film. */
  setTimes(film: string, times: readonly number[]) {
    this.times = { ...this.times, [film]: times };
    for (const v of this.touch.videos) if (v.sha256 && filmOf(v.sha256, v.fields) === film) this.transport.setTimes(v.id, times);
  }
  /** The films of the touch: each video as it is read. */
  get films(): string[] {
    return [...new Set(this.touch.videos.flatMap((v) => (v.sha256 ? [filmOf(v.sha256, v.fields)] : [])))];
  }
  /** Gives the transport the time stamps that are there, for a video that is now read otherwise. */
  retime() {
    for (const v of this.touch.videos) {
      const times = v.sha256 && this.times[filmOf(v.sha256, v.fields)];
      if (times) this.transport.setTimes(v.id, times);
    }
  }

  /** The video that a take is cut from. */
  mediaOf(take = this.take): Media | undefined {
    const video = this.touch.takes.find((t) => t.id === take)?.video;
    const sha256 = this.touch.videos.find((v) => v.id === video)?.sha256;
    return sha256 ? this.media.find((m) => m.sha256 === sha256) : undefined;
  }
  /** The film that a take is cut from; undefined where the library has not its video. */
  filmOf(take = this.take): string | undefined {
    const media = this.mediaOf(take);
    return media && filmOf(media.sha256, this.inFields(take));
  }
  /** Whether the video of a take is read as two pictures a frame. */
  inFields(take = this.take): boolean {
    const video = this.touch.takes.find((t) => t.id === take)?.video;
    return this.touch.videos.find((v) => v.id === video)?.fields ?? false;
  }
  timesOf(take = this.take): readonly number[] | undefined {
    const film = this.filmOf(take);
    return film === undefined ? undefined : this.times[film];
  }

  get touch(): Touch { return this.paper.value; }
  get take(): string { return this.transport.take; }
  get frame(): Frame { return this.transport.frame; }

  /** What was marked of the piste on the frame shown. */
  placing(take = this.take, frame: number = this.frame): Placing | undefined {
    return this.touch.placings.find((p) => p.take === take && p.frame === frame);
  }
  marks(take = this.take, frame: number = this.frame): Mark[] {
    return this.touch.marks.filter((m) => m.take === take && m.frame === frame);
  }
  mark(who: Side, what: string): Mark | undefined {
    return this.marks().find((m) => m.who === who && m.what === what);
  }
  /** Frames of the take shown that carry something set by hand, in order. */
  setFrames(): Frame[] {
    const all = new Set<number>();
    for (const x of [...this.touch.placings, ...this.touch.marks]) if (x.take === this.take) all.add(x.frame);
    return [...all].sort((a, b) => a - b).map(frameNo);
  }
}

// Changes of a touch, as functions from one to the next: nothing is changed in place.

/** Sets a mark; what is marked is seen, so it is hidden no more on that frame. */
export function withMark(touch: Touch, mark: Mark): Touch {
  const t = seenAt(touch, mark.take, mark.frame, { who: mark.who, what: mark.what });
  const same = (m: Mark) => m.take === mark.take && m.frame === mark.frame && m.who === mark.who && m.what === mark.what;
  return { ...t, marks: [...t.marks.filter((m) => !same(m)), mark] };
}

export function withoutMark(t: Touch, take: string, frame: number, who: Side, what: string): Touch {
  return { ...t, marks: t.marks.filter((m) => !(m.take === take && m.frame === frame && m.who === who && m.what === what)) };
}

export function withPoint(t: Touch, take: string, frame: number, point: PlacedPoint): Touch {
  const old = t.placings.find((p) => p.take === take && p.frame === frame);
  const next: Placing = old
    ? { ...old, points: [...old.points.filter((p) => p.name !== point.name), point] }
    : { take, frame, points: [point] };
  return { ...t, placings: [...t.placings.filter((p) => p !== old), next] };
}

export function withoutPoint(t: Touch, take: string, frame: number, name: string): Touch {
  return {
    ...t,
    placings: t.placings
      .map((p) => (p.take === take && p.frame === frame ? { ...p, points: p.points.filter((q) => q.name !== name) } : p))
      .filter((p) => p.points.length > 0 || (p.lines?.length ?? 0) > 0),
  };
}

export function withMoment(t: Touch, moment: Moment): Touch {
  const others = t.moments.filter((m) => m.id !== moment.id);
  return { ...t, moments: [...others, moment] };
}

/** Takes a moment out, and what was asked of it: the race from it, an onset at it. */
export function withoutMoment(t: Touch, id: string): Touch {
  const run = (r: Touch['race']['left']): Touch['race']['left'] => (r.onset.moment === id ? { ...r, onset: {} } : r);
  const { from, ...rest } = t.race;
  const race = { ...rest, left: run(t.race.left), right: run(t.race.right) };
  return { ...t, moments: t.moments.filter((m) => m.id !== id), race: from && from !== id ? { ...race, from } : race };
}

export function withAction(t: Touch, action: Action): Touch {
  return { ...t, actions: [...t.actions.filter((a) => a.id !== action.id), action] };
}

/** Takes an action out, and with it what was noted of it. */
export function withoutAction(t: Touch, id: string): Touch {
  return withoutNote({ ...t, actions: t.actions.filter((a) => a.id !== id) }, id);
}

/** A quarter of a pixel: the step of the arrow keys. */
export const NUDGE = 0.25;

export function moved(at: { u: number; v: number }, du: number, dv: number): PicturePoint {
  return { u: at.u + du, v: at.v + dv } as PicturePoint;
}
