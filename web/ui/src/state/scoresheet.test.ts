import { describe, expect, it } from 'vitest';
import { boutOf, decoded, isSheet, looseDoubts, lostOf, newHead, sentence, type SheetPreview } from './scoresheet';

const bytes = (...b: number[]) => new Uint8Array(b);

describe('the file of a score sheet', () => {
  it('is told from a video by its name', () => {
    for (const name of ['a.csv', 'A.CSV', 'pool.tsv', 'b.txt']) expect(isSheet(name), name).toBe(true);
    for (const name of ['a.mp4', 'csv', 'a.csv.mp4', 'a.mts']) expect(isSheet(name), name).toBe(false);
  });
  it('is read with the letters it was written in', () => {
    // "é" in UTF-8 (RFC 3629), in UTF-16 with either byte order mark, and in Windows-1252.
    expect(decoded(bytes(0x61, 0xc3, 0xa9))).toEqual({ text: 'aé', how: 'utf-8' });
    expect(decoded(bytes(0xff, 0xfe, 0xe9, 0x00))).toEqual({ text: 'é', how: 'utf-16' });
    expect(decoded(bytes(0xfe, 0xff, 0x00, 0xe9))).toEqual({ text: 'é', how: 'utf-16' });
    expect(decoded(bytes(0x61, 0xe9))).toEqual({ text: 'aé', how: 'windows-1252' });
    expect(decoded(bytes())).toEqual({ text: '', how: 'utf-8' });
  });
});

describe('the head of a score sheet', () => {
  it('leaves out what is not said', () => {
    expect(boutOf(newHead())).toEqual({ weapon: 'epee', touches: 15, left: {}, right: {} });
    expect(boutOf({ ...newHead(), left: ' Ash ', event: ' Club night', date: '2026-03-07', touches: 5, last: true }))
      .toEqual({ event: 'Club night', date: '2026-03-07', weapon: 'epee', touches: 5, last_double_counts: true, left: { name: 'Ash' }, right: {} });
  });
});

describe('the preview of a score sheet', () => {
  const touch = (doubts: string[]) => ({ number: 1, lamps: { left: true, right: false }, after: { left: 1, right: 0 }, choices: {}, doubts });
  const p: SheetPreview = {
    taken: 1, columns_not_read: [], doubts: [{ code: 'a', about: 'touch 1', doubt: 1, text: 'of the row' }, { code: 'b', about: '', doubt: 1, text: 'of the whole' }],
    rows: [{ line: 2, text: '1,left', taken: true, touch: touch(['of the row']) }, { line: 3, text: '2,me', taken: false, reason: 'who' }],
  };
  it('counts what was not taken and shows every doubt once', () => {
    expect(lostOf(p)).toBe(1);
    expect(looseDoubts(p)).toEqual(['of the whole']);
  });
  it('makes a sentence of what is wrong', () => {
    expect(sentence('line 1: it says nothing')).toBe('Line 1: it says nothing.');
    expect(sentence('Done.')).toBe('Done.');
  });
});
