// What is asked for next on the picture, and where the loupe stands: plain functions.

import type { Mark, Side } from '../api/client';
import type { Selected } from './desk.svelte';
import type { Size } from './view';

/** The keys of the things on a fencer, in the order of the trade: three rows under the left hand. */
export const thingKeys = ['Q', 'W', 'E', 'S', 'D', 'F', 'G', 'Z', 'V', 'B', 'H'] as const;

export interface Known { name: string; painted: boolean; on: { x: number } }

/** The piste point to ask for: the one that would help most, else one that was set on a neighbouring frame, else the painted one nearest to the middle, which pictures tend to show; empty where all are set. */
export function nextPoint(points: readonly Known[], set: ReadonlySet<string>, advised: readonly string[], neighbours: readonly string[] = []): string {
  const open = points.filter((p) => !set.has(p.name));
  const known = [...advised, ...neighbours].find((n) => open.some((p) => p.name === n));
  const order = (p: Known) => Math.abs(p.on.x) + (p.painted ? 0 : 100);
  return known ?? [...open].sort((a, b) => order(a) - order(b))[0]?.name ?? '';
}

export interface Thing { who: Side; what: string }

/** The thing to ask for after this one: the next of the same fencer that is not set, else the first of the other; null where all are set. */
export function nextThing(things: readonly string[], set: readonly Pick<Mark, 'who' | 'what'>[], from: Thing): Thing | null {
  const has = (who: Side, what: string) => set.some((m) => m.who === who && m.what === what);
  const at = things.indexOf(from.what);
  const other: Side = from.who === 'left' ? 'right' : 'left';
  for (const what of [...things.slice(at + 1), ...things.slice(0, at + 1)]) if (!has(from.who, what)) return { who: from.who, what };
  for (const what of things) if (!has(other, what)) return { who: other, what };
  return null;
}

/** One step through the things of both fencers, round and round. */
export function stepThing(things: readonly string[], from: Thing, by: number): Thing {
  const all = (['left', 'right'] as Side[]).flatMap((who) => things.map((what) => ({ who, what })));
  const at = all.findIndex((t) => t.who === from.who && t.what === from.what);
  return all[(at + by + all.length) % all.length] ?? from;
}

export interface Corner { right: boolean; bottom: boolean }

/** How near the point may come to the loupe before it gives way, in stage pixels. */
const AWAY = 48;

/** The corner in which the loupe stands: it stays where it is until the point comes near, and then goes to the other side. */
export function loupeAt(now: Corner, p: { x: number; y: number }, stage: Size, loupe: Size): Corner {
  const near = (c: Corner) => {
    const left = c.right ? stage.width - loupe.width : 0;
    const top = c.bottom ? stage.height - loupe.height : 0;
    return p.x > left - AWAY && p.x < left + loupe.width + AWAY && p.y > top - AWAY && p.y < top + loupe.height + AWAY;
  };
  if (!near(now)) return now;
  const across = { ...now, right: !now.right };
  if (!near(across)) return across;
  const over = { ...now, bottom: !now.bottom };
  if (!near(over)) return over;
  return { right: p.x < stage.width / 2, bottom: p.y < stage.height / 2 };
}

/** What has a gesture's words: the page fills them in. */
export interface GestureWords {
  place: (name: string) => string;
  mark: (who: Side, what: string) => string;
  removePoint: (name: string) => string;
  removeMark: (who: Side, what: string) => string;
  removeMoment: string;
  removeAction: string;
  takeOver: string;
  nudge: (thing: string) => string;
  sure: string;
}

/** Whether two selections are of one thing on the picture. */
export function same(a: Selected, b: Selected): boolean {
  if (a.kind === 'point') return b.kind === 'point' && a.name === b.name;
  return a.kind === 'mark' && b.kind === 'mark' && a.who === b.who && a.what === b.what;
}
