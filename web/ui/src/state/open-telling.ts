// The doors of the server for how a touch is told.

import { api, data, type Job, type Schemas } from '../api/client';
import { meaning } from './open';
import type { Store, Stored } from './paper.svelte';

export type Telling = Schemas['Telling'];
export type TellingPaper = Schemas['TellingPaper'];
export type MadeFile = Schemas['MadeFile'];

/** The telling of one touch as a store; it hands on what came with the last answer. */
export class TellingStore implements Store<Telling> {
  constructor(readonly id: string, readonly seen: (paper: TellingPaper) => void = () => {}, private door = api) {}

  private get at() { return { params: { path: { id: this.id } } }; }

  load() { return this.#answer(data(this.door.GET('/api/touches/{id}/telling', this.at))); }
  save(base: number, gesture: string, telling: Telling) {
    return this.#answer(data(this.door.PUT('/api/touches/{id}/telling', { ...this.at, body: { base, gesture, telling } })));
  }
  undo(base: number) { return this.#answer(data(this.door.POST('/api/touches/{id}/telling/undo', { ...this.at, body: { base } }))); }
  redo(base: number) { return this.#answer(data(this.door.POST('/api/touches/{id}/telling/redo', { ...this.at, body: { base } }))); }

  async #answer(asked: Promise<TellingPaper>): Promise<Stored<Telling>> {
    try {
      const paper = await asked;
      this.seen(paper);
      return { stamp: paper.stamp, value: paper.telling };
    } catch (e) {
      throw meaning(e);
    }
  }
}

export type What = Schemas['InMakeBody']['what'];

/** Begins to make something; what is being made already goes on. */
export function make(id: string, what: What, door = api): Promise<Job> {
  return data(door.POST('/api/touches/{id}/make', { params: { path: { id } }, body: { what } }));
}
export function cancel(job: string, door = api): Promise<unknown> {
  return data(door.DELETE('/api/jobs/{id}', { params: { path: { id: job } } }));
}
