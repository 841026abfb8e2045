// Opening a bout: its paper over the server's interface.

import { api, data, type BoutPaper, type BoutSheet } from '../api/client';
import { meaning } from './open';
import type { Store, Stored } from './paper.svelte';

export class BoutStore implements Store<BoutSheet> {
  constructor(readonly id: string, readonly seen: (paper: BoutPaper) => void, private door = api) {}

  private get at() { return { params: { path: { id: this.id } } }; }
  load() { return this.#answer(data(this.door.GET('/api/bouts/{id}', this.at))); }
  save(base: number, gesture: string, sheet: BoutSheet) { return this.#answer(data(this.door.PUT('/api/bouts/{id}', { ...this.at, body: { base, gesture, sheet } }))); }
  undo(base: number) { return this.#answer(data(this.door.POST('/api/bouts/{id}/undo', { ...this.at, body: { base } }))); }
  redo(base: number) { return this.#answer(data(this.door.POST('/api/bouts/{id}/redo', { ...this.at, body: { base } }))); }

  async #answer(asked: Promise<BoutPaper>): Promise<Stored<BoutSheet>> {
    try {
      const paper = await asked;
      this.seen(paper);
      return { stamp: paper.stamp, value: paper.sheet };
    } catch (e) {
      throw meaning(e);
    }
  }
}
