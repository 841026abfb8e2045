// Words of the trade by their first letters. They are matched by the server alone (in
// four languages, without accents, the most used first); here its answers are kept, so
// that a letter typed again asks nothing.

import { api, data, type Schemas } from '../api/client';
import { complete } from './stave';

export type FoundWord = Schemas['FoundWord'];
export type FoundWords = Schemas['FoundWords'];
export type Find = (typed: string) => Promise<FoundWords>;
export interface Which { line?: string; choice?: boolean }

type Line = 'feet' | 'hand' | 'blade';
type Weapon = 'epee' | 'foil' | 'sabre';

/** Finds words for one bout, or for a weapon where there is none. */
export class WordFinder {
  #kept = new Map<string, Promise<FoundWords>>();

  constructor(readonly bout: string, private weapon: () => string | undefined = () => undefined, private door = api) {}

  find(typed: string, which: Which = {}): Promise<FoundWords> {
    const t = typed.trim();
    const weapon = this.weapon() ?? '';
    const key = JSON.stringify([t.toLowerCase(), which.line ?? '', !!which.choice, weapon]);
    const kept = this.#kept.get(key);
    if (kept) return kept;
    const query = {
      typed: t, ...(which.line ? { line: which.line as Line } : {}), ...(which.choice ? { choice: true } : {}),
      ...(this.bout ? { bout: this.bout } : weapon ? { weapon: weapon as Weapon } : {}),
    };
    const asked = data(this.door.GET('/api/words', { params: { query } }));
    this.#kept.set(key, asked);
    asked.catch(() => { if (this.#kept.get(key) === asked) this.#kept.delete(key); }); // asked again next time
    return asked;
  }
  /** Something was written or kept: what comes first may be another. */
  forget() { this.#kept.clear(); }
}

/** Words of a list that is at hand, such as the usual moments. */
export function among(list: readonly { word: string; about?: string }[]): Find {
  return (typed) => {
    const t = typed.trim().toLowerCase();
    const all = complete(list.map((w) => ({ name: w.word, ...w })), typed, 9);
    return Promise.resolve({ words: all.map(({ word, about }) => ({ word, ...(about ? { about } : {}) })), exact: all.some((w) => w.word.toLowerCase() === t) });
  };
}
