// Changes of a bout's sheet, as functions from one to the next. The score is never
// counted here: the server fills it in by the rules.

import type { BoutSheet, Phrase, Schemas } from '../api/client';

export type Card = Schemas['Card'];

/** How much of the video belongs to a touch, before and after its halt, in seconds. */
export interface Span { before: number; after: number }
export const usualSpan: Span = { before: 6, after: 2 };

export interface Halt {
  id: string;
  video: string;
  at: number;
  left: boolean;
  right: boolean;
}

const empty = { left: 0, right: 0 };

/** Records what happened at a halt. It stands where its time asks for: after the last line of the same video that comes before it. */
export function recorded(s: BoutSheet, h: Halt, span: Span, end = Infinity): BoutSheet {
  const line: Phrase = {
    id: h.id, number: 0, before: empty, after: empty, lamps: { left: h.left, right: h.right },
    video: h.video, halt_s: h.at, from_s: Math.max(0, h.at - span.before), to_s: Math.min(end, h.at + span.after),
  };
  const lines = s.bout.sheet ?? [];
  let at = lines.length;
  for (let i = 0; i < lines.length; i++) {
    if (lines[i]!.video === h.video && (lines[i]!.halt_s ?? 0) > h.at) {
      at = i;
      break;
    }
  }
  // A period that was noted goes on; a relay ends by its score and is not guessed.
  const above = lines[at - 1];
  if (above?.period && !s.bout.team && s.bout.touches !== 45) line.period = above.period;
  return withLines(s, [...lines.slice(0, at), line, ...lines.slice(at)]);
}

/** A line without a video, put before the one of this number (0: at the top); for what the camera missed. */
export function inserted(s: BoutSheet, id: string, index: number): BoutSheet {
  const lines = s.bout.sheet ?? [];
  const line: Phrase = { id, number: 0, before: empty, after: empty, lamps: { left: false, right: false } };
  return withLines(s, [...lines.slice(0, index), line, ...lines.slice(index)]);
}

export function changed(s: BoutSheet, id: string, change: (p: Phrase) => Phrase): BoutSheet {
  return withLines(s, (s.bout.sheet ?? []).map((p) => (p.id === id ? change(p) : p)));
}

export function removed(s: BoutSheet, id: string): BoutSheet {
  return withLines(s, (s.bout.sheet ?? []).filter((p) => p.id !== id));
}

/** Moves a line by one, up or down. */
export function shifted(s: BoutSheet, id: string, by: 1 | -1): BoutSheet {
  const lines = [...(s.bout.sheet ?? [])];
  const i = lines.findIndex((p) => p.id === id);
  const j = i + by;
  if (i < 0 || j < 0 || j >= lines.length) return s;
  [lines[i], lines[j]] = [lines[j]!, lines[i]!];
  return withLines(s, lines);
}

/** Every line gets a name, so that touches can be told from each other: sheets from files may lack them. */
export function named(s: BoutSheet, fresh: () => string): BoutSheet {
  const lines = s.bout.sheet ?? [];
  return lines.every((p) => p.id) ? s : withLines(s, lines.map((p) => (p.id ? p : { ...p, id: fresh() })));
}

function withLines(s: BoutSheet, sheet: Phrase[]): BoutSheet { return { ...s, bout: { ...s.bout, sheet } }; }

/** The letters of a name that tells lines apart: short, so that it can be said. */
export function freshName(random: () => number = Math.random): string {
  const letters = 'abcdefghjkmnpqrstuvwxyz23456789';
  return 't' + Array.from({ length: 7 }, () => letters[Math.floor(random() * letters.length)]).join('');
}

/** Which line the instant of a video belongs to: the one whose stretch holds it, the latest where several do. */
export function lineAt(lines: readonly Phrase[], video: string, t: number): Phrase | undefined {
  return lines.findLast((p) => p.video === video && t >= (p.from_s ?? 0) && t <= (p.to_s ?? 0));
}

/** An instant as a person writes it: "3:07.2", "187.2", "1:03:07"; undefined for what is none. */
export function clockOf(text: string): number | undefined {
  const parts = text.trim().replace(',', '.').split(':');
  if (parts.length > 3 || !parts.every((p, i) => (i < parts.length - 1 ? /^\d+$/ : /^\d+(\.\d+)?$/).test(p))) return undefined;
  return parts.reduce((sum, p) => 60 * sum + Number(p), 0);
}

/** Sets one of the instants of a line so that it stays in order: from before halt before to. */
export function timed(p: Phrase, video: string, field: 'from_s' | 'halt_s' | 'to_s', t: number): Phrase {
  const q = { ...p, video: p.video || video, [field]: t };
  if (field === 'from_s') return { ...q, halt_s: Math.max(t, q.halt_s || t), to_s: Math.max(t, q.to_s || t) };
  if (field === 'to_s') return { ...q, from_s: Math.min(t, q.from_s ?? 0), halt_s: Math.min(t, q.halt_s || t) };
  return { ...q, from_s: Math.min(t, q.from_s ?? t), to_s: Math.max(t, q.to_s || t) };
}

/** The neighbour of a line on the sheet, for the hand on the arrows; the ends stay. */
export function neighbour(lines: readonly Phrase[], id: string, by: 1 | -1): Phrase | undefined {
  const i = lines.findIndex((p) => p.id === id);
  return i < 0 ? lines.at(by > 0 ? 0 : -1) : (lines[i + by] ?? lines[i]);
}

/** "3:07.2", or with more places. */
export function clockText(t: number, places = 1): string {
  const unit = 10 ** places;
  const parts = Math.round(Math.max(0, t) * unit); // rounded first: never "1:60.0"
  const minutes = Math.floor(parts / (60 * unit));
  return `${minutes}:${(parts / unit - 60 * minutes).toFixed(places).padStart(places + 3, '0')}`;
}

/** The frame that a video shows at an instant: the last whose time has come, else the first. */
export function shownAt(times: readonly number[], t: number): number {
  let low = 0;
  let high = times.length; // the first frame whose time has not come
  while (low < high) {
    const mid = (low + high) >> 1;
    if (times[mid]! <= t + 1e-6) low = mid + 1;
    else high = mid;
  }
  return Math.max(0, low - 1);
}

/** The instant to seek a video to so that it shows this frame: the middle of its stay on the screen. Seeking to its exact time stamp shows the one before a third of the time. */
export function middleOf(times: readonly number[], frame: number): number {
  const at = times[frame] ?? 0;
  const next = times[frame + 1] ?? at + (at - (times[frame - 1] ?? at - 0.04));
  return (at + next) / 2;
}
