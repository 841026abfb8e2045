// A score sheet on its way into the library: how its file is read, and what the bout is
// called. What becomes of its rows is decided by the server.

import type { Bout, Schemas } from '../api/client';

export type SheetPreview = Schemas['SheetPreview'];

/** What the sheet does not say of its bout, as it stands in the fields. */
export interface Head { left: string; right: string; event: string; round: string; date: string; weapon: string; touches: number; last: boolean }

export const newHead = (): Head => ({ left: '', right: '', event: '', round: '', date: '', weapon: 'epee', touches: 15, last: false });

/** More than any score sheet of one bout. */
export const mostBytes = 1 << 20;

/** Whether a file is a score sheet by its name, and no video. */
export const isSheet = (name: string) => /\.(csv|tsv|txt)$/i.test(name);

/** The head as the server takes it; what is empty is left out. */
export function boutOf(h: Head): Bout {
  const named = (name: string) => (name.trim() ? { name: name.trim() } : {});
  const said = (key: 'event' | 'round' | 'date') => (h[key].trim() ? { [key]: h[key].trim() } : {});
  return { ...said('event'), ...said('round'), ...said('date'), weapon: h.weapon, touches: h.touches, ...(h.last ? { last_double_counts: true } : {}), left: named(h.left), right: named(h.right) };
}

/** How a file was written: as UTF-8, as UTF-16 with its mark, or as older tables of letters. */
export interface Decoded { text: string; how: 'utf-8' | 'utf-16' | 'windows-1252' }

/** The text of a file. What is no UTF-8 is read as a spreadsheet of western Europe writes it, and says so. */
export function decoded(bytes: Uint8Array): Decoded {
  const mark = bytes[0] === 0xff && bytes[1] === 0xfe ? 'utf-16le' : bytes[0] === 0xfe && bytes[1] === 0xff ? 'utf-16be' : '';
  if (mark) return { text: new TextDecoder(mark).decode(bytes), how: 'utf-16' };
  try {
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes), how: 'utf-8' };
  } catch {
    return { text: new TextDecoder('windows-1252').decode(bytes), how: 'windows-1252' };
  }
}

/** How many rows were not taken. */
export const lostOf = (p: SheetPreview) => p.rows.length - p.taken;

/** The doubts that belong to no row that is shown: of the sheet as a whole. */
export function looseDoubts(p: SheetPreview): string[] {
  const told = new Set(p.rows.flatMap((r) => r.touch?.doubts ?? []));
  return p.doubts.map((d) => d.text).filter((t) => !told.has(t));
}

/** What the server says of a sheet as a sentence: it may begin in mid-line. */
export const sentence = (said: string) => said.charAt(0).toUpperCase() + said.slice(1) + (/[.?]$/.test(said) ? '' : '.');
