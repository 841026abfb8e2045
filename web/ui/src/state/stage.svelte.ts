// The hand on the picture: what a press, a move and a lift do with each tool. One
// gesture from press to lift is one step of the document. No element of the page is
// known here.

import type { Mark, Side, Trade } from '../api/client';
import { picturePx, type PicturePoint } from '../units';
import { type Desk, moved, NUDGE, type Selected, withMark, withoutAction, withoutMark, withoutMoment, withoutPoint, withPoint } from './desk.svelte';
import { ABOVE_FINGER, FAR_NUDGE, FAR_STEP, FINGER_REACH, type Press, type PressKind, REACH, REACH_ASKED, STEP } from './reach';
import { type GestureWords, nextPoint, nextThing, same, stepThing } from './stageorder';
import { StageView } from './stageview.svelte';
import { toPicture, toStage } from './view';

type Grip =
  | { kind: 'pan'; last: Press }
  | { kind: 'drag'; what: Selected; off: { du: number; dv: number }; finger: boolean; fresh: boolean; from: Press; moved: boolean };

export class StageState extends StageView {
  /** The cross that the keyboard moves. */
  cross = $state.raw<PicturePoint | null>(null);
  /** What the loupe looks at while something is being set. */
  loupe = $state.raw<PicturePoint | null>(null);
  /** Where the mouse or pen points while nothing is held. */
  hover = $state.raw<PicturePoint | null>(null);
  /** After a mark the same thing is asked for again: one thing over many frames. */
  stay = $state(false);
  loupeScale = $state(8);
  /** Marks taken from another frame, not yet set: outlined until the hand takes them over. */
  proposals = $state.raw<Mark[]>([]);
  /** True while something is held. */
  holding = $state(false);
  /** True while the picture of the frame is not there yet: nothing can be set on what is not seen. */
  waiting = $state(false);

  /** The space bar is down, and whether the picture was moved with it: then it does not play. */
  space = false;
  spaceUsed = false;

  #grip: Grip | null = null;
  #asked = { state: '', name: '' };

  constructor(
    private readonly desk: Desk,
    private readonly trade: Trade,
    private readonly words: GestureWords,
    /** Piste points whose marking would help most, the best first. */
    private readonly advised: () => string[],
  ) { super(); }

  zoomAtCross(factor: number) {
    const at = this.hover ?? this.#at(this.desk.selected) ?? this.cross;
    this.zoom(at ? toStage(this.view, at) : { x: this.stage.width / 2, y: this.stage.height / 2 }, factor);
  }

  /** What lies under a press: the nearest thing of the tool in hand. */
  hit(at: Press, reach = REACH): Selected | null {
    const asked = this.desk.tool === 'look' ? null : this.pending();
    const near = asked && !this.isSet(asked) ? reach * REACH_ASKED : reach;
    const things: { at: { u: number; v: number }; what: Selected }[] = [];
    if (this.desk.tool !== 'mark') for (const p of this.desk.placing()?.points ?? []) things.push({ at: p.at, what: { kind: 'point', name: p.name ?? '' } });
    if (this.desk.tool !== 'place') {
      for (const m of this.desk.marks()) things.push({ at: m.at, what: { kind: 'mark', who: m.who, what: m.what } });
      for (const m of [...this.open(), ...this.desk.follow.points()]) things.push({ at: m.at, what: { kind: 'mark', who: m.who, what: m.what } });
    }
    let best: Selected | null = null;
    let least = near;
    for (const t of things) {
      const s = toStage(this.view, t.at);
      const d = Math.hypot(s.x - at.x, s.y - at.y);
      if (d <= least) [least, best] = [d, t.what];
    }
    return best;
  }

  /** Proposals that nothing on the frame shown answers yet. */
  open(): Mark[] {
    const set = this.desk.marks();
    return this.proposals.filter((p) => p.take === this.desk.take && p.frame === this.desk.frame && !set.some((m) => m.who === p.who && m.what === p.what));
  }

  down(at: Press, kind: PressKind = {}) {
    if (this.#grip) this.cancel();
    if (kind.pan || (this.waiting && this.desk.tool !== 'look')) {
      this.#grip = { kind: 'pan', last: at };
      return;
    }
    this.hover = null;
    this.cross = null;
    const held = this.hit(at, kind.finger ? FINGER_REACH : REACH);
    if (this.desk.tool === 'look') {
      this.desk.selected = held ?? { kind: 'nothing' };
      this.#grip = { kind: 'pan', last: at };
      return;
    }
    this.desk.transport.rate = 0;
    const finger = !!kind.finger;
    if (held) {
      const there = this.#at(held)!;
      const here = toPicture(this.view, at);
      this.desk.selected = held;
      this.desk.paper.begin(this.#gesture(held));
      // A proposal that is touched is taken over where it is; a followed point only when it moves.
      if (!this.isSet(held) && this.#proposed(held)) this.desk.paper.change((t) => this.#with(t, held, there));
      this.#grip = { kind: 'drag', what: held, off: { du: there.u - here.u, dv: there.v - here.v }, finger: false, fresh: false, from: at, moved: false };
      this.loupe = there;
      this.holding = true;
      return;
    }
    const what = this.pending();
    // What is set already moves by its own place, or when it was chosen; a stray press moves nothing.
    if (!what || (this.isSet(what) && !same(what, this.desk.selected))) {
      this.desk.selected = { kind: 'nothing' };
      this.#grip = { kind: 'pan', last: at };
      return;
    }
    this.desk.selected = what;
    this.desk.paper.begin(this.#gesture(what));
    this.#grip = { kind: 'drag', what, off: { du: 0, dv: 0 }, finger, fresh: true, from: at, moved: true };
    this.holding = true;
    this.#moveTo(at);
  }

  /** The mouse or pen is over the picture and holds nothing. */
  over(at: Press | null) {
    const p = at && !this.#grip && this.desk.tool !== 'look' ? toPicture(this.view, at) : null;
    this.hover = p && this.#within(p) ? p : null;
  }

  move(at: Press) {
    const g = this.#grip;
    if (!g) return;
    if (g.kind === 'pan') {
      this.pan(at.x - g.last.x, at.y - g.last.y);
      g.last = at;
      return;
    }
    // A press that barely moves selects; it does not shift what was set with care.
    if (!g.moved && Math.hypot(at.x - g.from.x, at.y - g.from.y) < 3) return;
    g.moved = true;
    this.#moveTo(at);
  }

  up() {
    const g = this.#grip;
    this.#grip = null;
    if (!g || g.kind === 'pan') return;
    this.desk.paper.end();
    this.holding = false;
    this.loupe = null;
    if (g.fresh) this.#goOn(g.what);
  }

  cancel() {
    const g = this.#grip;
    this.#grip = null;
    this.holding = false;
    this.loupe = null;
    if (g?.kind === 'drag') this.desk.paper.cancel();
    else this.desk.selected = { kind: 'nothing' };
  }

  /** Moves what is selected by quarters of a pixel; with nothing selected the cross, by steps of the stage. */
  nudge(dx: number, dy: number, far = false) {
    if (this.waiting || this.holding) return;
    const what = this.desk.selected;
    const at = this.#at(what);
    if (at && (what.kind === 'point' || what.kind === 'mark')) {
      const k = far ? FAR_NUDGE : NUDGE;
      const to = this.#kept(moved(at, dx * k, dy * k));
      this.desk.paper.do(this.words.nudge(this.#gesture(what)), (t) => this.#with(t, what, to));
      this.reveal(to);
      this.loupe = to;
      return;
    }
    const from = this.cross ?? toPicture(this.view, { x: this.stage.width / 2, y: this.stage.height / 2 });
    const step = (far ? FAR_STEP : STEP) / this.view.scale;
    this.cross = this.#kept(moved(from, dx * step, dy * step));
    this.reveal(this.cross);
    this.hover = null;
    this.loupe = this.cross;
  }

  /** Takes the proposals over; with none puts what is asked for at the cross. */
  put() {
    if (this.waiting || this.holding) return;
    const open = this.open();
    if (open.length > 0) {
      this.desk.paper.do(this.words.takeOver, (t) => open.reduce(withMark, t));
      this.proposals = [];
      return;
    }
    const s = this.desk.selected;
    const here = s.kind === 'mark' && !this.isSet(s) ? this.#at(s) : undefined;
    if (here) return this.desk.paper.do(this.#gesture(s), (t) => this.#with(t, s, here));
    const what = this.pending();
    const at = this.cross;
    if (!at || !what || (this.isSet(what) && !same(what, this.desk.selected))) return;
    this.desk.paper.do(this.#gesture(what), (t) => this.#with(t, what, at));
    // The cross stays under the hand: nothing is selected, so the arrows move it on.
    this.desk.selected = { kind: 'nothing' };
    this.#goOn(what);
  }

  /** Says how sure the selected mark or point is, in pixels. */
  sure(sd: number) {
    const s = this.desk.selected;
    const at = this.#at(s);
    if (!at || !(sd > 0)) return;
    this.desk.paper.do(this.words.sure, (t) => this.#with(t, s, at, sd));
  }

  /** How sure the selected mark or point is, in pixels; undefined where nothing is selected. */
  get sd(): number | undefined {
    const s = this.desk.selected;
    if (s.kind === 'mark') return this.desk.mark(s.who, s.what)?.sd;
    const p = s.kind === 'point' ? this.desk.placing()?.points.find((q) => q.name === s.name) : undefined;
    return p && (p.sd || this.trade.sd_px);
  }

  remove() {
    const s = this.desk.selected;
    const { take, frame, paper } = this.desk;
    if (s.kind === 'mark' && !this.isSet(s) && !this.#proposed(s)) return;
    if (s.kind === 'point') paper.do(this.words.removePoint(s.name), (t) => withoutPoint(t, take, frame, s.name));
    else if (s.kind === 'mark') {
      paper.do(this.words.removeMark(s.who, s.what), (t) => withoutMark(t, take, frame, s.who, s.what));
      this.proposals = this.proposals.filter((p) => !(p.who === s.who && p.what === s.what));
    } else if (s.kind === 'moment') paper.do(this.words.removeMoment, (t) => withoutMoment(t, s.id));
    else if (s.kind === 'action') paper.do(this.words.removeAction, (t) => withoutAction(t, s.id));
    this.desk.selected = { kind: 'nothing' };
    this.loupe = null;
  }

  /** Gives up what is held; else the proposals; else the cross and what is selected. */
  giveUp() {
    if (this.holding) this.cancel();
    else if (this.open().length > 0) this.proposals = [];
    else {
      this.cancel();
      this.cross = null;
    }
  }

  #others(): Mark[] { return this.desk.touch.marks.filter((m) => m.take === this.desk.take && m.frame !== this.desk.frame); }
  get canPropose(): boolean { return this.#others().length > 0; }

  /** Proposes the marks of the nearest frame that has some. */
  propose() {
    const { frame } = this.desk;
    const others = this.#others();
    if (others.length === 0) return;
    const near = others.reduce((a, b) => (Math.abs(b.frame - frame) < Math.abs(a.frame - frame) ? b : a)).frame;
    this.proposals = others.filter((m) => m.frame === near).map((m) => ({ ...m, frame }));
  }

  /** Goes through what can be set with the tool in hand. */
  cycle(by: number) {
    if (this.desk.tool === 'place') {
      const names = this.trade.points.map((p) => p.name);
      const i = names.indexOf(this.desk.placeNext || this.#nextPoint());
      this.choosePoint(names[(i + by + names.length) % names.length]!);
      return;
    }
    const to = stepThing(this.trade.things.map((w) => w.name), this.desk, by);
    this.chooseThing(to.who, to.what);
  }

  /** The next press places this point; one that is set is selected. */
  choosePoint(name: string) {
    this.desk.tool = 'place';
    this.desk.placeNext = name;
    this.#select({ kind: 'point', name });
  }

  /** The next press marks this; what is marked is selected. */
  chooseThing(who: Side, what: string) {
    this.desk.tool = 'mark';
    this.desk.who = who;
    this.desk.what = what;
    this.#select({ kind: 'mark', who, what });
  }

  #select(what: Selected) {
    const at = this.#at(what);
    this.desk.selected = at ? what : { kind: 'nothing' };
    if (at) this.reveal(at);
  }

  /** Another frame is shown: what was selected is followed, and what it lacks is asked for. */
  turned() {
    if (this.holding) this.cancel();
    this.loupe = null;
    if (!this.#at(this.desk.selected) && (this.desk.selected.kind === 'point' || this.desk.selected.kind === 'mark')) this.desk.selected = { kind: 'nothing' };
    this.desk.placeNext = '';
    // Who is selected is gone on with: what is followed stands on every frame.
    const on = this.desk.selected;
    if (on.kind === 'mark') [this.desk.who, this.desk.what] = [on.who, on.what];
    if (this.stay || on.kind === 'mark') return;
    const set = this.desk.marks();
    if (set.length > 0 && !this.desk.mark(this.desk.who, this.desk.what)) return;
    const things = this.trade.things.map((w) => w.name);
    const first = nextThing(things, set, { who: this.desk.who, what: things[things.length - 1] ?? '' });
    if (first) [this.desk.who, this.desk.what] = [first.who, first.what];
  }

  /** Whether the hand has set this on the frame shown. */
  isSet(what: Selected): boolean {
    if (what.kind === 'mark') return !!this.desk.mark(what.who, what.what);
    return what.kind === 'point' && !!this.desk.placing()?.points.some((p) => p.name === what.name);
  }

  /** Where something stands on the frame shown; undefined where it does not. */
  #at(what: Selected): PicturePoint | undefined {
    if (what.kind === 'point') return this.desk.placing()?.points.find((p) => p.name === what.name)?.at as PicturePoint | undefined;
    if (what.kind === 'mark') {
      return (this.desk.mark(what.who, what.what) ?? this.#proposed(what) ?? this.desk.follow.points().find((m) => m.who === what.who && m.what === what.what))?.at as PicturePoint | undefined;
    }
    return undefined;
  }

  #proposed(what: Selected): Mark | undefined { return what.kind === 'mark' ? this.open().find((m) => m.who === what.who && m.what === what.what) : undefined; }

  /** What the next press sets. */
  pending(): Selected | null {
    if (this.desk.tool === 'place') {
      const name = this.desk.placeNext || this.#nextPoint();
      return name ? { kind: 'point', name } : null;
    }
    if (this.desk.tool === 'mark') return { kind: 'mark', who: this.desk.who, what: this.desk.what };
    return null;
  }

  #gesture(what: Selected): string {
    if (what.kind === 'point') return this.words.place(what.name);
    if (what.kind === 'mark') return this.words.mark(what.who, what.what);
    return '';
  }

  #moveTo(at: Press) {
    const g = this.#grip;
    if (g?.kind !== 'drag') return;
    const p = toPicture(this.view, g.finger ? { x: at.x, y: at.y - ABOVE_FINGER } : at);
    const to = this.#kept(moved(p, g.off.du, g.off.dv));
    this.loupe = to;
    this.desk.paper.change((t) => this.#with(t, g.what, to));
  }

  #within(p: PicturePoint): boolean {
    return p.u >= -0.5 && p.v >= -0.5 && p.u <= this.picture.width - 0.5 && p.v <= this.picture.height - 0.5;
  }
  /** Kept within the picture. */
  #kept(p: PicturePoint): PicturePoint {
    const within = (v: number, most: number) => picturePx(Math.max(-0.5, Math.min(most - 0.5, v)));
    return { u: within(p.u, this.picture.width), v: within(p.v, this.picture.height) };
  }

  #with<T extends Desk['touch']>(t: T, what: Selected, at: PicturePoint, sd?: number) {
    const { take, frame } = this.desk;
    if (what.kind === 'point') {
      const named = this.trade.points.find((p) => p.name === what.name);
      const old = this.desk.placing()?.points.find((p) => p.name === what.name);
      return withPoint(t, take, frame, { name: what.name, on: old?.on ?? named?.on ?? { x: 0, y: 0, z: 0 }, at, ...(sd ?? old?.sd ? { sd: sd ?? old?.sd } : {}) });
    }
    if (what.kind === 'mark') {
      const old = this.desk.mark(what.who, what.what);
      return withMark(t, { take, frame, who: what.who, what: what.what, at, sd: sd ?? old?.sd ?? this.trade.sd_px });
    }
    return t;
  }

  /** After something new was set: what is asked for next. */
  #goOn(what: Selected) {
    if (what.kind === 'point') this.desk.placeNext = '';
    if (what.kind !== 'mark' || this.stay) return;
    const next = nextThing(this.trade.things.map((w) => w.name), this.desk.marks(), what);
    if (next) [this.desk.who, this.desk.what] = [next.who, next.what];
  }

  /** What is asked stays asked until something is set or the frame turns: a reading that arrives late never changes it under the hand. */
  #nextPoint(): string {
    const { take, frame } = this.desk;
    const state = `${take} ${frame} ${(this.desk.placing()?.points ?? []).map((q) => q.name).join(' ')}`;
    if (this.#asked.state !== state) this.#asked = { state: this.desk.live.answer ? state : '', name: this.#freshPoint() };
    return this.#asked.name;
  }

  #freshPoint(): string {
    const { take, frame } = this.desk;
    const others = this.desk.touch.placings.filter((p) => p.take === take && p.frame !== frame);
    const near = others.length === 0 ? undefined : others.reduce((a, b) => (Math.abs(b.frame - frame) < Math.abs(a.frame - frame) ? b : a));
    const names = (p?: { points: { name?: string }[] }) => p?.points.map((q) => q.name ?? '') ?? [];
    return nextPoint(this.trade.points, new Set(names(this.desk.placing())), this.advised(), names(near));
  }
}
