// FollowState: what was followed of the touch on the desk, asked for while the hand
// rests; the work on it; and the following again of what a correction touched. No
// element of the page is known here.

import type { Job, Live, Schemas, Touch } from '../api/client';
import { Carrier } from './carry';
import type { Desk } from './desk.svelte';
import { LiveReading, type Ask } from './live.svelte';
import { freshId } from './stave';
import { isHidden, openProposals, stepAt, traceOf, type Proposal, type Step, type Thing, type Trace } from './traces';
import { words } from '../words';

export type Followed = Schemas['Followed'];
export type FollowedTake = Schemas['FollowedTake'];
export type TraceGrid = Schemas['PrintedTraceGrid'];

/** The doors that following needs. */
export interface FollowDoor {
  /** Answers with what was followed of this take and point. */
  ask: (touch: Touch, want: Want, signal: AbortSignal) => Promise<Live>;
  follow: (touch: Touch, takes: string[]) => Promise<Job>;
  cancel: (job: string) => Promise<unknown>;
}
export interface Want extends Thing { take: string }

/** A door for those who have no server: nothing ever comes. */
export const closedDoor: FollowDoor = { ask: () => new Promise(() => {}), follow: () => new Promise(() => {}), cancel: async () => {} };

/** Where refused proposals are remembered: in this browser, by touch. */
export interface Memory { getItem(key: string): string | null; setItem(key: string, value: string): void }

export class FollowState {
  job = $state.raw<Job | null>(null);
  trouble = $state('');
  refused = $state.raw<ReadonlySet<string>>(new Set());
  /** Whether traces lie on the picture. */
  shown = $state(true);
  /** The proposed moment that is looked at. */
  chosenProposal = $state('');

  readonly #live: LiveReading;
  #seen = new Set<string>(); // takes that were followed to the state of then
  #stopped = false; // who stops it does not want it begun again by itself
  #lastAuto: Touch | null = null;
  #want = '';
  #over = new Set<string>(); // jobs that ended

  constructor(private readonly desk: Desk, private readonly door: FollowDoor, private readonly memory?: Memory) {
    const ask: Ask = async (touch, signal) => this.door.ask(touch, { take: this.desk.take, ...this.chosen }, signal);
    this.#live = new LiveReading(ask);
    try {
      const kept: unknown = JSON.parse(memory?.getItem(this.#key) ?? '[]');
      if (Array.isArray(kept)) this.refused = new Set(kept.filter((x) => typeof x === 'string'));
    } catch { /* what cannot be read is as good as none */ }
  }

  get #key() { return `mesure-refused-${this.desk.id}`; }

  /** The point whose trace is drawn whole: the mark that is selected, else what is asked for. */
  get chosen(): Thing {
    const s = this.desk.selected;
    return s.kind === 'mark' ? { who: s.who, what: s.what } : { who: this.desk.who, what: this.desk.what };
  }

  get followed(): Followed | undefined { return this.#live.answer?.followed; }
  /** True while what is shown is of an older state. */
  get old(): boolean { return this.#live.old; }
  get take(): FollowedTake | undefined { return this.followed?.takes.find((t) => t.take === this.desk.take); }
  get state(): string { return this.take?.state ?? 'none'; }
  get traces(): readonly Trace[] {
    const t = this.followed?.traces;
    return t && t.take === this.desk.take ? t.tracks : [];
  }
  /** Carries places from the picture of one frame to that of another. */
  readonly carrier = $derived.by(() => {
    const t = this.#live.answer?.followed?.traces;
    return new Carrier(t?.turns ?? [], t?.from ?? 0);
  });
  get trace(): Trace | undefined { return traceOf(this.traces, this.chosen); }
  get motion() { return this.followed?.traces?.take === this.desk.take ? this.followed.motion : undefined; }
  /** The piste on a frame that was followed, and the lines that it has. */
  get grid(): { grid: TraceGrid; lines: readonly { name: string; painted: boolean }[] } | undefined {
    const t = this.followed?.traces;
    const grid = t && t.take === this.desk.take ? t.grids.find((g) => g.frame === this.desk.frame) : undefined;
    return grid && t ? { grid, lines: t.lines } : undefined;
  }

  /** What is known of a point on the frame shown; what the hand set or said goes before what was followed. */
  step(of: Thing, frame: number = this.desk.frame): Step | undefined {
    const m = this.desk.marks(this.desk.take, frame).find((x) => x.who === of.who && x.what === of.what);
    if (m) return { state: 'marked', at: m.at, sd: m.sd, sure: 1 };
    if (isHidden(this.desk.touch, this.desk.take, frame, of)) return { state: 'hidden', at: { u: 0, v: 0 }, sd: 0, sure: 0 };
    const s = stepAt(traceOf(this.traces, of), frame);
    // A mark that was taken out is not there until it is followed anew.
    return s?.state === 'marked' || s?.state === 'hidden' ? undefined : s;
  }
  /** Points that were followed to the frame shown and that no hand has set there. */
  points(): (Thing & Step)[] {
    return this.traces.flatMap((t) => {
      const s = this.step(t);
      return s?.state === 'followed' ? [{ who: t.who, what: t.what, ...s }] : [];
    });
  }

  // Asking, and following.

  /** The touch is now this. Nothing is asked while the hand holds something, since an answer is large, nor before the first reading is there, which has the way free. */
  of(touch: Touch) {
    if (this.desk.paper.held || !this.desk.live.answer) return;
    this.#live.of(touch);
    const want = JSON.stringify([this.desk.take, this.chosen]);
    if (want !== this.#want) {
      this.#want = want;
      this.#live.again();
    }
    this.#again(touch);
  }
  again() { this.#live.again(); }
  close() { this.#live.close(); }

  /** What was followed once and is no more of now is followed again by itself: a correction costs its bridge only. */
  #again(touch: Touch) {
    const f = this.followed;
    if (!f) return;
    // An answer of an older state tells as well what had been followed: a hand that is
    // quicker than the answers must not lose it.
    for (const t of f.takes) if (t.state === 'followed') this.#seen.add(t.take);
    if (this.#live.old || this.#stopped) return;
    const stale = f.takes.filter((t) => t.state === 'stale' && this.#seen.has(t.take)).map((t) => t.take);
    if (stale.length === 0 || this.#lastAuto === touch) return;
    this.#lastAuto = touch;
    void this.#begin(touch, stale);
  }

  /** Follows every take as it stands now. */
  follow() {
    this.#stopped = false;
    for (const t of this.desk.touch.takes) this.#seen.add(t.id);
    this.#lastAuto = this.desk.touch;
    return this.#begin(this.desk.touch, []);
  }
  async #begin(touch: Touch, takes: string[]) {
    try {
      this.trouble = '';
      const job = await this.door.follow(touch, takes);
      // News of its end may have come before its beginning.
      if (!this.#over.has(job.id)) this.job = job;
    } catch (e) {
      this.trouble = e instanceof Error ? e.message : String(e);
    }
  }
  cancel() {
    if (!this.job) return;
    this.#stopped = true;
    void this.door.cancel(this.job.id).catch(() => {});
  }

  /** The server tells of a job. */
  tell(job: Job) {
    if (job.kind !== 'follow' || job.of !== this.desk.id) return;
    if (job.state === 'going') {
      // Of two, the newer is shown.
      if (!this.job || Number(job.id) >= Number(this.job.id)) this.job = job;
      return;
    }
    this.#over.add(job.id);
    if (this.job?.id === job.id) this.job = null;
    if (job.state === 'failed') this.trouble = job.trouble ?? '';
    this.desk.live.again();
    this.#live.again();
  }

  /** The line to the server stands again: jobs may have begun or ended meanwhile. */
  async catchUp(jobs: () => Promise<Job[]>) {
    const all = (await jobs()).filter((j) => j.kind === 'follow' && j.of === this.desk.id);
    const going = all.filter((j) => j.state === 'going');
    for (const j of going) this.tell(j);
    if (this.job && !going.some((j) => j.id === this.job?.id)) {
      this.job = null;
      this.#live.again();
    }
  }

  // Proposed moments.

  get proposals(): Proposal[] {
    const s = this.desk.live.answer?.summary;
    return openProposals(s?.proposals ?? [], this.desk.touch, this.refused, s?.moments);
  }
  /** Takes a proposal over as a moment, which is then selected. */
  accept(p: Proposal) {
    const m = { id: freshId('moment', this.desk.touch.moments), name: p.name, take: p.take, after_frame: p.after_frame, by_frame: p.by_frame };
    this.desk.paper.do(words.follow.gestures.accept, (t) => ({ ...t, moments: [...t.moments, m] }));
    this.chosenProposal = '';
    this.desk.selected = { kind: 'moment', id: m.id };
  }
  refuse(id: string) {
    this.refused = new Set([...this.refused, id]);
    this.chosenProposal = '';
    this.#remember();
  }
  /** Takes every refusal back. */
  unrefuse() {
    this.refused = new Set();
    this.#remember();
  }
  #remember() {
    try { this.memory?.setItem(this.#key, JSON.stringify([...this.refused])); } catch { /* private windows keep nothing */ }
  }
}
