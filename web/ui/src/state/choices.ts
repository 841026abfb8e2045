// Choices on the bout sheet, as functions from one line to the next, and the way of the
// hand through its cells.

import type { Phrase, Side } from '../api/client';

export type Cell = 'left' | 'measure' | 'right';
const cells: readonly Cell[] = ['left', 'measure', 'right'];

/** Writes what one fencer chose; an empty word takes it away. */
export function chosen(p: Phrase, who: Side, word: string): Phrase {
  const said = word.trim();
  const { [who]: _, ...other } = p.choices ?? {};
  const next = said ? { ...other, [who]: said } : other;
  const { choices: __, ...rest } = p;
  return Object.keys(next).length > 0 ? { ...rest, choices: next } : rest;
}

/** Writes the measure at which the phrase began; an empty name takes it away. */
export function measured(p: Phrase, name: string): Phrase {
  const { measure: _, ...rest } = p;
  return name ? { ...rest, measure: name } : rest;
}

/** The cell after this one: left, measure, right, the line below; undefined after the last. */
export function nextCell(line: number, cell: Cell, lines: number): { line: number; cell: Cell } | undefined {
  const next = cells[cells.indexOf(cell) + 1];
  if (next) return { line, cell: next };
  return line + 1 < lines ? { line: line + 1, cell: cells[0]! } : undefined;
}
