import { describe, expect, it } from 'vitest';
import type { Touch } from '../api/client';
import { withoutAction } from './desk.svelte';
import { called, noteOf, noted } from './notes';

const touch = {
  bout: { left: {}, right: {} }, before: { left: 0, right: 0 }, videos: [], takes: [], placings: [], marks: [], moments: [],
  actions: [{ id: 'a', who: 'left', line: 'blade', word: 'attack', take: 'live', from: 1, to: 4 }, { id: 'b', who: 'right', line: 'hand', word: 'quarte', take: 'live', from: 3, to: 6 }],
  race: { left: { onset: {} }, right: { onset: {} } },
} as Touch;

describe('notes of actions', () => {
  it('say one thing after the other, and unsay it', () => {
    let t = noted(touch, 'a', 'target', 'chest');
    t = noted(t, 'a', 'nature', 'feint');
    t = noted(t, 'b', 'result', 'miss');
    expect(t.notes).toHaveLength(2);
    expect(noteOf(t, 'a')).toEqual({ action: 'a', target: 'chest', nature: 'feint' });
    t = noted(t, 'a', 'target', '');
    expect(noteOf(t, 'a')).toEqual({ action: 'a', nature: 'feint' });
    t = noted(noted(t, 'a', 'nature', ''), 'b', 'result', '');
    expect('notes' in t).toBe(false); // as it was before: saved alike
    expect(t).toEqual(touch);
    expect(touch.notes).toBeUndefined();
  });
  it('are no step where nothing changes', () => {
    expect(noted(touch, 'a', 'line', '')).toBe(touch);
    const t = noted(touch, 'a', 'line', 'sixte');
    expect(noted(t, 'a', 'line', 'sixte')).toBe(t);
    expect(called(touch, '')).toBe(touch);
  });
  it('go with their action, in the same change', () => {
    const t = noted(noted(touch, 'a', 'line', 'sixte'), 'b', 'line', 'quarte');
    const after = withoutAction(t, 'a');
    expect(after.actions.map((a) => a.id)).toEqual(['b']);
    expect(after.notes).toEqual([{ action: 'b', line: 'quarte' }]);
  });
  it('keep the call of the priority apart', () => {
    expect(called(touch, 'left').priority).toBe('left');
    expect('priority' in called(called(touch, 'left'), '')).toBe(false);
  });
});
