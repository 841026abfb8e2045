// Notes of actions: what the word of an action does not say, as functions from one touch
// to the next.

import type { Schemas, Touch } from '../api/client';

export type PhraseNote = Schemas['PhraseNote'];
/** What a note may say. */
export type NotePart = 'line' | 'target' | 'nature' | 'intention' | 'result';
export const noteParts: readonly NotePart[] = ['line', 'target', 'nature', 'intention', 'result'];

export function noteOf(t: Touch, action: string): PhraseNote | undefined {
  return t.notes?.find((n) => n.action === action);
}

/** Says one thing of an action; an empty word unsays it. A note that says nothing is none. */
export function noted(t: Touch, action: string, part: NotePart, word: string): Touch {
  const old = noteOf(t, action);
  if ((old?.[part] ?? '') === word) return t;
  const { [part]: _, ...rest } = old ?? { action };
  const next: PhraseNote = word === '' ? { ...rest, action } : { ...rest, action, [part]: word };
  const others = withoutNote(t, action);
  if (!noteParts.some((p) => next[p])) return others;
  return { ...others, notes: [...(others.notes ?? []), next] };
}

/** Takes the note of an action out. */
export function withoutNote(t: Touch, action: string): Touch {
  if (!t.notes?.some((n) => n.action === action)) return t;
  const notes = t.notes.filter((n) => n.action !== action);
  const { notes: _, ...rest } = t;
  return notes.length > 0 ? { ...rest, notes } : rest;
}

/** The coach's own call of the priority. */
export function called(t: Touch, priority: string): Touch {
  const { priority: was, ...rest } = t;
  if ((was ?? '') === priority) return t;
  return priority === '' ? rest : { ...rest, priority };
}
