// The list of the salle: what is searched, and in which order it stands.

import type { Schemas } from '../api/client';

export type BoutCard = Schemas['BoutCard'];
export type Order = 'worked' | 'date' | 'name';

const plain = (s: string) => s.normalize('NFD').replace(/\p{M}/gu, '').toLowerCase();

/** The bouts in which every word of the search occurs, whatever its accents. */
export function found(bouts: readonly BoutCard[], search: string): BoutCard[] {
  const wanted = plain(search).split(/\s+/).filter(Boolean);
  return bouts.filter((b) => {
    const all = plain([b.left, b.left_club, b.right, b.right_club, b.event, b.round, b.date, b.weapon].join(' '));
    return wanted.every((w) => all.includes(w));
  });
}

export function ordered(bouts: readonly BoutCard[], by: Order): BoutCard[] {
  const text = (b: BoutCard) => plain(`${b.left} ${b.right} ${b.event}`);
  const compare: Record<Order, (a: BoutCard, b: BoutCard) => number> = {
    worked: (a, b) => b.stamp.saved.localeCompare(a.stamp.saved),
    date: (a, b) => b.date.localeCompare(a.date) || b.stamp.saved.localeCompare(a.stamp.saved),
    name: (a, b) => text(a).localeCompare(text(b)),
  };
  return [...bouts].sort(compare[by]);
}

/** Seconds left of work that has been going for some seconds; undefined while that says nothing. */
export function secondsLeft(share: number, going: number): number | undefined {
  if (share < 0.02 || going < 0.5) return undefined;
  return (going / share) * (1 - share);
}

/** "bout 3, pool.MOV" without its ending, as the name of a bout until it gets one. */
export function titleOf(file: string): string {
  const name = file.split(/[\\/]/).pop() ?? file;
  return name.replace(/\.[a-z0-9]{2,4}$/i, '').replace(/[_]+/g, ' ').trim() || name;
}
