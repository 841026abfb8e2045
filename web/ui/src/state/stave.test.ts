import { describe, expect, it } from 'vitest';
import type { Action, Moment, Touch } from '../api/client';
import { withMoment, withoutMoment } from './desk.svelte';
import {
  actionEnd, actionMoved, actionsOn, complete, following, freshId, momentAt, momentEnd, momentMoved, momentsInTime, nearestFrame, panned, phrase,
  shownAt, stretch, timeAt, timeOf, unusedFirst, usualEnd, whole, xOf, zoomed, type Geometry, type Span, type TakeClock,
} from './stave';

// 50 frames a second live from frame 100; a replay at a quarter of the speed from 0.
const live: TakeClock = { take: 'live', from: 100, times: Array.from({ length: 101 }, (_, i) => i * 0.02) };
const slow: TakeClock = { take: 'slow', from: 0, times: Array.from({ length: 101 }, (_, i) => 1 + i * 0.005) };
const clocks = [live, slow];
const g: Geometry = { svg: '', width: 200, height: 50, x0: 20, x1: 180, t0_s: 0.5, t1_s: 1.5, lines: [], frames: clocks };
const moment = (m: Partial<Moment>): Moment => ({ id: 'm', name: '', take: 'live', after_frame: 119, by_frame: 120, ...m });
const action = (a: Partial<Action>): Action => ({ id: 'a', who: 'left', line: 'feet', word: 'lunge', take: 'live', from: 110, to: 130, ...a });
const touch = (t: Partial<Touch>): Touch => ({
  bout: {} as Touch['bout'], before: { left: 0, right: 0 }, videos: [], placings: [], marks: [], moments: [], actions: [],
  takes: [{ id: 'live', video: 'v', from: 100, to: 200 }, { id: 'slow', video: 'v', from: 0, to: 100 }],
  race: { left: { onset: {} }, right: { onset: {} } }, ...t,
});
const span = (from: number, to: number) => ({ from, to }) as Span;

describe('time and place', () => {
  it('goes there and back', () => {
    expect(xOf(g, 1)).toBe(100);
    expect(timeAt(g, 100)).toBe(1);
    expect(timeAt(g, 0)).toBe(0.5);
    expect(timeAt(g, 999)).toBe(1.5);
  });
  it('cuts a stretch at the ends', () => {
    expect(stretch(g, 0, 0.4)).toBeUndefined();
    expect(stretch(g, 1.6, 2)).toBeUndefined();
    expect(stretch(g, 0, 1)).toEqual({ x: 20, w: 80 });
    expect(stretch(g, 1.25, 9)).toEqual({ x: 140, w: 40 });
  });
  it('knows the instant of a frame, and the frame of an instant', () => {
    expect(timeOf(clocks, 'live', 150)).toBeCloseTo(1, 9);
    expect(timeOf(clocks, 'live', 99)).toBeUndefined();
    expect(timeOf(clocks, 'gone', 1)).toBeUndefined();
    expect(nearestFrame(live, 1.009)).toBe(150);
    expect(nearestFrame(live, 1.011)).toBe(151);
    expect(nearestFrame(live, -5)).toBe(100);
    expect(nearestFrame(live, 50)).toBe(200);
    for (let f = 100; f <= 200; f++) expect(nearestFrame(live, timeOf(clocks, 'live', f)!)).toBe(f);
  });
  it('stays on the take that is shown while it shows the instant', () => {
    expect(shownAt(clocks, 'slow', 1.25)).toEqual({ take: 'slow', frame: 50 });
    expect(shownAt(clocks, 'slow', 0.5)).toEqual({ take: 'live', frame: 125 });
    expect(shownAt(clocks, 'live', 1.25)!.take).toBe('live');
    expect(shownAt(clocks, 'live', 99)).toEqual({ take: 'live', frame: 200 });
    expect(shownAt([], 'live', 1)).toBeUndefined();
  });
});

describe('the stretch that is shown', () => {
  const all = whole(clocks)!;
  it('is at most all of it', () => {
    expect(all).toEqual({ from: 0, to: 2 });
    expect(zoomed(all, all, 1, 2)).toEqual(all);
    expect(whole([])).toBeUndefined();
  });
  it('keeps what is looked at in its place', () => {
    const z = zoomed(all, all, 0.5, 0.5);
    expect((0.5 - z.from) / (z.to - z.from)).toBeCloseTo(0.25, 9);
    expect(z.to - z.from).toBeCloseTo(1, 9);
    const least = zoomed(z, all, 0.5, 1e-6);
    expect(least.to - least.from).toBeCloseTo(0.04, 9);
  });
  it('stays inside', () => {
    expect(panned(span(0, 1), all, -0.5)).toEqual({ from: 0, to: 1 });
    expect(panned(span(0, 1), all, 0.5)).toEqual({ from: 0.5, to: 1.5 });
    expect(panned(span(1, 2), all, 9)).toEqual({ from: 1, to: 2 });
  });
  it('follows the frame shown only when it leaves', () => {
    const s = span(0.5, 1);
    expect(following(s, all, 0.7)).toBe(s);
    expect(following(s, all, 1.02).from).toBeCloseTo(0.97, 9);
    expect(following(s, all, 0.4)).toEqual({ from: 0, to: 0.5 });
    expect(following(s, all, 2).from).toBeCloseTo(1.5, 9);
  });
  it('finds the phrase', () => {
    expect(phrase(touch({}), clocks)).toBeUndefined();
    const p = phrase(touch({ moments: [moment({})], actions: [action({})] }), clocks)!;
    expect(p.from).toBeCloseTo(0.1, 9);
    expect(p.to).toBeCloseTo(0.7, 9);
    expect(phrase(touch({ moments: [moment({ take: 'gone' })] }), clocks)).toBeUndefined();
  });
});

describe('moments and actions', () => {
  it('sets a moment between the frame before and the one shown', () => {
    expect(momentAt(touch({}), 'live', 150)).toEqual({ id: 'moment-1', name: '', take: 'live', after_frame: 149, by_frame: 150 });
    expect(momentAt(touch({}), 'live', 100)!.after_frame).toBe(100);
    expect(momentAt(touch({}), 'gone', 100)).toBeUndefined();
    expect(freshId('moment', [{ id: 'moment-1' }, { id: 'moment-3' }])).toBe('moment-2');
  });
  it('keeps the ends of a moment apart and inside the take', () => {
    const t = touch({});
    expect(momentEnd(t, moment({}), 'after', 150).after_frame).toBe(119);
    expect(momentEnd(t, moment({}), 'after', 5).after_frame).toBe(100);
    expect(momentEnd(t, moment({}), 'by', 100).by_frame).toBe(120);
    expect(momentEnd(t, moment({}), 'by', 999).by_frame).toBe(200);
    expect(momentMoved(t, moment({}), 200)).toMatchObject({ after_frame: 199, by_frame: 200 });
    expect(momentMoved(t, moment({}), -200)).toMatchObject({ after_frame: 100, by_frame: 101 });
  });
  it('keeps the ends of an action in order', () => {
    const t = touch({});
    expect(actionEnd(t, action({}), 'from', 999).from).toBe(130);
    expect(actionEnd(t, action({}), 'to', 0).to).toBe(110);
    expect(actionMoved(t, action({}), -99)).toMatchObject({ from: 100, to: 120 });
  });
  it('gives an action a fifth of a second until its end is set', () => {
    expect(usualEnd(touch({}), clocks, 'live', 110)).toBe(120);
    expect(usualEnd(touch({}), clocks, 'slow', 10)).toBe(50);
    expect(usualEnd(touch({}), clocks, 'live', 199)).toBe(200);
    expect(usualEnd(touch({}), [], 'live', 110)).toBe(115);
  });
  it('lists them in time, whatever the take', () => {
    const t = touch({
      moments: [moment({ id: 'late', take: 'slow', after_frame: 90, by_frame: 91 }), moment({ id: 'early' })],
      actions: [action({ id: 'b', from: 140, to: 150 }), action({ id: 'a' }), action({ id: 'c', who: 'right' })],
    });
    expect(momentsInTime(t, clocks).map((m) => m.id)).toEqual(['early', 'late']);
    expect(actionsOn(t, clocks, { who: 'left', line: 'feet' }).map((a) => a.id)).toEqual(['a', 'b']);
  });
  it('leaves nothing behind that asks for a moment that is gone', () => {
    let t = withMoment(touch({}), moment({ id: 'x' }));
    t = { ...t, race: { from: 'x', left: { onset: { kind: 'observed', moment: 'x' } }, right: { onset: { kind: 'observed', moment: 'y' } } } };
    expect(withoutMoment(t, 'x').race).toEqual({ left: { onset: {} }, right: { onset: { kind: 'observed', moment: 'y' } } });
    expect(withoutMoment(t, 'z').race).toEqual(t.race);
    expect(t.race.from).toBe('x');
  });
});

describe('words', () => {
  const all = ['step forward', 'step back', 'lunge', 'half lunge', 'flèche', 'step and lunge', 'plunge'].map((word) => ({ name: word, word }));
  const said = (typed: string) => complete(all, typed).map((w) => w.word);
  it('ranks what begins so before what holds it', () => {
    expect(said('lu')).toEqual(['lunge', 'half lunge', 'step and lunge', 'plunge']);
    expect(said('fle')).toEqual(['flèche']);
    expect(said(' ST ')).toEqual(['step forward', 'step back', 'step and lunge']);
    expect(said('xx')).toEqual([]);
    expect(complete(all, '', 2).map((w) => w.word)).toEqual(['step forward', 'step back']);
  });
  it('proposes moments that are not set yet first', () => {
    const usual = ['launch', 'hit'].map((word) => ({ name: word, word }));
    expect(unusedFirst(usual, [moment({ name: 'Launch' })]).map((w) => w.word)).toEqual(['hit', 'launch']);
  });
});
