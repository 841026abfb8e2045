// The door of the server for timing.

import { api, data } from '../api/client';
import type { paths } from '../api/schema';
import { Unreadable } from './live.svelte';
import { lean, meaning } from './open';
import { Rejected } from './paper.svelte';
import type { TimingDoor, TimingPart } from './timing.svelte';
import { words } from '../words';

type Picture = NonNullable<paths['/api/touches/{id}/timing']['post']['requestBody']['content']['application/json']['pictures']>[number];
const pictures: Record<TimingPart, Picture[]> = { here: ['windows', 'parry', 'stand', 'started', 'fits'], map: ['map'], change: ['what_if'], wide: [] };

export function timingDoor(id: string, night: () => boolean, door = api): TimingDoor {
  return async (part, { touch, at, change }, signal, picture) => {
    const wide = part === 'wide';
    try {
      return await data(door.POST('/api/touches/{id}/timing', {
        params: { path: { id } }, ...(signal ? { signal } : {}),
        body: {
          touch: lean(touch), at, night: night(), phone: !wide, pictures: wide ? [picture as Picture] : pictures[part],
          ...(change ? { what_if: change } : {}), ...(part === 'change' ? { what_if_only: true } : {}), ...(part === 'map' || picture === 'map' ? { map: true } : {}),
        },
      }));
    } catch (e) {
      if (meaning(e) instanceof Rejected) throw new Unreadable((e as Error).message);
      // What a browser calls a lost line is no sentence for a coach.
      throw e instanceof TypeError ? new Error(words.panel.noAnswer) : e;
    }
  };
}
