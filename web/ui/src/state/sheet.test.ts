import { describe, expect, it } from 'vitest';
import type { BoutSheet } from '../api/client';
import { found, ordered, secondsLeft, titleOf, type BoutCard } from './salle';
import { changed, clockText, freshName, inserted, lineAt, clockOf, middleOf, named, neighbour, recorded, removed, shifted, timed, usualSpan } from './sheet';

const start: BoutSheet = { bout: { left: {}, right: {} }, videos: [] };
const at = (s: BoutSheet, id: string, t: number, video = 'v') => recorded(s, { id, video, at: t, left: true, right: false }, usualSpan, 100);
const ids = (s: BoutSheet) => (s.bout.sheet ?? []).map((p) => p.id);

describe('the sheet', () => {
  it('puts a line where its time asks for', () => {
    const s = at(at(at(start, 'a', 10), 'c', 50), 'b', 30);
    expect(ids(s)).toEqual(['a', 'b', 'c']);
    expect(ids(at(s, 'other', 5, 'w'))).toEqual(['a', 'b', 'c', 'other']);
  });
  it('keeps the stretch within the video', () => {
    const first = at(start, 'a', 2).bout.sheet![0]!;
    expect([first.from_s, first.to_s]).toEqual([0, 4]);
    expect(at(start, 'z', 99).bout.sheet![0]!.to_s).toBe(100);
  });
  it('changes, inserts, moves and removes without touching what it got', () => {
    const s = at(at(start, 'a', 10), 'b', 20);
    const before = JSON.stringify(s);
    expect(changed(s, 'a', (p) => ({ ...p, annulled: true })).bout.sheet![0]!.annulled).toBe(true);
    expect(ids(inserted(s, 'x', 1))).toEqual(['a', 'x', 'b']);
    expect(ids(shifted(s, 'a', 1))).toEqual(['b', 'a']);
    expect(shifted(s, 'b', 1)).toBe(s);
    expect(ids(removed(s, 'a'))).toEqual(['b']);
    expect(JSON.stringify(s)).toBe(before);
  });
  it('names lines that have none, and only those', () => {
    const s = at(start, 'a', 1);
    expect(named(s, () => 'n')).toBe(s);
    const bare = { ...s, bout: { ...s.bout, sheet: [{ ...s.bout.sheet![0]!, id: undefined as unknown as string }] } };
    expect(ids(named(bare, () => 'n'))).toEqual(['n']);
    expect(freshName(() => 0)).toBe('taaaaaaa');
  });
  it('knows which line an instant belongs to', () => {
    const lines = at(at(start, 'a', 10), 'b', 14).bout.sheet!;
    expect(lineAt(lines, 'v', 11)?.id).toBe('b');
    expect(lineAt(lines, 'v', 6)?.id).toBe('a');
    expect(lineAt(lines, 'w', 6)).toBeUndefined();
  });
  it('lets a noted period go on, but not a relay', () => {
    const noted = changed(at(start, 'a', 10), 'a', (p) => ({ ...p, period: 2 }));
    expect(at(noted, 'b', 20).bout.sheet![1]!.period).toBe(2);
    expect(at(noted, 'z', 5).bout.sheet![0]!.period).toBeUndefined();
    expect(at({ ...noted, bout: { ...noted.bout, touches: 45 } }, 'b', 20).bout.sheet![1]!.period).toBeUndefined();
  });
  it('keeps the instants of a line in order, whichever is set', () => {
    const p = at(start, 'a', 10).bout.sheet![0]!; // 4 to 12
    const of = (q: typeof p) => [q.from_s, q.halt_s, q.to_s];
    expect(of(timed(p, 'v', 'from_s', 8))).toEqual([8, 10, 12]);
    expect(of(timed(p, 'v', 'from_s', 20))).toEqual([20, 20, 20]);
    expect(of(timed(p, 'v', 'to_s', 6))).toEqual([4, 6, 6]);
    expect(of(timed(p, 'v', 'halt_s', 1))).toEqual([1, 1, 12]);
    const bare = inserted(start, 'x', 0).bout.sheet![0]!;
    expect(timed(bare, 'w', 'halt_s', 7)).toMatchObject({ video: 'w', from_s: 7, halt_s: 7, to_s: 7 });
  });
  it('goes from line to line and stays at the ends', () => {
    const lines = at(at(start, 'a', 10), 'b', 14).bout.sheet!;
    expect(neighbour(lines, 'a', 1)?.id).toBe('b');
    expect(neighbour(lines, 'b', 1)?.id).toBe('b');
    expect(neighbour(lines, '', 1)?.id).toBe('a');
    expect(neighbour(lines, '', -1)?.id).toBe('b');
    expect(neighbour([], 'a', 1)).toBeUndefined();
  });
  it('reads times as people write them', () => {
    expect(clockOf('3:07.2')).toBeCloseTo(187.2);
    expect(clockOf(' 12,5 ')).toBe(12.5);
    expect(clockOf('1:03:07')).toBe(3787);
    for (const bad of ['', 'x', '1:', '-3', '1.5:20']) expect(clockOf(bad), bad).toBeUndefined();
  });
  it('writes times', () => {
    expect(clockText(187.25)).toBe('3:07.3');
    expect(clockText(-1)).toBe('0:00.0');
    expect(clockText(61.04, 2)).toBe('1:01.04');
    // Never "1:60.0": what rounds up to a minute is one.
    expect(clockText(119.97)).toBe('2:00.0');
  });
  it('seeks to the middle of a frame', () => {
    expect(middleOf([0, 0.04, 0.1], 1)).toBeCloseTo(0.07);
    expect(middleOf([0, 0.04, 0.1], 2)).toBeCloseTo(0.13);
  });
});

describe('the salle', () => {
  const card = (left: string, date: string, saved: string) => ({ left, left_club: `Cercle ${left}`, right: 'B', right_club: '', event: 'Épreuve', round: '', date, weapon: 'epee', stamp: { saved } }) as BoutCard;
  const all = [card('Zoé', '2025-01-01', '2026-02-01'), card('Anna', '2025-03-01', '2026-01-01')];
  it('finds without accents and by several words', () => {
    expect(found(all, 'zoe epreuve').map((b) => b.left)).toEqual(['Zoé']);
    expect(found(all, 'zoe anna')).toEqual([]);
    expect(found(all, 'cercle zoe')).toHaveLength(1);
    expect(found(all, ' ')).toHaveLength(2);
  });
  it('sorts', () => {
    expect(ordered(all, 'worked')[0]!.left).toBe('Zoé');
    expect(ordered(all, 'date')[0]!.left).toBe('Anna');
    expect(ordered(all, 'name')[0]!.left).toBe('Anna');
  });
  it('says the time left only when it means something', () => {
    expect(secondsLeft(0.01, 9)).toBeUndefined();
    expect(secondsLeft(0.25, 2)).toBe(6);
  });
  it('names a bout after its file', () => {
    expect(titleOf('C:\\clips\\pool_3.MOV')).toBe('pool 3');
    expect(titleOf('.mp4')).toBe('.mp4');
  });
});
