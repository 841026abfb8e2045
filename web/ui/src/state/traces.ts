// What was followed, as plain functions: what a trace says of a frame, its path about
// a frame, its stretches along the film, where it is hidden. No element of the page is
// known here.

import type { PrintedNumber, Schemas, Side, Touch } from '../api/client';

export type Trace = Schemas['PrintedTrace'];
export type Hidden = NonNullable<Touch['hidden']>[number];
export type TraceState = 'marked' | 'followed' | 'lost' | 'hidden';
export interface Thing { who: Side; what: string }
export interface Step { state: TraceState; at: { u: number; v: number }; sd: number; sure: number }

const states: Record<string, TraceState> = { m: 'marked', f: 'followed', l: 'lost', h: 'hidden' };

export function traceOf(all: readonly Trace[] | undefined, of: Thing): Trace | undefined {
  return all?.find((t) => t.who === of.who && t.what === of.what);
}

/** What a trace says of one frame; undefined where it says nothing. */
export function stepAt(t: Trace | undefined, frame: number): Step | undefined {
  const i = t ? frame - t.from : -1;
  const state = t && states[t.states[i] ?? ''];
  return t && state && { state, at: { u: t.u[i] ?? 0, v: t.v[i] ?? 0 }, sd: t.sd[i] ?? 0, sure: (t.sure[i] ?? 0) / 100 };
}

export interface Bit { frame: number; u: number; v: number; marked: boolean }

/** The smoothed path from one frame to another, in pieces: it is broken where the point was not seen, and where a place cannot be carried to the picture that it is drawn over. */
export function pathOf(t: Trace, from: number, to: number, carry: (frame: number, p: { u: number; v: number }) => { u: number; v: number } | undefined = (_, p) => p): Bit[][] {
  const all: Bit[][] = [];
  let piece: Bit[] = [];
  for (let f = Math.max(from, t.from); f <= Math.min(to, t.from + t.states.length - 1); f++) {
    const i = f - t.from;
    const s = t.states[i];
    const at = s === 'm' || s === 'f' ? carry(f, { u: t.su[i] ?? 0, v: t.sv[i] ?? 0 }) : undefined;
    if (at) piece.push({ frame: f, ...at, marked: s === 'm' });
    else if (piece.length > 0) {
      all.push(piece);
      piece = [];
    }
  }
  if (piece.length > 0) all.push(piece);
  return all;
}

/** How sure, in words: the steps in which it is drawn. */
export type Sureness = 'sure' | 'fair' | 'unsure';
export const sureness = (share: number): Sureness => (share >= 0.7 ? 'sure' : share >= 0.4 ? 'fair' : 'unsure');

export interface Run { from: number; to: number; state: TraceState; sure: Sureness }

/** A trace as runs of frames of one state and one step of sureness: the band along the film. */
export function runsOf(t: Trace | undefined): Run[] {
  const all: Run[] = [];
  for (let i = 0; t && i < t.states.length; i++) {
    const step = stepAt(t, t.from + i);
    const last = all[all.length - 1];
    if (!step) continue;
    const sure = step.state === 'followed' ? sureness(step.sure) : 'sure';
    if (last && last.to === t.from + i - 1 && last.state === step.state && last.sure === sure) last.to++;
    else all.push({ from: t.from + i, to: t.from + i, state: step.state, sure });
  }
  return all;
}

// Hidden stretches, as functions from one touch to the next.

const about = (h: Hidden, take: string, of: Thing) => h.take === take && h.who === of.who && h.what === of.what;

export function isHidden(t: Touch, take: string, frame: number, of: Thing): boolean {
  return (t.hidden ?? []).some((h) => about(h, take, of) && h.from <= frame && frame <= h.to);
}

/** Says that a point cannot be seen on a frame, or that it can: said again, it is taken back. What was marked there by hand goes. */
export function hiddenChanged(t: Touch, take: string, frame: number, of: Thing): Touch {
  const all = t.hidden ?? [];
  if (isHidden(t, take, frame, of)) {
    const { hidden: _, ...rest } = t;
    const left = all.flatMap((h) => {
      if (!about(h, take, of) || h.from > frame || h.to < frame) return [h];
      return [{ ...h, to: frame - 1 }, { ...h, from: frame + 1 }].filter((x) => x.from <= x.to);
    });
    return left.length > 0 ? { ...rest, hidden: left } : rest;
  }
  // A frame beside a stretch lengthens it; one between two joins them.
  let { from, to } = { from: frame, to: frame };
  const others = all.filter((h) => {
    if (!about(h, take, of) || h.to < frame - 1 || h.from > frame + 1) return true;
    [from, to] = [Math.min(from, h.from), Math.max(to, h.to)];
    return false;
  });
  const marks = t.marks.filter((m) => !(m.take === take && m.frame === frame && m.who === of.who && m.what === of.what));
  return { ...t, marks, hidden: [...others, { take, ...of, from, to }] };
}

/** A mark says that the point is seen: it is hidden no more on that frame. */
export function seenAt(t: Touch, take: string, frame: number, of: Thing): Touch {
  return isHidden(t, take, frame, of) ? hiddenChanged(t, take, frame, of) : t;
}

// Proposed moments.

export type Proposal = Schemas['PrintedProposal'];

/** Proposals that were neither refused nor answered: a moment answers one of its name where what holds 95 % of both overlaps, in whichever take it was set. */
export function openProposals(all: readonly Proposal[], touch: Touch, refused: ReadonlySet<string>, told: readonly { id: string; at: PrintedNumber }[] = []): Proposal[] {
  const named = (a: string, b: string) => a.toLowerCase() === b.toLowerCase();
  const ends = (n: PrintedNumber) => [Number(n.low ?? n.value), Number(n.high ?? n.value)] as const;
  const answers = (m: Touch['moments'][number], p: Proposal) => {
    if (!named(m.name, p.name)) return false;
    if (m.take === p.take && m.after_frame < p.by_frame && p.after_frame < m.by_frame) return true;
    const at = told.find((t) => t.id === m.id)?.at;
    if (!at) return false;
    const [[a, b], [c, d]] = [ends(at), ends(p.at)];
    return a <= d && c <= b;
  };
  return all.filter((p) => !refused.has(p.id) && !touch.moments.some((m) => answers(m, p)));
}

/** The proposal that a key answers: the one chosen, else the one nearest to an instant. */
export function nearestProposal(all: readonly Proposal[], take: string, frame: number): Proposal | undefined {
  const far = (p: Proposal) => (p.take === take ? 0 : 1e6) + Math.abs((p.after_frame + p.by_frame) / 2 - frame);
  return all.reduce<Proposal | undefined>((best, p) => (best && far(best) <= far(p) ? best : p), undefined);
}
