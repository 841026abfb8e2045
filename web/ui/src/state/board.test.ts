import { describe, expect, it } from 'vitest';
import { added, changed, formed, gapAt, moved, removed, said, secondsOf, shifted, silent, trimmed, turned, unsaid, type Board, type TakeToShow } from './board';

const take: TakeToShow = { take: 'live', title: 'live', from: 10, to: 90 };
const replay: TakeToShow = { take: 'replay', title: 'replay', from: 0, to: 200 };
const board = (): Board => ({
  form: {},
  shots: [
    { id: 'a', kind: 'live', take: 'live', from: 10, to: 90, layers: null, lines: ['opening what'] },
    { id: 'b', kind: 'slow', take: 'live', from: 40, to: 60, speed: 0.25, layers: null, lines: ['technique hand', 'technique gap'] },
    { id: 'c', kind: 'plate', plate: 'race', layers: null },
  ],
});
const order = (b: Board) => b.shots.map((s) => s.id).join('');
const shot = (b: Board, id: string) => b.shots.find((s) => s.id === id)!;

describe('the order of shots', () => {
  it('changes by the gap that a card falls into', () => {
    for (const [id, gap, want] of [['a', 2, 'bac'], ['a', 3, 'bca'], ['c', 0, 'cab'], ['b', 99, 'acb'], ['b', -3, 'bac']] as const) expect(order(moved(board(), id, gap)), `${id} to ${gap}`).toBe(want);
    const b = board();
    for (const [id, gap] of [['a', 0], ['a', 1], ['c', 3], ['nobody', 1]] as const) expect(moved(b, id, gap)).toBe(b);
    expect(moved(b, 'a', 3).edited).toBe(true);
    expect(order(b)).toBe('abc');
  });
  it('changes by the keyboard, a place at a time, and stops at the ends', () => {
    expect(order(shifted(board(), 'b', -1))).toBe('bac');
    expect(order(shifted(board(), 'b', 1))).toBe('acb');
    const b = board();
    expect(shifted(b, 'a', -1)).toBe(b);
    expect(shifted(b, 'c', 1)).toBe(b);
  });
  it('is found from where a drag falls', () => {
    const cards = [{ left: 0, width: 100 }, { left: 100, width: 40 }, { left: 140, width: 200 }];
    expect([-5, 49, 51, 119, 121, 239, 241, 900].map((x) => gapAt(cards, x))).toEqual([0, 0, 1, 1, 2, 2, 3, 3]);
    expect(gapAt([], 3)).toBe(0);
  });
});

describe('a trim', () => {
  it('stays within the take, and no end passes the other', () => {
    expect(shot(trimmed(board(), 'b', 'from', 45, take), 'b')).toMatchObject({ from: 45, to: 60 });
    expect(shot(trimmed(board(), 'b', 'from', 75, take), 'b')).toMatchObject({ from: 60, to: 60 });
    expect(shot(trimmed(board(), 'b', 'to', 5, take), 'b')).toMatchObject({ from: 40, to: 40 });
    expect(shot(trimmed(board(), 'b', 'to', 500, take), 'b').to).toBe(90);
    expect(shot(trimmed(board(), 'b', 'from', -5, take), 'b').from).toBe(10);
  });
  it('that changes nothing, or is no number, leaves no step', () => {
    const b = board();
    expect(trimmed(b, 'b', 'from', 40, take)).toBe(b);
    expect(trimmed(b, 'b', 'from', NaN, take)).toBe(b);
  });
});

describe('a shot', () => {
  it('changes alone; undefined leaves a thing to the server', () => {
    const b = changed(board(), 'b', { speed: undefined, title: 'The launch' });
    expect(shot(b, 'b')).not.toHaveProperty('speed');
    expect(shot(b, 'b').title).toBe('The launch');
    expect(shot(b, 'a')).toEqual(shot(board(), 'a'));
  });
  it('becomes another kind with what that kind needs', () => {
    expect(shot(turned(board(), 'a', 'hold', take, replay, 'race'), 'a')).toMatchObject({ kind: 'hold', take: 'live', from: 10, layers: null, lines: ['opening what'] });
    expect(shot(turned(board(), 'a', 'hold', take, replay, 'race'), 'a')).not.toHaveProperty('to');
    expect(shot(turned(board(), 'a', 'plate', take, replay, 'race'), 'a')).toEqual({ id: 'a', kind: 'plate', plate: 'race', layers: null, lines: ['opening what'] });
    expect(shot(turned(board(), 'c', 'live', take, replay, ''), 'c')).toMatchObject({ kind: 'live', take: 'live', from: 10, to: 90 });
    expect(shot(turned(board(), 'b', 'beside', take, replay, ''), 'b').other).toEqual({ take: 'replay', at: 0, meets: 40 });
    const b = board();
    expect(turned(b, 'b', 'beside', take, undefined, '')).toBe(b);
    expect(turned(b, 'a', 'plate', take, replay, '')).toBe(b);
    expect(turned(b, 'c', 'hold', undefined, undefined, '')).toBe(b);
  });
  it('goes, and a new one stands behind the one that was chosen, on its last frame', () => {
    expect(order(removed(board(), 'b'))).toBe('ac');
    const r = added(board(), 'b', take, 'race');
    expect(r.board.shots.map((s) => s.id)).toEqual(['a', 'b', r.id, 'c']);
    expect(shot(r.board, r.id)).toMatchObject({ kind: 'hold', take: 'live', from: 60 });
    expect(added(r.board, r.id, take, '').id).not.toBe(r.id);
    expect(added(board(), '', undefined, '').id).toBe('');
  });
});

describe('lines', () => {
  it('are said in one shot', () => {
    const b = said(board(), 'a', 'technique hand');
    expect([shot(b, 'a').lines, shot(b, 'b').lines]).toEqual([['opening what', 'technique hand'], ['technique gap']]);
    expect(unsaid(b, 'a', 'opening what').shots[0]!.lines).toEqual(['technique hand']);
  });
  it('that no shot says are named', () => {
    expect(silent(board(), ['opening what', 'timing race', 'technique gap'])).toEqual(['timing race']);
  });
});

it('a form changes by its parts and is no edit of the shots', () => {
  const b = formed(board(), { shape: '1:1' });
  expect(b.form).toEqual({ shape: '1:1' });
  expect(b.edited).toBeUndefined();
});
it('frames are seconds at their rate', () => { expect([secondsOf(45, 30), secondsOf(0, 25), secondsOf(126, 30)]).toEqual(['1.5', '0.0', '4.2']); });
