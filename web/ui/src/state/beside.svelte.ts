// Takes of other touches that a shot can play beside its own: those of the same bout are
// asked for once, those of any other bout by name.

import { api, data, type Schemas } from '../api/client';

export type TakeToShow = Schemas['TakeToShow'];

export class Besides {
  /** Of the same bout. */
  near = $state.raw<TakeToShow[]>([]);
  /** Found by name; null while nothing was looked for. */
  found = $state.raw<TakeToShow[] | null>(null);
  trouble = $state('');
  #asked = 0;

  constructor(readonly id: string, private door = api) {}

  async load() {
    try {
      this.near = await this.#ask('');
    } catch { /* the takes of this touch are there; the name can be looked for */ }
  }
  /** Looks in the whole library; the newest question is the one that is answered. */
  async find(named: string) {
    const n = ++this.#asked;
    this.trouble = '';
    if (!named.trim()) { this.found = null; return; }
    try {
      const all = await this.#ask(named.trim());
      if (n === this.#asked) this.found = all;
    } catch (e) {
      if (n === this.#asked) this.trouble = (e as Error).message;
    }
  }
  /** All that can be chosen, each once: what the page has, the bout's, what was found. */
  all(own: readonly TakeToShow[]): TakeToShow[] {
    const out = new Map<string, TakeToShow>();
    for (const t of [...own, ...this.near, ...(this.found ?? [])]) if (!out.has(takeName(t))) out.set(takeName(t), t);
    return [...out.values()];
  }
  #ask(named: string) {
    return data(this.door.GET('/api/touches/{id}/beside', { params: { path: { id: this.id }, query: named ? { named } : {} } }));
  }
}

/** A name for a take among all that can be chosen. */
export const takeName = (t: { touch?: string; take: string }) => `${t.touch ?? ''} ${t.take}`;

/** Takes in the groups under which they are offered, in the order in which they come: of this touch, of this bout, of each other one. */
export function grouped(all: readonly TakeToShow[], here: string, bout: string): { name: string; takes: TakeToShow[] }[] {
  const groups = new Map<string, TakeToShow[]>([[here, []], [bout, []]]);
  for (const t of all) {
    const g = !t.touch ? here : t.bout || bout;
    groups.set(g, [...(groups.get(g) ?? []), t]);
  }
  return [...groups].filter(([, takes]) => takes.length > 0).map(([name, takes]) => ({ name, takes }));
}
