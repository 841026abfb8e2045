// StaveHand: what the hand does on the stave. It knows instants and things, no
// elements of the page; a gesture begins when something changes and ends with the hand.

import type { Action, Moment, Side, Touch, Trade } from '../api/client';
import { raceFrom } from './asks';
import { withAction, withMoment, withoutAction, withoutMoment, type Desk } from './desk.svelte';
import {
  actionEnd, actionMoved, actionsOn, clockOf, following, freshId, momentAt, momentEnd, momentMoved, momentsInTime, nearestFrame, panned, phrase,
  shownAt, timeOf, usualEnd, whole, zoomed, type Geometry, type Row, type Span, type TakeClock,
} from './stave';
import { called, noted, noteOf, type NotePart, type PhraseNote } from './notes';
import { notAlso, seenAlso } from './takes';
import { WordFinder } from './wordfind';
import { nearestProposal, type Proposal } from './traces';
import { frameNo } from '../units';
import { words } from '../words';

/** An action about to be written. */
export interface Draft { row: Row; take: string; from: number; to: number }
export type Thing = { kind: 'moment'; id: string } | { kind: 'action'; id: string };
export type Part = 'start' | 'end' | 'body';

/** How the gestures are called in the list of what can be undone. */
export interface Gestures {
  moment: string; nameMoment: string; moveMoment: string; removeMoment: string;
  action: string; wordAction: string; moveAction: string; removeAction: string; from: string;
}

interface Grip { thing: Thing; part: Part; at: number; first: Moment | Action; begun: boolean }

export const lines = ['feet', 'hand', 'blade'] as const;

export class StaveHand {
  /** The stretch of time wanted; null is all that the takes show. */
  span = $state.raw<Span | null>(null);
  /** The line that A writes on. */
  row = $state.raw<Row>({ who: 'left', line: 'blade' });
  draft = $state.raw<Draft | null>(null);
  /** True while the field of the thing selected is to have the focus. */
  editing = $state(false);
  /** True while the notes of the action selected are to have the focus. */
  noting = $state(false);
  /** What was done last, for those who do not see it. */
  told = $state('');

  /** While a thing is under the hand, things keep the order that they had. */
  #order = $state.raw<readonly string[] | null>(null);
  #grip: Grip | null = null;
  #pull: { row: Row; take: string; frame: number } | null = null;

  /** Finds the words of the trade and the coach's own. */
  readonly finder: WordFinder;

  constructor(readonly desk: Desk, readonly trade: Trade, private say: Gestures) {
    this.finder = new WordFinder(desk.bout, () => desk.touch.bout.weapon);
  }

  get geometry(): Geometry | undefined { return this.desk.live.answer?.stave; }
  get clocks(): TakeClock[] { return this.geometry?.frames ?? []; }
  get touch(): Touch { return this.desk.touch; }
  /** The instant of the frame shown. */
  get now() { return timeOf(this.clocks, this.desk.take, this.desk.frame); }
  get moments(): Moment[] { return this.#kept(momentsInTime(this.touch, this.clocks)); }
  actions(who: Side, line: string): Action[] { return this.#kept(actionsOn(this.touch, this.clocks, { who, line })); }
  #kept<T extends { id: string }>(things: T[]): T[] {
    const order = this.#order;
    return order ? things.sort((a, b) => order.indexOf(a.id) - order.indexOf(b.id)) : things;
  }

  get moment(): Moment | undefined {
    const s = this.desk.selected;
    return s.kind === 'moment' ? this.touch.moments.find((m) => m.id === s.id) : undefined;
  }
  get action(): Action | undefined {
    const s = this.desk.selected;
    return s.kind === 'action' ? this.touch.actions.find((a) => a.id === s.id) : undefined;
  }

  // Proposed moments.

  get proposals(): Proposal[] { return this.desk.follow.proposals; }
  /** The one that the hand looks at, else the nearest to the frame shown. */
  get proposal(): Proposal | undefined { return this.proposals.find((p) => p.id === this.desk.follow.chosenProposal); }
  look(p: Proposal) {
    this.desk.follow.chosenProposal = p.id;
    this.desk.selected = { kind: 'nothing' };
    this.#show(p.take, p.by_frame);
  }
  /** Takes the proposal looked at over as a moment, else the nearest one; the next is then looked at. */
  accept(): boolean {
    const p = this.proposal ?? nearestProposal(this.proposals, this.desk.take, this.desk.frame);
    if (!p) return false;
    this.desk.follow.accept(p);
    return true;
  }
  refuse(): boolean {
    const p = this.proposal ?? nearestProposal(this.proposals, this.desk.take, this.desk.frame);
    if (!p) return false;
    this.desk.follow.refuse(p.id);
    return true;
  }
  /** The moment selected is first seen on the frame shown, in this take too. */
  also(): boolean {
    const m = this.moment;
    const { take, frame } = this.desk;
    if (!m || m.take === take) return false;
    this.desk.paper.do(words.follow.gestures.also, (t) => seenAlso(t, m.id, take, frame));
    return true;
  }
  notAlso(take: string) {
    const m = this.moment;
    if (m) this.desk.paper.do(words.follow.gestures.notAlso, (t) => notAlso(t, m.id, take));
  }

  // Which time is shown.

  /** All of the takes, and what is shown of it. */
  get all(): Span | undefined { return whole(this.clocks); }
  get shown(): Span | undefined { return this.span ?? this.all; }

  zoom(factor: number, about = this.now) {
    const { all, shown } = this;
    if (all && shown) this.span = zoomed(shown, all, about ?? (shown.from + shown.to) / 2, factor);
  }
  pan(share: number) {
    const { all, shown } = this;
    if (all && shown) this.span = panned(shown, all, share);
  }
  fitAll() { this.span = null; }
  fitPhrase() { this.span = phrase(this.touch, this.clocks) ?? null; }
  /** Keeps the frame shown in sight. */
  follow() {
    const { all, now } = this;
    if (this.span && all && now !== undefined) this.span = following(this.span, all, now);
  }

  /** Shows the frame at an instant. */
  seek(t: number) {
    const to = shownAt(this.clocks, this.desk.take, t);
    if (to) this.#show(to.take, to.frame);
  }
  #show(take: string, frame: number) {
    if (take === this.desk.take) this.desk.transport.seek(frameNo(frame));
    else this.desk.transport.show(take, frameNo(frame));
  }

  // Moments.

  /** Sets a moment at the frame shown; the one that is there already is selected instead. */
  addMoment() {
    const { take, frame } = this.desk;
    const there = this.touch.moments.find((m) => m.take === take && m.by_frame === frame);
    const fresh = there ?? momentAt(this.touch, take, frame);
    if (!fresh) return;
    if (!there) this.desk.paper.do(this.say.moment, (t) => withMoment(t, fresh));
    this.draft = null;
    this.desk.selected = { kind: 'moment', id: fresh.id };
    this.editing = true;
  }
  name(id: string, name: string) {
    const m = this.touch.moments.find((x) => x.id === id);
    if (m && m.name !== name.trim()) this.desk.paper.do(this.say.nameMoment, (t) => withMoment(t, { ...m, name: name.trim() }));
  }
  raceFrom(id: string) { this.desk.paper.do(this.say.from, (t) => raceFrom(t, t.race.from === id ? '' : id)); }

  // Actions.

  /** Prepares an action at the frame shown, on the line in focus or on this one. */
  beginAction(row = this.row) {
    const { take, frame } = this.desk;
    if (!this.touch.takes.some((t) => t.id === take)) return;
    this.row = row;
    this.draft = { row, take, from: frame, to: usualEnd(this.touch, this.clocks, take, frame) };
    this.editing = true;
  }
  /** Writes what was prepared. */
  write(word: string) {
    const d = this.draft;
    const said = word.trim();
    if (!d || !said) return;
    const a: Action = { id: freshId('action', this.touch.actions), who: d.row.who, line: d.row.line, word: said, take: d.take, from: d.from, to: d.to };
    this.desk.paper.do(this.say.action, (t) => withAction(t, a));
    this.finder.forget();
    this.draft = null;
    this.editing = false;
    this.desk.selected = { kind: 'action', id: a.id };
  }
  word(id: string, word: string) {
    const a = this.touch.actions.find((x) => x.id === id);
    if (a && word.trim() && a.word !== word.trim()) this.desk.paper.do(this.say.wordAction, (t) => withAction(t, { ...a, word: word.trim() }));
  }
  // Notes. A field that the hand goes through, from its first change until it is left,
  // is one step.

  /** What is noted of the action selected. */
  get note(): PhraseNote | undefined { return this.action && noteOf(this.touch, this.action.id); }
  /** Leads to the notes of the action selected; false where none is. */
  toNotes(): boolean {
    if (!this.action) return false;
    this.noting = true;
    return true;
  }
  /** Says one thing of the action selected. */
  tell(part: NotePart, word: string) {
    const a = this.action;
    if (a) this.#within(words.phrase.gestures.note, (t) => noted(t, a.id, part, word));
  }
  call(priority: string) { this.#within(words.phrase.gestures.priority, (t) => called(t, priority)); }
  /** The field is left: what was changed in it is a step. */
  said() {
    if (this.#saying) this.desk.paper.end();
    this.#saying = false;
  }
  #saying = false;
  #within(gesture: string, change: (t: Touch) => Touch) {
    if (!this.#saying || !this.desk.paper.held) this.desk.paper.begin(gesture);
    this.#saying = true;
    this.desk.paper.change(change);
  }

  /** Puts the action selected, or the one prepared, on another line. */
  putOn(row: Row) {
    const a = this.action;
    this.row = row;
    if (this.draft) this.draft = { ...this.draft, row };
    else if (a && (a.who !== row.who || a.line !== row.line)) this.desk.paper.do(this.say.moveAction, (t) => withAction(t, { ...a, ...row }));
  }

  // What is selected.

  select(thing: Thing, show = false) {
    this.draft = null;
    this.editing = false;
    this.desk.selected = thing;
    const { moment: m, action: a } = this;
    if (a) this.row = { who: a.who, line: a.line };
    if (!show) return;
    if (m) this.#show(m.take, m.by_frame);
    if (a) this.#show(a.take, a.from);
  }
  /** Lets one end of what is selected or prepared stand at the frame shown. */
  endHere(end: 'start' | 'end') {
    const { take, frame } = this.desk;
    const { draft: d, moment: m, action: a } = this;
    if (d && d.take === take) {
      this.draft = end === 'start' ? { ...d, from: frame, to: Math.max(frame, d.to) } : { ...d, to: frame, from: Math.min(frame, d.from) };
    } else if (m && m.take === take) {
      this.desk.paper.do(this.say.moveMoment, (t) => withMoment(t, momentEnd(t, m, end === 'start' ? 'after' : 'by', frame)));
    } else if (a && a.take === take) {
      this.desk.paper.do(this.say.moveAction, (t) => withAction(t, actionEnd(t, a, end === 'start' ? 'from' : 'to', frame)));
    }
  }
  /** Selects no action any more: the sentence stands in place of its notes. */
  leaveAction(): boolean {
    if (!this.action) return false;
    this.desk.selected = { kind: 'nothing' };
    return true;
  }
  remove() {
    const { moment: m, action: a } = this;
    if (m) this.desk.paper.do(this.say.removeMoment, (t) => withoutMoment(t, m.id));
    else if (a) this.desk.paper.do(this.say.removeAction, (t) => withoutAction(t, a.id));
    else return;
    this.editing = false;
    this.desk.selected = { kind: 'nothing' };
  }
  /** True while a thing or a place is under the pointer. */
  get holding(): boolean { return this.#grip !== null || this.#pull !== null; }
  /** Gives up what was prepared or is under the hand. */
  cancel(): boolean {
    const busy = this.draft !== null || this.#grip !== null || this.#pull !== null || this.editing;
    if (this.#grip?.begun) this.desk.paper.cancel();
    this.#letGo();
    this.draft = null;
    this.editing = false;
    return busy;
  }

  // Under the pointer.

  /** Takes hold of a thing, or of one of its ends, at this instant. */
  grab(thing: Thing, part: Part, t: number) {
    this.select(thing);
    const { moment: m, action: a } = this;
    const first = m ?? a;
    this.#order = (a ? this.actions(a.who, a.line) : this.moments).map((x) => x.id);
    if (first) this.#grip = { thing, part, at: t, first, begun: false };
  }
  /** Takes hold of an empty place on a line. */
  press(row: Row, t: number) {
    this.row = row;
    const at = shownAt(this.clocks, this.desk.take, t);
    this.#pull = at ? { row, ...at } : null;
  }
  drag(t: number) {
    if (this.#grip) this.#dragThing(this.#grip, t);
    else if (this.#pull) {
      const { row, take, frame } = this.#pull;
      const c = clockOf(this.clocks, take);
      if (!c) return;
      const to = nearestFrame(c, t);
      if (to !== frame || this.draft) this.draft = { row, take, from: Math.min(frame, to), to: Math.max(frame, to) };
    }
  }
  #dragThing(grip: Grip, t: number) {
    const { thing, part, first } = grip;
    const c = clockOf(this.clocks, first.take);
    if (!c) return;
    const by = nearestFrame(c, t) - nearestFrame(c, grip.at);
    if (!grip.begun && by === 0) return;
    if (!grip.begun) this.desk.paper.begin(thing.kind === 'moment' ? this.say.moveMoment : this.say.moveAction);
    grip.begun = true;
    if ('by_frame' in first) {
      const m = part === 'body' ? momentMoved(this.touch, first, by)
        : momentEnd(this.touch, first, part === 'start' ? 'after' : 'by', (part === 'start' ? first.after_frame : first.by_frame) + by);
      this.desk.paper.change((x) => withMoment(x, m));
      this.#show(m.take, part === 'start' ? m.after_frame : m.by_frame);
    } else {
      const a = part === 'body' ? actionMoved(this.touch, first, by)
        : actionEnd(this.touch, first, part === 'start' ? 'from' : 'to', (part === 'start' ? first.from : first.to) + by);
      this.desk.paper.change((x) => withAction(x, a));
      this.#show(a.take, part === 'end' ? a.to : a.from);
    }
  }
  #letGo() {
    this.#grip = null;
    this.#pull = null;
    this.#order = null;
  }
  /** Lets go. A thing that was not moved is shown; a stretch that was drawn asks for its word. */
  drop() {
    const grip = this.#grip;
    this.#letGo();
    if (grip?.begun) this.desk.paper.end();
    else if (grip) this.select(grip.thing, true);
    else if (this.draft) this.editing = true;
  }
}
