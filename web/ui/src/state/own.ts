// A fencer's own numbers: a list in the order of the trade, changed as a whole.

import type { Own, OwnFigure } from '../api/client';

/** The list with this number at another value or spread; without a value it is out. An empty list is none. */
export function withOwn(list: readonly Own[] | undefined, figures: readonly OwnFigure[], name: string, value: number | undefined, sd?: number): Own[] | undefined {
  const next = (list ?? []).filter((o) => o.name !== name);
  if (value !== undefined) next.push(sd ? { name, value, sd } : { name, value });
  const order = (o: Own) => figures.findIndex((f) => f.name === o.name);
  next.sort((a, b) => order(a) - order(b));
  return next.length > 0 ? next : undefined;
}

/** The widest spread that is taken: as wide as the values may lie apart. */
export function mostSD(f: OwnFigure): number { return Number((f.most - f.least).toPrecision(3)); }
