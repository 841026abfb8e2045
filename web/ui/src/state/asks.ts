// What is asked of the race, as functions from one touch to the next.

import type { Side, Touch } from '../api/client';

export type RunAsk = Touch['race']['left'];
export type OnsetAsk = RunAsk['onset'];

/** Runs the race from this moment; empty leaves it to the first one that can be measured. */
export function raceFrom(touch: Touch, moment: string): Touch {
  const { from: _, ...race } = touch.race;
  return { ...touch, race: moment ? { ...race, from: moment } : race };
}

/** What one fencer is taken to do: an empty word leaves it to what the measure asks for. */
export function asked(touch: Touch, who: Side, change: Partial<RunAsk>): Touch {
  const run = { ...touch.race[who], ...change };
  if (!run.action) delete run.action;
  if (!run.target) delete run.target;
  return { ...touch, race: { ...touch.race, [who]: run } };
}

export type Starts = 'simultaneous' | 'observed' | 'reaction';

export function starts(run: RunAsk): Starts { return (run.onset.kind as Starts) || 'simultaneous'; }

/** When a fencer starts, with what belongs to that and nothing else. */
export function startsBy(kind: Starts, old: OnsetAsk, moment: string): OnsetAsk {
  switch (kind) {
    case 'simultaneous': return {};
    case 'observed': return { kind, moment: old.moment ?? moment };
    case 'reaction': return { kind, cue: old.cue ?? 'visual', choices: old.choices ?? 1 };
  }
}
