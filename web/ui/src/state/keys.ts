// Keys: from what was pressed to what is meant. One list serves both the handling and
// the sheet of keys, so that neither can forget the other.

import { thingKeys } from './stageorder';

export interface KeyLike {
  key: string;
  code?: string;
  ctrlKey?: boolean;
  metaKey?: boolean;
  altKey?: boolean;
  shiftKey?: boolean;
}

export interface Binding<C extends string = string> {
  /** Chords as chordOf writes them. */
  chords: string[];
  command: C;
}

/** "Ctrl+Shift+Z": the modifiers in one order; Cmd counts as Ctrl. A sign that needs Shift is written as the sign. */
export function chordOf(e: KeyLike): string {
  let key = e.key === ' ' ? 'Space' : e.key;
  const letter = /^[a-z]$/i.test(key);
  // With Alt some keyboards write another sign; the place of the key is what is meant.
  if (e.altKey && e.code && /^Key[A-Z]$/.test(e.code)) key = e.code.slice(3);
  if (letter) key = key.toUpperCase();
  const named = key.length > 1 || letter;
  const parts: string[] = [];
  if (e.ctrlKey || e.metaKey) parts.push('Ctrl');
  if (e.altKey) parts.push('Alt');
  if (e.shiftKey && named) parts.push('Shift');
  parts.push(key);
  return parts.join('+');
}

/** Whether the key belongs to the thing that has the focus: a field takes letters, a button takes Space and Enter. */
export interface Focus { field: boolean; button: boolean }

export function commandOf<C extends string>(bindings: readonly Binding<C>[], e: KeyLike, focus: Focus, letters = true): C | undefined {
  const chord = chordOf(e);
  if (focus.field && !/^Ctrl\+(Shift\+)?[A-Z]$/.test(chord)) return undefined;
  // Undo in a field is the field's own.
  if (focus.field && /^Ctrl\+/.test(chord) && !/^Ctrl\+S$/.test(chord)) return undefined;
  if (focus.button && (chord === 'Space' || chord === 'Enter')) return undefined;
  // A single sign can be switched off (WCAG 2.1.4); named keys stay.
  if (!letters && chord.length === 1) return undefined;
  return bindings.find((b) => b.chords.includes(chord))?.command;
}

const steps: Binding<Transport>[] = [
  { chords: ['ArrowRight', '.'], command: 'next' },
  { chords: ['ArrowLeft', ','], command: 'previous' },
  { chords: ['Home'], command: 'first' },
  { chords: ['End'], command: 'last' },
  { chords: ['Space'], command: 'play' },
  { chords: ['L'], command: 'faster' },
  { chords: ['J'], command: 'backwards' },
  { chords: ['K'], command: 'stop' },
];

export type Transport = 'next' | 'previous' | 'forward' | 'back' | 'first' | 'last' | 'play' | 'faster' | 'backwards' | 'stop';
export type Always = 'undo' | 'redo' | 'keys';
export type OnDesk =
  | 'look' | 'place' | 'mark' | 'side' | 'nextThing' | 'previousThing' | 'remove' | 'put' | 'cancel' | 'copy' | 'fit' | 'closer' | 'wider'
  | 'left' | 'right' | 'up' | 'down' | 'farLeft' | 'farRight' | 'farUp' | 'farDown' | 'setNext' | 'setPrevious' | 'thing' | 'take' | 'moment' | 'action' | 'note' | 'begins' | 'ends' | 'from'
  | 'follow' | 'hide' | 'nextMark' | 'placeLost' | 'accept' | 'refuse' | 'also' | 'traces' | 'timing' | 'tactics';
export type OnSheet = 'hitLeft' | 'hitRight' | 'hitBoth' | 'halt' | 'secondOn' | 'secondBack' | 'lineAbove' | 'lineBelow' | 'touchFrom' | 'touchTo' | 'correct' | 'apart' | 'removeLine' | 'sheetChoices';

const always: Binding<Always>[] = [
  { chords: ['Ctrl+Z'], command: 'undo' },
  { chords: ['Ctrl+Shift+Z', 'Ctrl+Y'], command: 'redo' },
  { chords: ['?'], command: 'keys' },
];

export const deskKeys: Binding<Transport | Always | OnDesk>[] = [
  ...steps,
  { chords: ['Shift+ArrowRight'], command: 'forward' },
  { chords: ['Shift+ArrowLeft'], command: 'back' },
  { chords: [']'], command: 'setNext' },
  { chords: ['['], command: 'setPrevious' },
  { chords: ['T'], command: 'take' },
  { chords: ['1'], command: 'look' },
  { chords: ['2'], command: 'place' },
  { chords: ['3'], command: 'mark' },
  { chords: ['4'], command: 'timing' },
  { chords: ['5'], command: 'tactics' },
  { chords: ['X'], command: 'side' },
  { chords: [...thingKeys], command: 'thing' },
  { chords: ['N'], command: 'nextThing' },
  { chords: ['Shift+N'], command: 'previousThing' },
  { chords: ['Alt+ArrowLeft'], command: 'left' },
  { chords: ['Alt+ArrowRight'], command: 'right' },
  { chords: ['Alt+ArrowUp'], command: 'up' },
  { chords: ['Alt+ArrowDown'], command: 'down' },
  { chords: ['Alt+Shift+ArrowLeft'], command: 'farLeft' },
  { chords: ['Alt+Shift+ArrowRight'], command: 'farRight' },
  { chords: ['Alt+Shift+ArrowUp'], command: 'farUp' },
  { chords: ['Alt+Shift+ArrowDown'], command: 'farDown' },
  { chords: ['Enter'], command: 'put' },
  { chords: ['C'], command: 'copy' },
  { chords: ['Delete', 'Backspace'], command: 'remove' },
  { chords: ['Escape'], command: 'cancel' },
  { chords: ['M'], command: 'moment' },
  { chords: ['A'], command: 'action' },
  { chords: ['Shift+A'], command: 'note' },
  { chords: ['I'], command: 'begins' },
  { chords: ['O'], command: 'ends' },
  { chords: ['R'], command: 'from' },
  { chords: ['Shift+F'], command: 'follow' },
  { chords: ['U'], command: 'hide' },
  { chords: ['P'], command: 'nextMark' },
  { chords: ['Shift+P'], command: 'placeLost' },
  { chords: ['Y'], command: 'accept' },
  { chords: ['Shift+Y'], command: 'refuse' },
  { chords: ['Shift+M'], command: 'also' },
  { chords: ['Shift+T'], command: 'traces' },
  { chords: ['+', '='], command: 'closer' },
  { chords: ['-'], command: 'wider' },
  { chords: ['0'], command: 'fit' },
  ...always,
];

export const sheetKeys: Binding<Transport | Always | OnSheet>[] = [
  ...steps,
  { chords: ['Shift+ArrowRight'], command: 'secondOn' },
  { chords: ['Shift+ArrowLeft'], command: 'secondBack' },
  { chords: ['Q'], command: 'hitLeft' },
  { chords: ['W'], command: 'hitBoth' },
  { chords: ['E'], command: 'hitRight' },
  { chords: ['H'], command: 'halt' },
  { chords: ['ArrowUp'], command: 'lineAbove' },
  { chords: ['ArrowDown'], command: 'lineBelow' },
  { chords: ['I'], command: 'touchFrom' },
  { chords: ['O'], command: 'touchTo' },
  { chords: ['Enter'], command: 'correct' },
  { chords: ['T'], command: 'apart' },
  { chords: ['C'], command: 'sheetChoices' },
  { chords: ['Delete', 'Backspace'], command: 'removeLine' },
  ...always,
];

export type OnThread = 'touchOn' | 'touchBack' | 'coach' | 'closeSource';

export const threadKeys: Binding<OnThread | 'keys'>[] = [
  { chords: ['ArrowRight', ']'], command: 'touchOn' },
  { chords: ['ArrowLeft', '['], command: 'touchBack' },
  { chords: ['X'], command: 'coach' },
  { chords: ['Escape'], command: 'closeSource' },
  { chords: ['?'], command: 'keys' },
];

export const tellKeys: Binding<'play' | Always>[] = [{ chords: ['Space'], command: 'play' }, ...always];

export const plainKeys: Binding<Always>[] = always;
