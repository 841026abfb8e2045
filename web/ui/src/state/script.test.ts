import { describe, expect, it } from 'vitest';
import { CARET, drawnBack, freshOwn, frozen, leftOut, letGo, lineMoved, ownAdded, renewed, reworded, textOf, tidy, type Line, type Script, type Stale } from './script';

const gap = { text: '1.42 ± 0.06 m', ref: 'gap' };
const line = (key: string, ...pieces: Line['pieces']): Line => ({ key, claim: 'c', pieces });
const script = (): Script => ({
  inputs: 'x', language: 'en', level: 'club', names: 'names', offered: ['technique hand', 'technique gap', 'timing race'], sources: [],
  parts: [
    { kind: 'technique', lines: [line('hand', { text: 'The hand goes first.' }), line('gap', { text: 'From ' }, gap, { text: ' the point has to travel.' })] },
    { kind: 'timing', lines: [line('race', { text: 'Left is first.' })] },
  ],
});
const at = (s: Script, part: number, n: number) => s.parts[part]!.lines[n]!;

describe('words of a line', () => {
  it('come from the page tidy: neighbours joined, caret stops gone, numbers whole', () => {
    expect(tidy([{ text: CARET }, { text: '  From' }, { text: '  ' }, gap, { text: CARET + ' on \n' }])).toEqual([{ text: 'From ' }, gap, { text: ' on' }]);
    expect(tidy([{ text: CARET }, gap, { text: CARET }])).toEqual([gap]);
    expect(tidy([{ text: ' \u200b ' }])).toEqual([]);
  });
  it('stay one step away from nothing: the same words are the same script', () => {
    const s = script();
    expect(reworded(s, 0, 1, [{ text: 'From' }, { text: ' ' }, { text: CARET }, gap, { text: ' the point has to travel.' }])).toBe(s);
    expect(reworded(s, 5, 5, [{ text: 'x' }])).toBe(s);
  });
  it('are the coach\u2019s, and the number stays bound wherever it goes', () => {
    const s = reworded(script(), 0, 1, [{ text: 'The point travels ' }, gap, { text: '.' }]);
    expect(at(s, 0, 1)).toMatchObject({ key: 'gap', edited: true, pieces: [{ text: 'The point travels ' }, gap, { text: '.' }] });
  });
  it('may leave a number out as a whole', () => {
    expect(at(reworded(script(), 0, 1, [{ text: 'Far.' }]), 0, 1).pieces).toEqual([{ text: 'Far.' }]);
  });
  it('that are none leave the line out, and an empty part goes', () => {
    const s = reworded(script(), 1, 0, [{ text: CARET }]);
    expect(s.parts.map((p) => p.kind)).toEqual(['technique']);
  });
  it('leave what they came from alone', () => {
    const s = script();
    reworded(s, 0, 1, [{ text: 'x' }]); frozen(s, 0, 1, true); leftOut(s, 0, 0); lineMoved(s, 0, 0, 1);
    expect(s).toEqual(script());
  });
});

describe('numbers', () => {
  it('freeze and live again', () => {
    const cold = frozen(script(), 0, 1, true);
    expect(at(cold, 0, 1).pieces[1]).toEqual({ ...gap, frozen: true });
    expect(frozen(cold, 0, 1, true)).toBe(cold);
    expect(at(frozen(cold, 0, 1, false), 0, 1).pieces[1]).toEqual(gap);
    const s = script();
    expect(frozen(s, 0, 0, true)).toBe(s); // no number in it
  });
  it('that grew stale become what is measured now, or plain words', () => {
    const stale: Stale = { why: 'number', part: 0, line: 1, piece: 1, ref: 'gap', was: gap.text, now: '1.38 ± 0.05 m' };
    const now = renewed(frozen(script(), 0, 1, true), stale);
    expect(at(now, 0, 1).pieces[1]).toEqual({ text: '1.38 ± 0.05 m', ref: 'gap' });
    expect(at(letGo(script(), { ...stale, why: 'gone' }), 0, 1).pieces).toEqual([{ text: 'From 1.42 ± 0.06 m the point has to travel.' }]);
  });
});

describe('lines', () => {
  it('that were left out come back where the draft has them', () => {
    const out = leftOut(script(), 0, 0);
    expect(out.parts[0]!.lines.map((l) => l.key)).toEqual(['gap']);
    expect(drawnBack(out, { part: 'technique', line: line('hand', { text: 'x' }) }).parts[0]!.lines.map((l) => l.key)).toEqual(['hand', 'gap']);
    const none = leftOut(script(), 1, 0);
    expect(drawnBack(none, { part: 'timing', line: line('race', { text: 'x' }) }).parts.map((p) => p.kind)).toEqual(['technique', 'timing']);
  });
  it('take the words of the draft in their own place', () => {
    const s = drawnBack(script(), { part: 'technique', line: line('gap', { text: 'New.' }) });
    expect(s.parts[0]!.lines.map(textOf)).toEqual(['The hand goes first.', 'New.']);
  });
  it('of one\u2019s own stand at the end of a part, each with a name of its own, and stay there', () => {
    let s = ownAdded(script(), 'tactics', '  Watch  the front foot. ', freshOwn(script()));
    expect(s.parts.map((p) => p.kind)).toEqual(['technique', 'tactics', 'timing']);
    expect(at(s, 1, 0)).toEqual({ key: 'own-1', claim: '', pieces: [{ text: 'Watch the front foot.' }], edited: true });
    s = ownAdded(s, 'tactics', 'Again.', freshOwn(s));
    expect(s.parts[1]!.lines.map((l) => l.key)).toEqual(['own-1', 'own-2']);
    expect(ownAdded(s, 'tactics', ' ', 'own-9')).toBe(s);
  });
  it('move within their part and no further', () => {
    expect(lineMoved(script(), 0, 0, 1).parts[0]!.lines.map((l) => l.key)).toEqual(['gap', 'hand']);
    const s = script();
    expect(lineMoved(s, 0, 1, 1)).toBe(s);
    expect(lineMoved(s, 1, 0, -1)).toBe(s);
  });
});
