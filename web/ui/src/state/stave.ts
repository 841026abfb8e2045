// The stave under the hand: from time to place on the picture and back, from an
// instant to a frame, which thing comes next, and every change of moments and
// actions as a function from one touch to the next. No element of the page is known
// here.

import type { Action, Moment, Schemas, Side, Touch } from '../api/client';
import { frameNo, trueSeconds, type Frame, type TrueSeconds } from '../units';

export type Geometry = Schemas['Stave'];
export type TakeClock = Schemas['TakeClock'];
export type StaveLine = Schemas['StaveLine'];
export type Word = Schemas['Word'];
export interface Span { readonly from: TrueSeconds; readonly to: TrueSeconds }
/** A line of the stave, or the moments above it. */
export interface Row { who: Side; line: string }

// Time and place.

/** Where an instant stands on the picture, in units of its view box. */
export function xOf(g: Geometry, t: number): number {
  return g.x0 + ((t - g.t0_s) / (g.t1_s - g.t0_s)) * (g.x1 - g.x0);
}

/** The instant that stands at x; beyond the ends it is the end. */
export function timeAt(g: Geometry, x: number): TrueSeconds {
  const t = g.t0_s + ((x - g.x0) / (g.x1 - g.x0)) * (g.t1_s - g.t0_s);
  return trueSeconds(Math.max(g.t0_s, Math.min(g.t1_s, t)));
}

/** What is shown of a stretch of time, as places on the picture; undefined where nothing is. */
export function stretch(g: Geometry, from: number, to: number): { x: number; w: number } | undefined {
  if (to < g.t0_s || from > g.t1_s) return undefined;
  const a = Math.max(g.x0, xOf(g, from));
  return { x: a, w: Math.max(0, Math.min(g.x1, xOf(g, to)) - a) };
}

// Frames and instants.

export function clockOf(clocks: readonly TakeClock[], take: string): TakeClock | undefined {
  return clocks.find((c) => c.take === take);
}

/** The instant that a frame shows; undefined where the take has no clock yet or lacks the frame. */
export function timeOf(clocks: readonly TakeClock[], take: string, frame: number): TrueSeconds | undefined {
  const c = clockOf(clocks, take);
  const t = c?.times[frame - c.from];
  return t === undefined ? undefined : trueSeconds(t);
}

/** The frame of a take that is nearest to an instant. */
export function nearestFrame(c: TakeClock, t: number): Frame {
  let lo = 0;
  let hi = c.times.length - 1;
  while (lo < hi) {
    const mid = (lo + hi) >> 1;
    if (c.times[mid]! < t) lo = mid + 1;
    else hi = mid;
  }
  if (lo > 0 && t - c.times[lo - 1]! <= c.times[lo]! - t) lo--;
  return frameNo(c.from + lo);
}

/** The take and the frame that show an instant best: of this take where it shows it at all. */
export function shownAt(clocks: readonly TakeClock[], take: string, t: number): { take: string; frame: Frame } | undefined {
  const within = (c: TakeClock) => t >= c.times[0]! && t <= c.times[c.times.length - 1]!;
  const own = clockOf(clocks, take);
  const c = own && within(own) ? own : (clocks.find(within) ?? own ?? clocks[0]);
  return c && { take: c.take, frame: nearestFrame(c, t) };
}

// The stretch of time that is shown.

/** All that the takes show. */
export function whole(clocks: readonly TakeClock[]): Span | undefined {
  if (clocks.length === 0) return undefined;
  return {
    from: trueSeconds(Math.min(...clocks.map((c) => c.times[0]!))),
    to: trueSeconds(Math.max(...clocks.map((c) => c.times[c.times.length - 1]!))),
  };
}

/** From the first thing that was written to the last, with a margin; undefined where nothing was. */
export function phrase(touch: Touch, clocks: readonly TakeClock[]): Span | undefined {
  const at: number[] = [];
  const see = (take: string, frame: number) => {
    const t = timeOf(clocks, take, frame);
    if (t !== undefined) at.push(t);
  };
  for (const m of touch.moments) { see(m.take, m.after_frame); see(m.take, m.by_frame); }
  for (const a of touch.actions) { see(a.take, a.from); see(a.take, a.to); }
  if (at.length === 0) return undefined;
  const from = Math.min(...at);
  const to = Math.max(...at);
  const margin = Math.max(0.1, 0.08 * (to - from), (0.4 - (to - from)) / 2);
  return { from: trueSeconds(from - margin), to: trueSeconds(to + margin) };
}

/** The least stretch that is shown: some frames of a fast camera. */
const least = 0.04;

/** Closer (factor below 1) or wider about an instant, which keeps its place; never wider than all. */
export function zoomed(span: Span, all: Span, about: number, factor: number): Span {
  const length = Math.max(least, Math.min(all.to - all.from, (span.to - span.from) * factor));
  const share = (Math.max(span.from, Math.min(span.to, about)) - span.from) / (span.to - span.from);
  return inside({ from: trueSeconds(about - share * length), to: trueSeconds(about + (1 - share) * length) }, all);
}

/** Moves the stretch by a share of its length. */
export function panned(span: Span, all: Span, share: number): Span {
  const by = share * (span.to - span.from);
  return inside({ from: trueSeconds(span.from + by), to: trueSeconds(span.to + by) }, all);
}

/** The stretch that shows this instant: the same one where it does already. */
export function following(span: Span, all: Span, t: number): Span {
  if (t >= span.from && t <= span.to) return span;
  const length = span.to - span.from;
  const from = t > span.to ? t - 0.1 * length : t - 0.9 * length;
  return inside({ from: trueSeconds(from), to: trueSeconds(from + length) }, all);
}

function inside(span: Span, all: Span): Span {
  const length = span.to - span.from;
  if (length >= all.to - all.from) return all;
  const from = Math.max(all.from, Math.min(all.to - length, span.from));
  return { from: trueSeconds(from), to: trueSeconds(from + length) };
}

// Things on a line, in time.

/** The actions of one line in order of time; those of takes without a clock come last. */
export function actionsOn(touch: Touch, clocks: readonly TakeClock[], row: Row): Action[] {
  const at = (a: Action) => timeOf(clocks, a.take, a.from) ?? Infinity;
  return touch.actions.filter((a) => a.who === row.who && a.line === row.line).sort((a, b) => at(a) - at(b) || a.id.localeCompare(b.id));
}

export function momentsInTime(touch: Touch, clocks: readonly TakeClock[]): Moment[] {
  const at = (m: Moment) => timeOf(clocks, m.take, m.by_frame) ?? Infinity;
  return [...touch.moments].sort((a, b) => at(a) - at(b) || a.id.localeCompare(b.id));
}

// Changes.

/** A name that nothing of this kind has yet. */
export function freshId(kind: string, taken: readonly { id: string }[]): string {
  for (let n = 1; ; n++) {
    const id = `${kind}-${n}`;
    if (!taken.some((x) => x.id === id)) return id;
  }
}

/** The frames of a take; undefined for one that is not there. */
export function framesOf(touch: Touch, take: string): { first: number; last: number } | undefined {
  const k = touch.takes.find((t) => t.id === take);
  return k && { first: k.from, last: k.to };
}

/** A moment that is first seen on this frame: after the frame before it, by this one. */
export function momentAt(touch: Touch, take: string, frame: number): Moment | undefined {
  const f = framesOf(touch, take);
  if (!f || f.last <= f.first) return undefined;
  const by = Math.max(f.first + 1, Math.min(f.last, frame));
  return { id: freshId('moment', touch.moments), name: '', take, after_frame: by - 1, by_frame: by };
}

/** Moves one end of a moment to a frame; the other stays, and at least one frame lies between. */
export function momentEnd(touch: Touch, m: Moment, end: 'after' | 'by', frame: number): Moment {
  const f = framesOf(touch, m.take) ?? { first: m.after_frame, last: m.by_frame };
  const to = Math.max(f.first, Math.min(f.last, Math.round(frame)));
  return end === 'after' ? { ...m, after_frame: Math.min(to, m.by_frame - 1) } : { ...m, by_frame: Math.max(to, m.after_frame + 1) };
}

/** Moves a moment by whole frames, as far as its take goes. */
export function momentMoved(touch: Touch, m: Moment, frames: number): Moment {
  const f = framesOf(touch, m.take) ?? { first: m.after_frame, last: m.by_frame };
  const by = Math.max(f.first - m.after_frame, Math.min(f.last - m.by_frame, Math.round(frames)));
  return { ...m, after_frame: m.after_frame + by, by_frame: m.by_frame + by };
}

/** Moves one end of an action to a frame. */
export function actionEnd(touch: Touch, a: Action, end: 'from' | 'to', frame: number): Action {
  const f = framesOf(touch, a.take) ?? { first: a.from, last: a.to };
  const to = Math.max(f.first, Math.min(f.last, Math.round(frame)));
  return end === 'from' ? { ...a, from: Math.min(to, a.to) } : { ...a, to: Math.max(to, a.from) };
}

export function actionMoved(touch: Touch, a: Action, frames: number): Action {
  const f = framesOf(touch, a.take) ?? { first: a.from, last: a.to };
  const by = Math.max(f.first - a.from, Math.min(f.last - a.to, Math.round(frames)));
  return { ...a, from: a.from + by, to: a.to + by };
}

/** How long an action is taken to last until its end is set. */
const usualLength = 0.2;

/** The last frame of an action that begins at this one, until it is set by hand. */
export function usualEnd(touch: Touch, clocks: readonly TakeClock[], take: string, from: number): number {
  const c = clockOf(clocks, take);
  const start = timeOf(clocks, take, from);
  const last = framesOf(touch, take)?.last ?? from;
  if (!c || start === undefined) return Math.min(last, from + 5);
  return Math.min(last, Math.max(from + 1, nearestFrame(c, start + usualLength)));
}

// Words.

/** Plain letters: "flèche" is found by "fle". */
function plain(s: string): string {
  return s.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase().trim();
}

/** The words that fit what was typed: those that begin so, then those of which a word does, then those that hold it. */
export function complete(all: readonly Word[], typed: string, most = 8): Word[] {
  const t = plain(typed);
  if (t === '') return all.slice(0, most);
  const rank = (w: Word) => {
    const p = plain(w.word);
    if (p.startsWith(t)) return 0;
    if (p.split(/[\s-]+/).some((part) => part.startsWith(t))) return 1;
    return p.includes(t) ? 2 : 3;
  };
  return all.map((w, i) => ({ w, i, r: rank(w) })).filter((x) => x.r < 3).sort((a, b) => a.r - b.r || a.i - b.i).slice(0, most).map((x) => x.w);
}

/** The usual moments with those that the touch has already at the end. */
export function unusedFirst(all: readonly Word[], moments: readonly Moment[]): Word[] {
  const used = (w: Word) => moments.some((m) => plain(m.name) === plain(w.word));
  return [...all.filter((w) => !used(w)), ...all.filter(used)];
}
