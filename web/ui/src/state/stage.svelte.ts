// The hand on the picture: what a press, a move and a lift do with each tool. One
// gesture from press to lift is one step of the document. No element of the page is
// known here.

import type { Mark, Side, Trade } from '../api/client';
import { picturePx, type PicturePoint } from '../units';
import { type Desk, moved, NUDGE, type Selected, withMark, withoutAction, withoutMark, withoutMoment, withoutPoint, withPoint } from './desk.svelte';
import { fit, panned, type Size, toPicture, toStage, type View, zoomed } from './view';

/** How near a press must be to take hold of something, in stage pixels. */
export const REACH = 14;
/** How far above a finger the point is that it moves, in stage pixels: the finger does not cover it. */
export const ABOVE_FINGER = 56;

export interface Press { x: number; y: number }
export interface PressKind { finger?: boolean; pan?: boolean }

type Grip =
  | { kind: 'pan'; last: Press }
  | { kind: 'drag'; what: Selected; off: { du: number; dv: number }; finger: boolean; fresh: boolean; from: Press; moved: boolean };

/** What has a gesture's words: the page fills them in. */
export interface GestureWords {
  place: (name: string) => string;
  mark: (who: Side, what: string) => string;
  removePoint: (name: string) => string;
  removeMark: (who: Side, what: string) => string;
  removeMoment: string;
  removeAction: string;
  takeOver: string;
  nudge: (thing: string) => string;
}

export class StageState {
  view = $state.raw<View>({ scale: 1, x: 0, y: 0 });
  stage = $state.raw<Size>({ width: 1, height: 1 });
  picture = $state.raw<Size>({ width: 1280, height: 720 });
  /** The cross that the keyboard moves. */
  cross = $state.raw<PicturePoint | null>(null);
  /** What the loupe looks at while something is being set. */
  loupe = $state.raw<PicturePoint | null>(null);
  loupeScale = $state(8);
  /** Marks taken from another frame, not yet set: outlined until the hand takes them over. */
  proposals = $state.raw<Mark[]>([]);
  /** True while something is held. */
  holding = $state(false);

  #grip: Grip | null = null;
  #fitted = true;

  constructor(
    private readonly desk: Desk,
    private readonly trade: Trade,
    private readonly words: GestureWords,
    /** Piste points whose marking would help most, the best first. */
    private readonly advised: () => string[],
  ) {}

  resize(stage: Size) {
    this.stage = stage;
    if (this.#fitted) this.fit();
    else this.view = panned(this.view, 0, 0, this.picture, stage);
  }

  show(picture: Size) {
    if (picture.width === this.picture.width && picture.height === this.picture.height) return;
    this.picture = picture;
    this.fit();
  }

  fit() {
    this.#fitted = true;
    this.view = fit(this.picture, this.stage);
  }

  zoom(about: Press, factor: number) {
    this.view = zoomed(this.view, about, factor, this.picture, this.stage);
    this.#fitted = this.view.scale <= fit(this.picture, this.stage).scale * 1.0001;
  }

  zoomAtCross(factor: number) {
    const at = this.#selectedAt() ?? this.cross;
    this.zoom(at ? toStage(this.view, at) : { x: this.stage.width / 2, y: this.stage.height / 2 }, factor);
  }

  pan(dx: number, dy: number) { this.view = panned(this.view, dx, dy, this.picture, this.stage); }

  /** What lies under a press: the nearest thing of the tool in hand. */
  hit(at: Press, reach = REACH): Selected | null {
    const things: { at: { u: number; v: number }; what: Selected }[] = [];
    if (this.desk.tool !== 'mark') for (const p of this.desk.placing()?.points ?? []) things.push({ at: p.at, what: { kind: 'point', name: p.name ?? '' } });
    if (this.desk.tool !== 'place') {
      for (const m of this.desk.marks()) things.push({ at: m.at, what: { kind: 'mark', who: m.who, what: m.what } });
      for (const m of this.open()) things.push({ at: m.at, what: { kind: 'mark', who: m.who, what: m.what } });
    }
    let best: Selected | null = null;
    let least = reach;
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
    if (kind.pan) {
      this.#grip = { kind: 'pan', last: at };
      return;
    }
    const held = this.hit(at, kind.finger ? 2 * REACH : REACH);
    if (this.desk.tool === 'look') {
      this.desk.selected = held ?? { kind: 'nothing' };
      this.#grip = { kind: 'pan', last: at };
      return;
    }
    const finger = !!kind.finger;
    if (held) {
      const there = this.#at(held)!;
      const here = toPicture(this.view, at);
      this.desk.selected = held;
      this.desk.paper.begin(this.#gesture(held));
      this.#grip = { kind: 'drag', what: held, off: { du: there.u - here.u, dv: there.v - here.v }, finger: false, fresh: false, from: at, moved: false };
      this.loupe = there;
      this.holding = true;
      return;
    }
    const what = this.#pending();
    if (!what) {
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

  move(at: Press) {
    const g = this.#grip;
    if (!g) return;
    if (g.kind === 'pan') {
      this.pan(at.x - g.last.x, at.y - g.last.y);
      g.last = at;
      this.#fitted = false;
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

  /** Moves what is selected by quarters of a pixel, or the cross by pixels of the stage. */
  nudge(dx: number, dy: number) {
    const what = this.desk.selected;
    const at = this.#at(what);
    if (at && (what.kind === 'point' || what.kind === 'mark')) {
      const to = moved(at, dx * NUDGE, dy * NUDGE);
      this.desk.paper.do(this.words.nudge(this.#gesture(what)), (t) => this.#with(t, what, to));
      this.loupe = to;
      return;
    }
    const from = this.cross ?? toPicture(this.view, { x: this.stage.width / 2, y: this.stage.height / 2 });
    const step = 4 / this.view.scale;
    const within = (v: number, most: number) => picturePx(Math.max(-0.5, Math.min(most - 0.5, v)));
    this.cross = { u: within(from.u + dx * step, this.picture.width), v: within(from.v + dy * step, this.picture.height) };
    this.loupe = this.cross;
  }

  /** Puts what is asked for at the cross; without a cross, takes the proposals over. */
  put() {
    const what = this.#pending();
    if (this.cross && what) {
      const at = this.cross;
      this.desk.paper.do(this.#gesture(what), (t) => this.#with(t, what, at));
      this.desk.selected = what;
      this.#goOn(what);
      return;
    }
    const open = this.open();
    if (open.length > 0) this.desk.paper.do(this.words.takeOver, (t) => open.reduce(withMark, t));
  }

  remove() {
    const s = this.desk.selected;
    const { take, frame, paper } = this.desk;
    if (s.kind === 'point') paper.do(this.words.removePoint(s.name), (t) => withoutPoint(t, take, frame, s.name));
    else if (s.kind === 'mark') {
      paper.do(this.words.removeMark(s.who, s.what), (t) => withoutMark(t, take, frame, s.who, s.what));
      this.proposals = this.proposals.filter((p) => !(p.who === s.who && p.what === s.what));
    } else if (s.kind === 'moment') paper.do(this.words.removeMoment, (t) => withoutMoment(t, s.id));
    else if (s.kind === 'action') paper.do(this.words.removeAction, (t) => withoutAction(t, s.id));
    this.desk.selected = { kind: 'nothing' };
    this.loupe = null;
  }

  /** Proposes the marks of the nearest frame that has some. */
  propose() {
    const { take, frame } = this.desk;
    const others = this.desk.touch.marks.filter((m) => m.take === take && m.frame !== frame);
    if (others.length === 0) return;
    const near = others.reduce((a, b) => (Math.abs(b.frame - frame) < Math.abs(a.frame - frame) ? b : a)).frame;
    this.proposals = others.filter((m) => m.frame === near).map((m) => ({ ...m, frame }));
  }

  /** Goes through the things to mark: both fencers, in the order of the trade. */
  cycle(by: number) {
    if (this.desk.tool === 'place') {
      const names = this.trade.points.map((p) => p.name);
      const i = names.indexOf(this.desk.placeNext);
      this.desk.placeNext = names[(i + by + names.length) % names.length]!;
      this.desk.selected = this.desk.placing()?.points.some((p) => p.name === this.desk.placeNext) ? { kind: 'point', name: this.desk.placeNext } : { kind: 'nothing' };
      return;
    }
    const things = this.trade.things.map((w) => w.name);
    const i = things.indexOf(this.desk.what) + by;
    if (i < 0 || i >= things.length) this.desk.who = this.desk.who === 'left' ? 'right' : 'left';
    this.desk.what = things[(i + things.length) % things.length]!;
    this.desk.selected = this.desk.mark(this.desk.who, this.desk.what) ? { kind: 'mark', who: this.desk.who, what: this.desk.what } : { kind: 'nothing' };
  }

  /** Where what is selected stands; undefined where it is not on the picture. */
  #selectedAt() { return this.#at(this.desk.selected); }

  #at(what: Selected): PicturePoint | undefined {
    if (what.kind === 'point') return this.desk.placing()?.points.find((p) => p.name === what.name)?.at as PicturePoint | undefined;
    if (what.kind === 'mark') {
      return (this.desk.mark(what.who, what.what) ?? this.open().find((m) => m.who === what.who && m.what === what.what))?.at as PicturePoint | undefined;
    }
    return undefined;
  }

  /** What the next press sets. */
  #pending(): Selected | null {
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
    const to = moved(p, g.off.du, g.off.dv);
    this.loupe = to;
    this.cross = null;
    this.desk.paper.change((t) => this.#with(t, g.what, to));
  }

  #with<T extends Desk['touch']>(t: T, what: Selected, at: PicturePoint) {
    const { take, frame } = this.desk;
    if (what.kind === 'point') {
      const named = this.trade.points.find((p) => p.name === what.name);
      const old = this.desk.placing()?.points.find((p) => p.name === what.name);
      return withPoint(t, take, frame, { name: what.name, on: old?.on ?? named?.on ?? { x: 0, y: 0, z: 0 }, at, ...(old?.sd ? { sd: old.sd } : {}) });
    }
    if (what.kind === 'mark') {
      const old = this.desk.mark(what.who, what.what);
      return withMark(t, { take, frame, who: what.who, what: what.what, at, sd: old?.sd ?? this.trade.sd_px });
    }
    return t;
  }

  /** After something new was set: what is asked for next. */
  #goOn(what: Selected) {
    if (what.kind === 'point') this.desk.placeNext = this.#nextPoint();
    if (what.kind === 'mark') {
      const things = this.trade.things.map((w) => w.name);
      const from = things.indexOf(what.what);
      const next = [...things.slice(from + 1), ...things.slice(0, from)].find((w) => !this.desk.mark(what.who, w));
      if (next) this.desk.what = next;
    }
  }

  /** The piste point to ask for: the one that would help most, else the next that is not set. */
  #nextPoint(): string {
    const set = new Set(this.desk.placing()?.points.map((p) => p.name));
    const open = this.trade.points.filter((p) => !set.has(p.name));
    return this.advised().find((n) => open.some((p) => p.name === n)) ?? open.find((p) => p.painted)?.name ?? open[0]?.name ?? '';
  }
}
