import { beforeEach, describe, expect, it } from 'vitest';
import type { Stamp, Touch, Trade } from '../api/client';
import { frameNo } from '../units';
import { Desk } from './desk.svelte';
import { LiveReading } from './live.svelte';
import { Paper } from './paper.svelte';
import { ABOVE_FINGER } from './reach';
import { StageState } from './stage.svelte';
import { toStage } from './view';

const touch = (): Touch => ({
  bout: {} as Touch['bout'], number: 1, before: { left: 0, right: 0 }, title: '', line: '',
  videos: [{ id: 'v', file: 'v.mp4', sha256: 'x' }], takes: [{ id: 'live', video: 'v', from: 0, to: 99 }],
  placings: [], marks: [], moments: [], actions: [], race: { left: { onset: {} }, right: { onset: {} } },
} as unknown as Touch);
const trade = {
  things: ['point', 'guard', 'elbow'].map((name) => ({ name, word: name })),
  points: [
    { name: 'p1', word: 'p1', on: { x: -2, y: 0, z: 0 }, painted: true },
    { name: 'p2', word: 'p2', on: { x: 0, y: 0, z: 0 }, painted: true },
    { name: 'p3', word: 'p3', on: { x: 5, y: 0, z: 0 }, painted: false },
  ],
  sd_px: 1.5,
} as unknown as Trade;

function setUp() {
  const saves: string[] = [];
  const advised = ['p2'];
  const stamp = (revision: number): Stamp => ({ id: 't', revision, gesture: '', saved: '', can_undo: false, can_redo: false });
  let kept = touch();
  const paper = new Paper<Touch>({
    load: async () => ({ stamp: stamp(1), value: kept }),
    save: async (base, gesture, value) => { saves.push(gesture); kept = value; return { stamp: stamp(base + 1), value }; },
    undo: async () => { throw new Error('no'); },
    redo: async () => { throw new Error('no'); },
  }, { stamp: stamp(1), value: kept });
  const desk = new Desk('t', 'b', paper, new LiveReading(() => new Promise(() => {})), []);
  const stage = new StageState(desk, trade, {
    place: (n) => `place ${n}`, mark: (who, what) => `mark ${who} ${what}`, removePoint: (n) => `remove ${n}`, removeMark: (who, what) => `remove ${who} ${what}`,
    removeMoment: 'remove moment', removeAction: 'remove action', takeOver: 'take over', nudge: (t) => `nudge ${t}`, sure: 'sure',
  }, () => advised);
  stage.picture = { width: 1280, height: 720 };
  stage.resize({ width: 640, height: 360 });
  const press = (u: number, v: number, kind = {}) => { stage.down(toStage(stage.view, { u, v }), kind); };
  const click = (u: number, v: number) => { press(u, v); stage.up(); };
  return { desk, stage, saves, advised, press, click, settled: () => paper.settled() };
}

let s: ReturnType<typeof setUp>;
beforeEach(() => { s = setUp(); });

describe('placing', () => {
  it('sets the point that would help most, then asks for the next', async () => {
    s.desk.tool = 'place';
    s.click(100, 200);
    expect(s.desk.placing()?.points.map((p) => [p.name, p.on.x])).toEqual([['p2', 0]]);
    expect(s.desk.placing()?.points[0]?.at.u).toBeCloseTo(100, 9);
    expect(s.stage.pending()).toEqual({ kind: 'point', name: 'p1' });
    await s.settled();
    expect(s.saves).toEqual(['place p2']);
  });
  it('keeps asking for the same point when a reading arrives late', () => {
    s.desk.tool = 'place';
    s.desk.live.answer = {} as never;
    expect(s.stage.pending()).toEqual({ kind: 'point', name: 'p2' });
    s.advised[0] = 'p3';
    expect(s.stage.pending()).toEqual({ kind: 'point', name: 'p2' });
    s.click(100, 200);
    expect(s.stage.pending()).toEqual({ kind: 'point', name: 'p3' });
  });
  it('drags a point as one step, from where it was taken hold of', async () => {
    s.desk.tool = 'place';
    s.click(100, 200);
    s.press(102, 201);
    for (const d of [4, 10, 20]) s.stage.move(toStage(s.stage.view, { u: 102 + d, v: 201 }));
    s.stage.up();
    expect(s.desk.placing()?.points[0]?.at.u).toBeCloseTo(120, 9);
    expect(s.desk.placing()?.points[0]?.at.v).toBeCloseTo(200, 9);
    await s.settled();
    expect(s.saves.length).toBe(2);
  });
  it('does not shift a point that is only pressed', async () => {
    s.desk.tool = 'place';
    s.click(100, 200);
    s.click(103, 203);
    await s.settled();
    expect(s.desk.placing()?.points[0]?.at.u).toBeCloseTo(100, 9);
    expect(s.saves.length).toBe(1);
    expect(s.desk.selected).toEqual({ kind: 'point', name: 'p2' });
  });
  it('sets what is asked for beside what is set, however near they stand', () => {
    s.desk.tool = 'mark';
    s.click(300, 200);
    // Six pixels of the stage away: nearer than a hand reaches, as toe and heel are.
    s.click(312, 200);
    expect(s.desk.marks().map((m) => [m.what, Math.round(m.at.u)])).toEqual([['point', 300], ['guard', 312]]);
    // On top of it, it is taken hold of.
    s.press(314, 200);
    expect(s.desk.selected).toEqual({ kind: 'mark', who: 'left', what: 'guard' });
    s.stage.up();
    expect(s.desk.marks()).toHaveLength(2);
  });
  it('moves nothing that is set by a stray press, but what was chosen', () => {
    s.desk.tool = 'place';
    for (const u of [100, 200, 300]) s.click(u, 200);
    expect(s.stage.pending()).toBeNull();
    s.click(500, 500);
    expect(s.desk.placing()?.points.map((p) => Math.round(p.at.u)).sort()).toEqual([100, 200, 300]);
    s.stage.choosePoint('p2');
    s.click(500, 500);
    expect(s.desk.placing()?.points.find((p) => p.name === 'p2')?.at.u).toBeCloseTo(500, 9);
  });
  it('takes a point away and gives up a drag', async () => {
    s.desk.tool = 'place';
    s.click(100, 200);
    s.press(100, 200);
    s.stage.move({ x: 400, y: 300 });
    s.stage.cancel();
    expect(s.desk.placing()?.points[0]?.at.u).toBeCloseTo(100, 9);
    s.stage.remove();
    expect(s.desk.placing()).toBeUndefined();
    await s.settled();
    expect(s.saves).toEqual(['place p2', 'remove p2']);
  });
});

describe('marking', () => {
  it('asks for one thing after the other', () => {
    s.desk.tool = 'mark';
    s.click(100, 100);
    expect(s.desk.what).toBe('guard');
    s.click(200, 100);
    s.click(300, 100);
    expect([s.desk.who, s.desk.what]).toEqual(['right', 'point']);
  });
  it('stays with one thing where that is wanted', () => {
    s.desk.tool = 'mark';
    s.stage.stay = true;
    s.click(100, 100);
    expect(s.desk.what).toBe('point');
    s.desk.transport.seek(frameNo(5));
    s.stage.turned();
    s.click(120, 100);
    expect(s.desk.touch.marks.map((m) => [m.frame, m.what])).toEqual([[0, 'point'], [5, 'point']]);
  });
  it('asks on a new frame for what it lacks', () => {
    s.desk.tool = 'mark';
    s.click(100, 100);
    s.desk.transport.seek(frameNo(5));
    s.stage.turned();
    expect(s.desk.what).toBe('point');
    expect(s.desk.selected.kind).toBe('nothing');
  });
  it('keeps the point clear of a finger', () => {
    s.desk.tool = 'mark';
    s.stage.down({ x: 320, y: 200 }, { finger: true });
    expect(toStage(s.stage.view, s.desk.mark('left', 'point')!.at).y).toBeCloseTo(200 - ABOVE_FINGER, 6);
    s.stage.up();
  });
  it('keeps a mark within the picture', () => {
    s.desk.tool = 'mark';
    s.press(100, 100);
    s.stage.move({ x: -50, y: 900 });
    s.stage.up();
    expect(s.desk.mark('left', 'point')?.at).toEqual({ u: -0.5, v: 719.5 });
  });
  it('says how sure a mark is', () => {
    s.desk.tool = 'mark';
    s.click(100, 100);
    expect(s.stage.sd).toBe(1.5);
    s.stage.sure(4);
    expect(s.desk.mark('left', 'point')?.sd).toBe(4);
    s.stage.sure(0);
    expect(s.stage.sd).toBe(4);
  });
});

describe('what is not seen', () => {
  it('cannot be marked', () => {
    s.desk.tool = 'mark';
    s.stage.waiting = true;
    s.click(100, 100);
    s.stage.cross = { u: 5, v: 5 } as never;
    s.stage.put();
    expect(s.desk.touch.marks).toEqual([]);
    s.stage.waiting = false;
    s.click(100, 100);
    expect(s.desk.touch.marks.length).toBe(1);
  });
  it('gives up what is held when the frame goes away', async () => {
    s.desk.tool = 'mark';
    s.press(100, 100);
    s.desk.transport.seek(frameNo(3));
    s.stage.turned();
    s.stage.move({ x: 20, y: 20 });
    s.stage.up();
    await s.settled();
    expect(s.desk.touch.marks).toEqual([]);
    expect(s.saves).toEqual([]);
  });
});

describe('by keys alone', () => {
  it('nudges what is selected by a quarter pixel, and by one', async () => {
    s.desk.tool = 'mark';
    s.click(100, 100);
    s.stage.nudge(1, 0);
    s.stage.nudge(0, -1, true);
    expect(s.desk.mark('left', 'point')?.at.u).toBeCloseTo(100.25, 9);
    expect(s.desk.mark('left', 'point')?.at.v).toBeCloseTo(99, 9);
    await s.settled();
    expect(s.saves.length).toBe(3);
  });
  it('moves the cross and sets one thing after the other', () => {
    s.desk.tool = 'mark';
    s.stage.nudge(1, 0);
    const at = s.stage.cross!;
    s.stage.put();
    expect(s.desk.mark('left', 'point')?.at).toEqual(at);
    s.stage.nudge(1, 0, true);
    expect(s.stage.cross!.u).toBeGreaterThan(at.u);
    expect(s.desk.mark('left', 'point')?.at).toEqual(at);
    s.stage.put();
    expect(s.desk.mark('left', 'guard')).toBeDefined();
  });
  it('puts nothing over what is set', () => {
    s.desk.tool = 'place';
    for (const u of [100, 200, 300]) s.click(u, 200);
    s.desk.placeNext = 'p1';
    s.stage.cancel();
    s.stage.nudge(1, 0);
    s.stage.put();
    expect(s.desk.placing()?.points.map((p) => Math.round(p.at.u))).toEqual([100, 200, 300]);
  });
  it('goes through the things and selects what is set', () => {
    s.desk.tool = 'mark';
    s.click(100, 100);
    s.stage.cycle(-1);
    expect(s.desk.selected).toEqual({ kind: 'mark', who: 'left', what: 'point' });
    s.stage.cycle(-1);
    expect([s.desk.who, s.desk.what, s.desk.selected.kind]).toEqual(['right', 'elbow', 'nothing']);
  });
});

describe('proposals', () => {
  beforeEach(() => {
    s.desk.tool = 'mark';
    s.click(100, 100);
    s.click(200, 100);
    s.desk.transport.seek(frameNo(9));
    s.stage.turned();
    s.stage.propose();
  });
  it('are no marks until they are taken over, all by one key', async () => {
    expect(s.desk.marks()).toEqual([]);
    expect(s.stage.open().length).toBe(2);
    s.stage.put();
    expect(s.desk.marks().map((m) => m.what)).toEqual(['point', 'guard']);
    expect(s.stage.open()).toEqual([]);
    await s.settled();
    expect(s.saves.filter((g) => g === 'take over').length).toBe(1);
  });
  it('become a mark where they are touched', () => {
    s.click(100, 100);
    expect(s.desk.marks().map((m) => m.what)).toEqual(['point']);
    expect(s.stage.open().map((m) => m.what)).toEqual(['guard']);
  });
  it('do not stand in the way of a fresh mark', () => {
    s.click(400, 300);
    expect(s.desk.mark('left', 'point')?.at.u).toBeCloseTo(400, 9);
  });
});

describe('looking', () => {
  it('moves the picture and changes nothing', () => {
    s.stage.zoom({ x: 320, y: 180 }, 4);
    const before = s.stage.view.x;
    s.stage.down({ x: 300, y: 100 });
    s.stage.move({ x: 340, y: 100 });
    s.stage.up();
    expect(s.stage.view.x).toBeCloseTo(before + 40, 6);
    expect(s.saves).toEqual([]);
  });
  it('stays fitted when the stage changes its size, until the hand came closer', () => {
    s.stage.down({ x: 300, y: 100 });
    s.stage.move({ x: 340, y: 100 });
    s.stage.up();
    s.stage.resize({ width: 320, height: 180 });
    expect(s.stage.view.scale).toBeCloseTo(0.25, 9);
    s.stage.actual();
    s.stage.resize({ width: 640, height: 360 });
    expect(s.stage.view.scale).toBeCloseTo(1, 9);
  });
});
