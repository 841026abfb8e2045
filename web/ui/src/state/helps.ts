// Where the hand would help most, and how to go there: a mark that would sharpen the
// tracks, a frame on which the camera was lost.

import type { Schemas } from '../api/client';
import type { Desk } from './desk.svelte';
import { frameNo } from '../units';

export type NextMark = Schemas['PrintedNextMark'];
export interface LostStretch { take: string; from: number; to: number; why: string }

/** The stretches on which the camera was lost and where nothing was placed since. */
export function lostStretches(desk: Desk): LostStretch[] {
  return (desk.follow.followed?.takes ?? []).flatMap((t) => t.lost
    .filter((l) => !desk.touch.placings.some((p) => p.take === t.take && l.from <= p.frame && p.frame <= l.to))
    .map((l) => ({ take: t.take, from: l.from, to: l.to, why: l.why ?? '' })));
}

/** The marks that would help most and that nobody has set since, the best first. */
export function nextMarks(desk: Desk): NextMark[] {
  return (desk.live.answer?.summary.next_marks ?? []).filter((n) => !desk.marks(n.take, n.frame).some((m) => m.who === n.who && m.what === n.what));
}

/** Goes to the mark that would help most, with the tool in hand that sets it. Here already, it goes to the one after. */
export function goToMark(desk: Desk, to?: NextMark): boolean {
  const all = nextMarks(desk);
  const here = all.findIndex((n) => n.take === desk.take && n.frame === desk.frame && n.who === desk.who && n.what === desk.what);
  const n = to ?? all[(here + 1) % Math.max(1, all.length)];
  if (!n) return false;
  desk.transport.show(n.take, frameNo(n.frame));
  desk.tool = 'mark';
  [desk.who, desk.what] = [n.who, n.what];
  desk.selected = { kind: 'nothing' };
  return true;
}

/** Goes to the middle of a stretch on which the camera was lost, to place the piste there. */
export function goToLost(desk: Desk, to?: LostStretch): boolean {
  const all = lostStretches(desk);
  const here = all.findIndex((l) => l.take === desk.take && l.from <= desk.frame && desk.frame <= l.to);
  const l = to ?? all[(here + 1) % Math.max(1, all.length)];
  if (!l) return false;
  desk.transport.show(l.take, frameNo(Math.round((l.from + l.to) / 2)));
  desk.tool = 'place';
  return true;
}
