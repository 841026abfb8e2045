// The door of the server for tactics.

import { api, data, type Schemas } from '../api/client';
import type { operations } from '../api/schema';
import { words } from '../words';
import { Unreadable } from './live.svelte';
import { meaning } from './open';
import { Rejected } from './paper.svelte';
import type { ThreadDoor, ThreadQuestion } from './thread.svelte';

type Query = NonNullable<operations['tactics']['parameters']['query']>;
export type ThreadPicture = NonNullable<Query['pictures']>[number];
export type Kind = Schemas['Word'];

/** A question as the address carries it. */
export function queryOf(q: ThreadQuestion): Query {
  return {
    at: q.at, for: q.side, weight: q.weight,
    ...(q.gap ? { gap: q.gap } : {}), ...(q.mine ? { mine: q.mine } : {}), ...(q.theirs ? { theirs: q.theirs } : {}),
    ...(q.clock ? { clock: q.clock.left, ...(q.clock.priority ? { priority: q.clock.priority } : {}), ...(q.clock.unwillingness ? { unwillingness: true } : {}) } : {}),
  };
}

export function threadDoor(bout: string, drawn: () => { night: boolean; phone: boolean; pictures: ThreadPicture[] }, door = api): ThreadDoor {
  return async (q, signal) => {
    try {
      return await data(door.GET('/api/bouts/{id}/tactics', { params: { path: { id: bout }, query: { ...queryOf(q), ...drawn() } }, signal }));
    } catch (e) {
      if (meaning(e) instanceof Rejected) throw new Unreadable((e as Error).message);
      // What a browser calls a lost line is no sentence for a coach.
      throw e instanceof TypeError ? new Error(words.panel.noAnswer) : e;
    }
  };
}
