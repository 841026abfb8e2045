// ThreadState: what the earlier touches and the score make of one touch, as it is asked
// and supposed on the page. Every change is asked at once, one question at a time and
// the newest next; what is shown stays until the answer is there and says whether it is
// of now. No element of the page is known here.

import type { Phrase, Side, TacticsAnswer } from '../api/client';
import { LiveReading } from './live.svelte';

export interface ThreadQuestion {
  /** The number of the touch; 0 is the one after the last line. */
  at: number;
  /** Whose coach asks. */
  side: Side;
  /** What race and windows weigh against the counts, 0 to 1. */
  weight: number;
  /** Point to chest in metres; left to the sheet where it is not said. */
  gap?: number;
  /** The choices of both sides; those that were seen and the trade's where they are not said. */
  mine?: string[];
  theirs?: string[];
  clock?: ThreadClock;
}
export interface ThreadClock { /** Seconds left. */ left: number; priority: Side | ''; unwillingness: boolean }

export type ThreadDoor = (question: ThreadQuestion, signal: AbortSignal) => Promise<TacticsAnswer>;

/** How many choices a side may have, as the payoffs take them. */
export const MOST_CHOICES = 8;
/** An extra minute, which the priority belongs to. */
const EXTRA = 60;

/** Which list of a question: those of the coach's fencer, or the other's. */
export type Whose = 'mine' | 'theirs';

export class ThreadState {
  question = $state.raw<ThreadQuestion>({ at: 0, side: 'left', weight: 0.5 });
  /** The source that stands open; empty for none. */
  from = $state('');
  readonly #live: LiveReading<ThreadQuestion, TacticsAnswer>;

  constructor(door: ThreadDoor, start: Partial<ThreadQuestion> = {}, wait?: (ms: number) => Promise<void>) {
    this.question = { ...this.question, ...start };
    this.#live = new LiveReading(door, wait);
    this.#live.of(this.question);
  }

  get answer(): TacticsAnswer | null { return this.#live.answer; }
  get old(): boolean { return this.#live.old; }
  get trouble(): string { return this.#live.trouble; }
  /** What the open number rests on. */
  get source() { return this.answer?.tactics.sources.find((s) => s.id === this.from); }

  /** Changes what is asked; what is said as undefined is left to the sheet again. */
  set(change: { [K in keyof ThreadQuestion]?: ThreadQuestion[K] | undefined }) {
    const next: Record<string, unknown> = { ...this.question, ...change };
    for (const [name, value] of Object.entries(next)) if (value === undefined) delete next[name];
    // Another touch stands at another measure and another time; the lists go on for both sides.
    if (change.at !== undefined && change.at !== this.question.at) { delete next.gap; delete next.clock; this.from = ''; }
    this.question = next as unknown as ThreadQuestion;
    this.#live.of(this.question);
  }

  /** As the other coach: what was mine is theirs. */
  turn(side: Side) {
    if (side === this.question.side) return;
    this.set({ side, mine: this.question.theirs, theirs: this.question.mine });
  }

  /** Who has the priority; the extra minute is fenced with it, so that much is left where nothing is said. */
  prior(priority: Side | '') {
    const c = this.question.clock;
    if (priority || c) this.set({ clock: { left: EXTRA, unwillingness: false, ...c, priority } });
  }

  /** The choices of a side as they are counted now. */
  choices(whose: Whose): string[] {
    return this.question[whose] ?? this.answer?.tactics.payoff?.[whose].map((c) => c.kind) ?? [];
  }
  /** Adds a choice; says why it cannot be. */
  add(whose: Whose, word: string): '' | 'empty' | 'there' | 'many' {
    const w = word.trim();
    const has = this.choices(whose);
    if (!w) return 'empty';
    if (has.some((c) => same(c, w) || same(this.wordOf(c), w))) return 'there';
    if (has.length >= MOST_CHOICES) return 'many';
    const kind = this.answer?.kinds.find((k) => same(k.word, w))?.name ?? w;
    this.set({ [whose]: [...has, kind] });
    return '';
  }
  /** Takes a choice away; the last two stay, since one alone is no choice. */
  remove(whose: Whose, kind: string) {
    const rest = this.choices(whose).filter((c) => c !== kind);
    if (rest.length >= 2) this.set({ [whose]: rest });
  }
  /** Whether a choice is one of the trade's kinds; any other is a word of the coach's own. */
  isTrade(kind: string): boolean { return !this.answer || this.answer.kinds.some((k) => k.name === kind); }
  /** The word for a kind of choice. */
  wordOf(kind: string): string { return this.answer?.kinds.find((k) => k.name === kind)?.word ?? kind; }

  open(from: string) { this.from = from; }
  close() { this.from = ''; }

  /** Asks again: another light or width, or what the library says has changed. */
  again() { this.#live.again(); }
  end() { this.#live.close(); }
}

const same = (a: string, b: string) => a.toLocaleLowerCase() === b.toLocaleLowerCase();

/** The numbers that can be asked about: those of the sheet, then 0 for the touch to come where the bout goes on. */
export function askable(sheet: readonly Phrase[], to: number): number[] {
  const numbers = sheet.filter((p) => p.number > 0).map((p) => p.number);
  const end = sheet.at(-1)?.after;
  const over = !!end && to > 0 && Math.max(end.left, end.right) >= to;
  return over ? numbers : [...numbers, 0];
}

/** What an address without a number asks about: the touch to come, or the last of a bout that is over. */
export function usual(numbers: readonly number[]): number { return numbers.at(-1) ?? 0; }

/** The touch before or after; undefined at the ends. */
export function neighbour(numbers: readonly number[], at: number, by: 1 | -1): number | undefined {
  const i = numbers.indexOf(at);
  return i < 0 ? undefined : numbers[i + by];
}

/** Seconds from a clock such as "1:23", "0:09.5" or "83"; undefined where it is none. */
export function clockOf(text: string): number | undefined {
  const m = /^\s*(?:(\d{1,2}):)?(\d{1,4}(?:[.,]\d{1,2})?)\s*$/.exec(text);
  if (!m) return undefined;
  const s = Number(m[2]!.replace(',', '.'));
  return m[1] !== undefined && s >= 60 ? undefined : 60 * Number(m[1] ?? 0) + s;
}

/** The clock of seconds, as a scoreboard has it. */
export function clockText(s: number): string {
  const whole = Math.floor(s / 60);
  const rest = s - 60 * whole;
  return `${whole}:${rest < 10 ? '0' : ''}${Number.isInteger(rest) ? rest : rest.toFixed(2).replace(/0$/, '')}`;
}

/** A story in paragraphs: where the bout stands, how it came to it, and what it comes to. */
export function paragraphs<T>(story: readonly T[]): T[][] {
  if (story.length < 4) return [[...story]];
  return [story.slice(0, 1), story.slice(1, -2), story.slice(-2)];
}
