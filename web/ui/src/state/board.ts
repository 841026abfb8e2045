// The storyboard of a telling, changed by hand: plain functions from one board to the
// next, and the same board where nothing changed. Numbers here count frames and shots;
// what a shot shows and says is the server's to find.

import type { Schemas } from '../api/client';

export type Board = Schemas['ClipBoard'];
export type Shot = Schemas['ClipShot'];
export type Form = Schemas['ClipForm'];
export type TakeToShow = Schemas['TakeToShow'];
export type Kind = 'live' | 'slow' | 'hold' | 'build' | 'beside' | 'plate';
export const KINDS: readonly Kind[] = ['live', 'slow', 'hold', 'build', 'beside', 'plate'];
/** The shares of the true speed that are offered. */
export const SPEEDS = [1, 0.5, 0.25, 0.125, 0.1] as const;
/** The longest that a still shot stands, in seconds; longer is a film of its own. */
export const LONGEST = 60;

/** A shot that moves, from one frame to another. */
export const plays = (kind: string) => kind === 'live' || kind === 'slow' || kind === 'beside';
/** A shot that stands still for a time. */
export const stands = (kind: string) => kind === 'hold' || kind === 'build' || kind === 'plate';

const withShots = (b: Board, shots: Shot[]): Board => ({ ...b, shots, edited: true });
const indexOf = (b: Board, id: string) => b.shots.findIndex((s) => s.id === id);

/** Changes one shot; what is said as undefined is left to the server again. */
export function changed(b: Board, id: string, change: { [K in keyof Shot]?: Shot[K] | undefined }): Board {
  const i = indexOf(b, id);
  if (i < 0) return b;
  const next: Record<string, unknown> = { ...b.shots[i], ...change };
  for (const [name, value] of Object.entries(next)) if (value === undefined) delete next[name];
  if (JSON.stringify(next) === JSON.stringify(b.shots[i])) return b;
  return withShots(b, b.shots.map((s, k) => (k === i ? next as unknown as Shot : s)));
}

/** Puts a shot before the one that stands at a place now; places count the gaps between shots. */
export function moved(b: Board, id: string, gap: number): Board {
  const i = indexOf(b, id);
  const to = Math.max(0, Math.min(gap, b.shots.length));
  if (i < 0 || to === i || to === i + 1) return b;
  const rest = b.shots.filter((_, k) => k !== i);
  const at = to > i ? to - 1 : to;
  return withShots(b, [...rest.slice(0, at), b.shots[i]!, ...rest.slice(at)]);
}
/** Moves a shot one place earlier or later. */
export function shifted(b: Board, id: string, by: 1 | -1): Board {
  const i = indexOf(b, id);
  return i < 0 ? b : moved(b, id, by < 0 ? i - 1 : i + 2);
}

/** Trims a playing shot: one end goes to a frame, and never past the other. */
export function trimmed(b: Board, id: string, end: 'from' | 'to', frame: number, take: TakeToShow): Board {
  const s = b.shots[indexOf(b, id)];
  if (!s || !Number.isFinite(frame)) return b;
  const f = Math.max(take.from, Math.min(Math.round(frame), take.to));
  if (end === 'from') return changed(b, id, { from: plays(s.kind) ? Math.min(f, s.to ?? take.to) : f });
  return changed(b, id, { to: Math.max(f, s.from ?? take.from) });
}

/** Another kind for a shot, with what that kind needs. */
export function turned(b: Board, id: string, kind: Kind, take: TakeToShow | undefined, other: TakeToShow | undefined, plate: string): Board {
  const s = b.shots[indexOf(b, id)];
  if (!s || s.kind === kind) return b;
  const shown = take && { take: s.take || take.take, from: s.from ?? take.from };
  const both = { speed: undefined, lasts_s: undefined, plate: undefined, other: undefined, layers: null };
  switch (kind) {
    case 'plate': return plate ? changed(b, id, { ...both, kind, plate, take: undefined, from: undefined, to: undefined }) : b;
    case 'hold': case 'build': return shown ? changed(b, id, { ...both, kind, ...shown, to: undefined }) : b;
    case 'beside':
      if (!take || !other) return b;
      return changed(b, id, { ...both, kind, ...shown, to: s.to ?? take.to, other: { ...(other.touch ? { touch: other.touch } : {}), take: other.take, at: other.from, meets: shown!.from } });
    default: return take ? changed(b, id, { ...both, kind, ...shown, to: Math.max(s.to ?? take.to, shown!.from) }) : b;
  }
}

export function removed(b: Board, id: string): Board { return indexOf(b, id) < 0 ? b : withShots(b, b.shots.filter((s) => s.id !== id)); }

/** Adds a shot behind another; it shows what that one ends on. */
export function added(b: Board, after: string, take: TakeToShow | undefined, plate: string): { board: Board; id: string } {
  const id = freshName(b);
  const i = indexOf(b, after);
  const before = b.shots[i] ?? b.shots.at(-1);
  let shot: Shot | undefined;
  if (take) {
    const from = before?.take === take.take ? (plays(before.kind) ? before.to : before.from) : undefined;
    shot = { id, kind: 'hold', take: take.take, from: from ?? take.to, layers: null };
  } else if (plate) shot = { id, kind: 'plate', plate, layers: null };
  if (!shot) return { board: b, id: '' };
  const at = i < 0 ? b.shots.length : i + 1;
  return { board: withShots(b, [...b.shots.slice(0, at), shot, ...b.shots.slice(at)]), id };
}
function freshName(b: Board): string {
  for (let n = b.shots.length + 1; ; n++) if (indexOf(b, `shot-${n}`) < 0) return `shot-${n}`;
}

/** A line is said in one shot: giving it to one takes it from the other. */
export function said(b: Board, id: string, line: string): Board {
  if (indexOf(b, id) < 0) return b;
  return withShots(b, b.shots.map((s) => {
    const rest = (s.lines ?? []).filter((l) => l !== line);
    if (s.id === id) return { ...s, lines: [...rest, line] };
    return rest.length === (s.lines ?? []).length ? s : { ...s, lines: rest };
  }));
}
export function unsaid(b: Board, id: string, line: string): Board {
  return changed(b, id, { lines: (b.shots[indexOf(b, id)]?.lines ?? []).filter((l) => l !== line) });
}
/** Lines that no shot says, in their order. */
export function silent(b: Board, lines: readonly string[]): string[] {
  const taken = new Set(b.shots.flatMap((s) => s.lines ?? []));
  return lines.filter((l) => !taken.has(l));
}

/** Another form; the usual values are left to the server. */
export function formed(b: Board, change: Partial<Form>): Board { return { ...b, form: { ...b.form, ...change } }; }

/** The gap between shots where a drag falls: before the first card whose middle lies right of it. */
export function gapAt(cards: readonly { left: number; width: number }[], x: number): number {
  const i = cards.findIndex((c) => x < c.left + c.width / 2);
  return i < 0 ? cards.length : i;
}

/** How long a number of frames is, as a clock shows it: "4.2 s". */
export const secondsOf = (frames: number, rate: number) => (Math.round((frames / rate) * 10) / 10).toFixed(1);
