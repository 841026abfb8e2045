import { describe, expect, it } from 'vitest';
import { en } from '../words/en';
import { chordOf, commandOf, deskKeys, plainKeys, sheetKeys, threadKeys } from './keys';

const page = { field: false, button: false };

describe('keys', () => {
  it('writes chords in one order', () => {
    expect(chordOf({ key: 'Z', ctrlKey: true, shiftKey: true })).toBe('Ctrl+Shift+Z');
    expect(chordOf({ key: 'z', metaKey: true })).toBe('Ctrl+Z');
    expect(chordOf({ key: '?', shiftKey: true })).toBe('?');
    expect(chordOf({ key: ' ' })).toBe('Space');
    expect(chordOf({ key: 'ArrowLeft', altKey: true })).toBe('Alt+ArrowLeft');
  });
  it('leaves fields their letters and their own undo', () => {
    expect(commandOf(deskKeys, { key: 'm' }, page)).toBe('moment');
    expect(commandOf(deskKeys, { key: 'm' }, { field: true, button: false })).toBeUndefined();
    expect(commandOf(deskKeys, { key: 'z', ctrlKey: true }, { field: true, button: false })).toBeUndefined();
    expect(commandOf(deskKeys, { key: 'ArrowLeft' }, { field: true, button: false })).toBeUndefined();
  });
  it('leaves buttons Space and Enter', () => {
    expect(commandOf(deskKeys, { key: ' ' }, { field: false, button: true })).toBeUndefined();
    expect(commandOf(deskKeys, { key: 'ArrowLeft' }, { field: false, button: true })).toBe('previous');
  });
  it('can do without single signs', () => {
    expect(commandOf(deskKeys, { key: 'm' }, page, false)).toBeUndefined();
    expect(commandOf(deskKeys, { key: 'ArrowLeft' }, page, false)).toBe('previous');
  });
  it('gives no chord two meanings, and every command its words', () => {
    for (const keys of [deskKeys, sheetKeys, threadKeys, plainKeys]) {
      const all = keys.flatMap((b) => b.chords);
      expect(new Set(all).size).toBe(all.length);
      for (const b of keys) expect((en.keys.commands as Record<string, string>)[b.command], b.command).toBeTruthy();
    }
  });
});
