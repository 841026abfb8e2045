import { describe, expect, it } from 'vitest';
import type { Phrase } from '../api/client';
import { chosen, measured, nextCell } from './choices';

const line: Phrase = { id: 'one', number: 1, before: { left: 0, right: 0 }, after: { left: 1, right: 0 }, lamps: { left: true, right: false } };

describe('choices on the sheet', () => {
  it('writes one side and leaves the other; an empty word takes it away, and with it the last of both', () => {
    const a = chosen(line, 'left', '  attack ');
    expect(a.choices).toEqual({ left: 'attack' });
    const b = chosen(a, 'right', 'quarte');
    expect(b.choices).toEqual({ left: 'attack', right: 'quarte' });
    expect(chosen(b, 'left', '').choices).toEqual({ right: 'quarte' });
    expect('choices' in chosen(a, 'left', ' ')).toBe(false);
    expect(line).not.toHaveProperty('choices');
  });
  it('writes the measure', () => {
    expect(measured(line, 'medium').measure).toBe('medium');
    expect('measure' in measured(measured(line, 'medium'), '')).toBe(false);
  });
  it('leads through every cell once, from the first line to the last', () => {
    const seen: string[] = [];
    for (let at: ReturnType<typeof nextCell> = { line: 0, cell: 'left' }; at; at = nextCell(at.line, at.cell, 3)) seen.push(`${at.line}${at.cell[0]}`);
    expect(seen).toEqual(['0l', '0m', '0r', '1l', '1m', '1r', '2l', '2m', '2r']);
  });
});
