import { describe, expect, it } from 'vitest';
import { Theme, type Keep } from './theme.svelte';

function keep(first: string | null = null): Keep & { value: string | null } {
  return { value: first, get() { return this.value; }, set(v) { this.value = v; } };
}

describe('paper and night', () => {
  it('follow the system until the reader chooses', () => {
    const t = new Theme(keep(), 'paper');
    expect(t.light).toBe('paper');
    t.system = 'night';
    expect(t.night).toBe(true);
  });
  it('keep the choice, and forget one that the system makes anyway', () => {
    const k = keep();
    const t = new Theme(k, 'paper');
    t.turn();
    expect([t.light, k.value]).toEqual(['night', 'night']);
    expect(new Theme(k, 'paper').light).toBe('night');
    t.turn();
    expect([t.light, k.value]).toEqual(['paper', null]);
  });
  it('take nothing else from what was kept', () => {
    expect(new Theme(keep('purple'), 'night').light).toBe('night');
  });
});
