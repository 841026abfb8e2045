// The steps of the work on a touch, and what each still needs. What is needed and
// what it would gain is the server's word; here it is only put in its place.

import type { Side, Summary, Touch } from '../api/client';

export type Step = 'place' | 'mark' | 'moments' | 'race' | 'tell';
export type Need = Summary['needs'][number];

export interface StepLine {
  step: Step;
  /** "done", "now" for the first that needs something, "open" for those after it. */
  state: 'done' | 'now' | 'open';
  /** What it still needs, in the server's words; empty where it needs nothing. */
  needs: string;
  /** Where: the take and frame to go to, if the need names one. */
  take: string;
  frame: number;
  /** Points that would help most. */
  points: string[];
}

const order: Step[] = ['place', 'mark', 'moments', 'race', 'tell'];

/** One line a step. A need of the frame that is shown comes before those elsewhere. */
export function stepLines(summary: Summary | undefined, take: string, frame: number): StepLine[] {
  let now = false;
  return order.map((step) => {
    const all = summary?.needs.filter((n) => n.step === step) ?? [];
    const need = all.find((n) => n.take === take && n.frame === frame) ?? all[0];
    const done = summary !== undefined && begun(step, summary) && !(need && blocking(step, summary));
    const state = done ? 'done' : now ? 'open' : 'now';
    if (!done) now = true;
    const told = need?.text ?? (step === 'race' && state === 'now' ? sentence(whyNoRace(summary)) : '');
    return { step, state, needs: told, take: need?.take ?? '', frame: need?.frame ?? -1, points: need?.points ?? [] };
  });
}

/** What stands in the way of a race: what the first step that needs something needs. */
export function inTheWay(s: Summary | undefined): string {
  for (const step of order) {
    const need = s?.needs.find((n) => n.step === step);
    if (need) return need.text;
  }
  return sentence(whyNoRace(s));
}

/** Why no race was run, in the server's words; empty where it was or nothing is known. */
export function whyNoRace(s: Summary | undefined): string {
  return s?.needs.find((n) => n.step === 'race')?.text ?? s?.warnings.find((d) => d.code === 'no-race')?.text ?? '';
}

/** The text with a capital at its start: where it stands by itself, not in a list. */
export function sentence(text: string): string { return text.slice(0, 1).toLocaleUpperCase() + text.slice(1); }

/** Whether there is something to show for the step. */
function begun(step: Step, s: Summary): boolean {
  switch (step) {
    case 'place': return s.placings.some((p) => !p.refused);
    case 'mark': return s.race !== undefined || s.instants.some((i) => i.gaps.some((g) => g.of === 'left') && i.gaps.some((g) => g.of === 'right'));
    case 'moments': return s.moments.length > 0;
    case 'race':
    case 'tell': return s.race !== undefined;
  }
}

/** Whether a need stops the step; once there is a race, what is left is for refinement. */
function blocking(step: Step, s: Summary): boolean { return s.race === undefined && step !== 'moments'; }

/** Frames on which a step has something, for going round them by clicks. */
export function framesOf(step: Step, touch: Touch): { take: string; frame: number }[] {
  switch (step) {
    case 'place': return touch.placings.map((p) => ({ take: p.take, frame: p.frame }));
    case 'mark': {
      const seen = new Map(touch.marks.map((m) => [`${m.take} ${m.frame}`, { take: m.take, frame: m.frame }]));
      return [...seen.values()];
    }
    case 'moments': return touch.moments.map((m) => ({ take: m.take, frame: m.by_frame }));
    default: return [];
  }
}

/** Who and what a need of the marking names, such as "right's weapon elbow". */
export function thingOf(point: string, things: { name: string; word: string }[]): { who: Side; what: string } | undefined {
  for (const who of ['left', 'right'] as const) {
    const thing = things.find((t) => point === `${who}'s ${t.word}` || point === `${who} ${t.name}`);
    if (thing) return { who, what: thing.name };
  }
  return undefined;
}
