// Takes of a touch, as functions from one touch to the next: nothing is changed in
// place, and what hangs on a take goes where it goes.

import type { Take, Touch } from '../api/client';

export interface VideoOfBout { id: string; file: string; sha256?: string }

/** A name that no take has yet: "replay", "replay-2" … */
export function freeName(touch: Touch, wanted: string): string {
  const taken = new Set(touch.takes.map((t) => t.id));
  if (!taken.has(wanted)) return wanted;
  let n = 2;
  while (taken.has(`${wanted}-${n}`)) n++;
  return `${wanted}-${n}`;
}

/** A name as files take it, from what a person typed: letters, digits, dots, dashes and underscores. */
export function nameFrom(typed: string): string {
  return typed.normalize('NFKD').replace(/[\u0300-\u036f]/g, '').trim()
    .replace(/[^A-Za-z0-9._-]+/g, '-').replace(/^[^A-Za-z0-9]+|-+$/g, '').slice(0, 64);
}

/** Adds a take cut from a video; the video comes into the touch with its first take. */
export function withTake(touch: Touch, video: VideoOfBout, take: Omit<Take, 'video'>): Touch {
  const there = touch.videos.find((v) => (video.sha256 ? v.sha256 === video.sha256 : v.file === video.file));
  const taken = new Set(touch.videos.map((v) => v.id));
  let id = video.id;
  for (let n = 2; !there && taken.has(id); n++) id = `${video.id}-${n}`;
  const videos = there ? touch.videos : [...touch.videos, { ...video, id }];
  return { ...touch, videos, takes: [...touch.takes, { ...take, video: there?.id ?? id }] };
}

/** Changes one take. A factor of one and a start at nought are left out of the file. */
export function changedTake(touch: Touch, id: string, change: Partial<Take>): Touch {
  return { ...touch, takes: touch.takes.map((t) => (t.id === id ? { ...t, ...change } : t)) };
}

export function renamedTake(touch: Touch, from: string, to: string): Touch {
  if (!to || from === to || touch.takes.some((t) => t.id === to)) return touch;
  const moved = <T extends { take: string }>(all: T[]): T[] => all.map((x) => (x.take === from ? { ...x, take: to } : x));
  return {
    ...touch,
    takes: touch.takes.map((t) => (t.id === from ? { ...t, id: to } : t)),
    placings: moved(touch.placings), marks: moved(touch.marks), actions: moved(touch.actions),
    moments: moved(touch.moments).map((m) => (m.also ? { ...m, also: moved(m.also) } : m)),
    ...(touch.hidden ? { hidden: moved(touch.hidden) } : {}),
  };
}

export interface Hanging { placings: number; marks: number; moments: number; actions: number }

/** What goes when a take goes. */
export function hangingOn(touch: Touch, id: string): Hanging {
  const on = (all: { take: string }[]) => all.filter((x) => x.take === id).length;
  return { placings: on(touch.placings), marks: on(touch.marks), moments: on(touch.moments), actions: on(touch.actions) };
}

/** Removes a take with all that hangs on it; a race that asked for one of its moments asks for none. */
export function withoutTake(touch: Touch, id: string): Touch {
  const off = <T extends { take: string }>(all: T[]): T[] => all.filter((x) => x.take !== id);
  const takes = touch.takes.filter((t) => t.id !== id);
  const left: Touch = {
    ...touch, takes,
    videos: touch.videos.filter((v) => takes.some((t) => t.video === v.id)),
    placings: off(touch.placings), marks: off(touch.marks), actions: off(touch.actions),
    moments: off(touch.moments).map((m) => (m.also ? { ...m, also: off(m.also) } : m)),
    ...(touch.hidden ? { hidden: off(touch.hidden) } : {}),
  };
  return withoutLostMoments(left);
}

/** Moments that are asked for but are no longer there are not asked for. */
export function withoutLostMoments(touch: Touch): Touch {
  const there = (id?: string) => !id || touch.moments.some((m) => m.id === id);
  const run = (r: Touch['race']['left']): Touch['race']['left'] => (there(r.onset.moment) ? r : { ...r, onset: {} });
  const { from, ...race } = touch.race;
  return { ...touch, race: { ...race, ...(from && there(from) ? { from } : {}), left: run(race.left), right: run(race.right) } };
}

// Moments that more than one take shows.

/** Says that a moment is first seen on this frame of another take; said of the same take again, it is put right. */
export function seenAlso(touch: Touch, id: string, take: string, frame: number): Touch {
  const k = touch.takes.find((t) => t.id === take);
  if (!k || k.to <= k.from) return touch;
  const by_frame = Math.max(k.from + 1, Math.min(k.to, frame));
  return {
    ...touch,
    moments: touch.moments.map((m) => (m.id !== id || m.take === take ? m : { ...m, also: [...(m.also ?? []).filter((b) => b.take !== take), { take, after_frame: by_frame - 1, by_frame }] })),
  };
}

/** Takes back that a moment is seen in a take besides its own. */
export function notAlso(touch: Touch, id: string, take: string): Touch {
  return {
    ...touch,
    moments: touch.moments.map((m) => {
      if (m.id !== id || !m.also) return m;
      const { also, ...rest } = m;
      const left = also.filter((b) => b.take !== take);
      return left.length > 0 ? { ...rest, also: left } : rest;
    }),
  };
}

/** Says whether the clock of a take follows from moments seen in others too. */
export function tied(touch: Touch, id: string, on: boolean): Touch {
  return { ...touch, takes: touch.takes.map((t) => { if (t.id !== id) return t; const { tied: _, ...rest } = t; return on ? { ...rest, tied: true } : rest; }) };
}

/** Says how many frames a second the camera took; the factor then follows. Undefined leaves it to the file. */
export function captured(touch: Touch, id: string, rate: number | undefined): Touch {
  return {
    ...touch,
    takes: touch.takes.map((t) => {
      if (t.id !== id) return t;
      const { capture_rate: _, ...rest } = t;
      if (rate === undefined) return rest;
      const { factor: _f, factor_sd: _s, ...free } = rest;
      return { ...free, capture_rate: rate };
    }),
  };
}

/**
 * Says whether each frame of a video holds two fields. Both are then frames of their
 * own, so that every frame number of its takes is doubled, or halved again: what was
 * set on a frame stands on its earlier field, and a moment lies after the later field
 * of the one frame and no later than that of the other. Where both fields of a frame
 * were marked, going back keeps the earlier.
 */
export function inFields(touch: Touch, video: string, on: boolean): Touch {
  if ((touch.videos.find((v) => v.id === video)?.fields ?? false) === on) return touch;
  const takes = new Map(touch.takes.filter((t) => t.video === video).map((t) => [t.id, t]));
  const first = (f: number) => (on ? 2 * f : f >> 1);
  const last = (f: number) => (on ? 2 * f + 1 : f >> 1);
  const of = <T extends { take: string }>(all: T[], change: (x: T) => T): T[] => all.map((x) => (takes.has(x.take) ? change(x) : x));
  const once = <T extends { take: string; frame: number }>(all: T[], name: (x: T) => string): T[] => {
    const key = (x: T) => `${x.take} ${first(x.frame)} ${name(x)}`;
    const earliest = new Map<string, number>();
    for (const x of all) earliest.set(key(x), Math.min(x.frame, earliest.get(key(x)) ?? x.frame));
    return of(all.filter((x) => !takes.has(x.take) || earliest.get(key(x)) === x.frame), (x) => ({ ...x, frame: first(x.frame) }));
  };
  const bracket = <T extends { take: string; after_frame: number; by_frame: number }>(x: T): T => {
    if (on) return { ...x, after_frame: last(x.after_frame), by_frame: last(x.by_frame) };
    const after = Math.max((takes.get(x.take)?.from ?? 0) >> 1, (x.after_frame - 1) >> 1);
    return { ...x, after_frame: after, by_frame: Math.max(after + 1, x.by_frame >> 1) };
  };
  const stretch = <T extends { from: number; to: number }>(x: T): T => ({ ...x, from: first(x.from), to: last(x.to) });
  return {
    ...touch,
    videos: touch.videos.map((v) => { if (v.id !== video) return v; const { fields: _, ...rest } = v; return on ? { ...rest, fields: true } : rest; }),
    takes: touch.takes.map((t) => (t.video === video ? stretch(t) : t)),
    placings: once(touch.placings, () => ''),
    marks: once(touch.marks, (m) => `${m.who} ${m.what}`),
    moments: of(touch.moments, bracket).map((m) => (m.also ? { ...m, also: of(m.also, bracket) } : m)),
    actions: of(touch.actions, stretch),
    ...(touch.hidden ? { hidden: of(touch.hidden, stretch) } : {}),
  };
}

/** A video as it is read, for what is fetched of it: fields are frames of their own. */
export const filmOf = (sha256: string, fields = false): string => (fields ? `${sha256}+fields` : sha256);
