// The guided first touch: five hints from the picture to the race. A hint goes on by
// what is there, not by what was clicked, so that a coach who goes another way is
// never held up.

import type { Summary, Touch } from '../api/client';

export const hints = ['look', 'place', 'mark', 'moment', 'race'] as const;
export type Hint = (typeof hints)[number];

/** What can be seen of the work. */
export interface Seen {
  summary: Summary | undefined;
  /** The hand was on another frame than the first one shown, or took up a tool. */
  moved: boolean;
  /** The race has been read: the coach said so. */
  read: boolean;
}

export interface GuideState {
  hint: Hint | 'end';
  /** Which of how many, from 1. */
  number: number;
}

/** The first hint whose work is not done. */
export function guide(seen: Seen): GuideState {
  const first = hints.findIndex((h) => !done(h, seen));
  return first < 0 ? { hint: 'end', number: hints.length } : { hint: hints[first]!, number: first + 1 };
}

/** Whether the work of a hint is done. */
export function done(hint: Hint, seen: Seen): boolean {
  const s = seen.summary;
  if (!s) return false;
  const raced = s.race !== undefined;
  switch (hint) {
    // Another frame is shown, or work is under way.
    case 'look': return raced || seen.moved;
    case 'place': return raced || s.placings.some((p) => !p.refused);
    // Both points are marked and a gap is measured each way.
    case 'mark': return raced || s.instants.some((i) => i.gaps.some((g) => g.of === 'left') && i.gaps.some((g) => g.of === 'right'));
    case 'moment': return raced || s.moments.length > 0;
    case 'race': return raced && seen.read;
  }
}

/** Where what is left to do can be seen: the frame that is placed, if there is one. */
export function whereTo(s: Summary | undefined): { take: string; frame: number } | undefined {
  const p = s?.placings.find((x) => !x.refused);
  return p && { take: p.take, frame: p.frame };
}

/** Remembers whether the guide is wanted; a page without a store forgets. */
export interface Memory { getItem(key: string): string | null; setItem(key: string, value: string): void }
const key = 'mesure-guide';

/** Whether a touch is there to learn on: invented, and its points not yet marked on both sides. */
export function toLearnOn(t: Touch): boolean {
  const point = (who: string) => t.marks.some((m) => m.who === who && m.what === 'point');
  return (t.invented ?? false) && !(point('left') && point('right'));
}

/** Whether to guide on this touch: it was begun there, or this is a touch to learn on and nobody said no. */
export function wanted(memory: Memory | undefined, touch: string, learn: boolean): boolean {
  try {
    const said = memory?.getItem(key);
    return said === `on ${touch}` || (said !== 'off' && learn);
  } catch {
    return learn;
  }
}

/** Remembers that the guide goes on at this touch, or that it was sent away. */
export function remember(memory: Memory | undefined, touch: string, on: boolean) {
  try { memory?.setItem(key, on ? `on ${touch}` : 'off'); } catch { /* a private window: it is asked again next time */ }
}
