import { beforeEach, describe, expect, it } from 'vitest';
import type { Job, Live, Stamp, Touch, Trade } from '../api/client';
import { frameNo } from '../units';
import { Desk, withMark } from './desk.svelte';
import type { FollowDoor, Memory, Want } from './followed.svelte';
import { goToLost, goToMark, lostStretches, nextMarks } from './helps';
import { LiveReading } from './live.svelte';
import { Paper } from './paper.svelte';
import { StageState } from './stage.svelte';
import { StaveHand } from './stavehand.svelte';
import { trace } from './traces.fixture';
import { toStage } from './view';

const n = { value: '1', text: '1' };
const first = (): Touch => ({
  bout: {} as Touch['bout'], before: { left: 0, right: 0 }, videos: [{ id: 'v', file: 'v.mp4', sha256: 'x' }],
  takes: [{ id: 'live', video: 'v', from: 0, to: 99 }, { id: 'replay', video: 'v', from: 0, to: 40, factor: 4 }],
  placings: [], marks: [10, 16].map((frame) => ({ take: 'live', frame, who: 'left', what: 'guard', at: { u: 100, v: 50 }, sd: 1.5 })), moments: [], actions: [], race: { left: { onset: {} }, right: { onset: {} } },
} as unknown as Touch);
const trade = { things: ['point', 'guard'].map((name) => ({ name, word: name })), points: [], sd_px: 1.5, moments: [], words: {} } as unknown as Trade;
const job = (id: string, state = 'going', more: Partial<Job> = {}): Job => ({ id, kind: 'follow', about: 't', of: 't', share: 0, left_s: 0, state, ...more });

function setUp() {
  const stamp = (revision: number): Stamp => ({ id: 't', revision, gesture: '', saved: '', can_undo: false, can_redo: false });
  let kept = first();
  const saves: string[] = [];
  const paper = new Paper<Touch>({
    load: async () => ({ stamp: stamp(1), value: kept }),
    save: async (base, gesture, value) => { saves.push(gesture); kept = value; return { stamp: stamp(base + 1), value }; },
    undo: async () => { throw new Error('no'); }, redo: async () => { throw new Error('no'); },
  }, { stamp: stamp(1), value: kept });
  const asked: { touch: Touch; want: Want }[] = [];
  const follows: { marks: number; takes: string[] }[] = [];
  const cancelled: string[] = [];
  const server = { state: 'none', lost: [] as { from: number; to: number }[] };
  const summary = { proposals: [{ id: 'p1', name: 'left’s hand starts', who: 'left', part: 'hand', kind: 'starts', take: 'live', after_frame: 13, by_frame: 14, at: n, sure: n }],
    next_marks: [{ take: 'live', frame: 13, who: 'left', what: 'guard', now: n, then: n }, { take: 'replay', frame: 3, who: 'right', what: 'point', now: n, then: n }], drifts: [], moments: [], needs: [] };
  const door: FollowDoor = {
    ask: async (touch, want) => {
      asked.push({ touch, want });
      const take = (t: string) => ({ take: t, state: server.state, cuts: [], graphics: [], lost: t === 'live' ? server.lost : [], warnings: [] });
      return { followed: { takes: [take('live'), take('replay')], traces: { take: want.take, grids: [], lines: [], tracks: server.state === 'none' ? [] : [trace('mfffflm')] } } } as unknown as Live;
    },
    follow: async (touch, takes) => { follows.push({ marks: touch.marks.length, takes }); return job(String(follows.length)); },
    cancel: async (id) => { cancelled.push(id); },
  };
  const store = new Map<string, string>();
  const memory: Memory = { getItem: (k) => store.get(k) ?? null, setItem: (k, v) => void store.set(k, v) };
  const live = new LiveReading(async () => ({ summary }) as unknown as Live);
  const make = () => new Desk('t', 'b', paper, live, [], door, memory);
  const desk = make();
  desk.who = 'left';
  desk.what = 'guard';
  const calm = async () => { for (let i = 0; i < 12; i++) await Promise.resolve(); };
  const rest = async () => { live.of(first()); await calm(); desk.follow.of(desk.touch); await calm(); desk.follow.of(desk.touch); await calm(); };
  const stage = new StageState(desk, trade, { place: String, mark: (who, what) => `mark ${who} ${what}`, removePoint: String, removeMark: String, removeMoment: '', removeAction: '', takeOver: '', nudge: (t) => `nudge ${t}`, sure: '' }, () => []);
  stage.picture = { width: 1280, height: 720 };
  stage.resize({ width: 640, height: 360 });
  const hand = new StaveHand(desk, trade, { moment: '', nameMoment: '', moveMoment: '', removeMoment: '', action: '', wordAction: '', moveAction: '', removeAction: '', from: '' });
  return { desk, make, paper, live, server, asked, follows, cancelled, saves, calm, rest, stage, hand };
}
let s: ReturnType<typeof setUp>;
beforeEach(() => { s = setUp(); });

describe('asking', () => {
  it('asks for the take and the point that are looked at, and again when another is', async () => {
    await s.rest();
    expect(s.asked.at(-1)?.want).toEqual({ take: 'live', who: 'left', what: 'guard' });
    const before = s.asked.length;
    await s.rest();
    expect(s.asked.length).toBe(before);
    s.desk.what = 'point';
    await s.rest();
    expect(s.asked.at(-1)?.want.what).toBe('point');
  });
  it('leaves the way to the first reading free', async () => {
    s.desk.follow.of(s.desk.touch);
    await s.calm();
    expect(s.asked).toHaveLength(0);
  });
  it('asks nothing while the hand holds something: an answer is large', async () => {
    await s.rest();
    const before = s.asked.length;
    s.paper.begin('drag');
    s.paper.change((t) => ({ ...t, note: 'x' }));
    await s.rest();
    expect(s.asked.length).toBe(before);
    s.paper.end();
    await s.rest();
    expect(s.asked.length).toBe(before + 1);
  });
});

describe('following', () => {
  it('follows every take when told, and shows the job until it ends', async () => {
    await s.desk.follow.follow();
    expect(s.follows).toEqual([{ marks: 2, takes: [] }]);
    s.desk.follow.tell(job('1', 'going', { share: 0.4 }));
    expect(s.desk.follow.job?.share).toBe(0.4);
    s.desk.follow.tell(job('1', 'going', { of: 'another', share: 0.9 }));
    expect(s.desk.follow.job?.share).toBe(0.4);
    s.desk.follow.tell(job('1', 'done'));
    expect(s.desk.follow.job).toBeNull();
  });
  it('follows again by itself what a correction made stale, once, and that take only', async () => {
    s.server.state = 'followed';
    await s.rest();
    s.server.state = 'stale';
    s.paper.do('mark', (t) => withMark(t, { take: 'live', frame: 12, who: 'left', what: 'guard', at: { u: 1, v: 1 }, sd: 1.5 }));
    await s.paper.settled();
    await s.rest();
    await s.rest();
    expect(s.follows).toEqual([{ marks: 3, takes: ['live', 'replay'] }]);
  });
  it('follows again what was followed, also where the hand was quicker than the answer', async () => {
    s.server.state = 'followed';
    s.live.of(first());
    await s.calm();
    s.desk.follow.of(s.desk.touch); // asked, and not yet answered
    s.paper.do('mark', (t) => withMark(t, { take: 'live', frame: 12, who: 'left', what: 'guard', at: { u: 1, v: 1 }, sd: 1.5 }));
    s.desk.follow.of(s.desk.touch); // asked again meanwhile: the first answer will be of an older state
    for (let i = 0; i < 12 && !s.desk.follow.followed; i++) await Promise.resolve();
    expect(s.desk.follow.old).toBe(true);
    s.desk.follow.of(s.desk.touch);
    s.server.state = 'stale';
    await s.calm();
    s.desk.follow.again();
    await s.rest();
    expect(s.follows).toHaveLength(1);
  });
  it('leaves alone what was stale when the desk was opened', async () => {
    s.server.state = 'stale';
    await s.rest();
    await s.rest();
    expect(s.follows).toEqual([]);
  });
  it('does not begin again by itself what was stopped', async () => {
    s.server.state = 'followed';
    await s.rest();
    await s.desk.follow.follow();
    s.desk.follow.cancel();
    s.desk.follow.tell(job('1', 'cancelled'));
    expect(s.cancelled).toEqual(['1']);
    s.server.state = 'stale';
    s.paper.do('note', (t) => ({ ...t, note: 'y' }));
    await s.paper.settled();
    await s.rest();
    expect(s.follows).toHaveLength(1);
  });
  it('bears news of the end before that of the beginning', async () => {
    const begun = s.desk.follow.follow();
    s.desk.follow.tell(job('1', 'done'));
    await begun;
    expect(s.desk.follow.job).toBeNull();
  });
  it('says why it failed', async () => {
    await s.desk.follow.follow();
    s.desk.follow.tell(job('1', 'failed', { trouble: 'the picture is black' }));
    expect(s.desk.follow.trouble).toBe('the picture is black');
  });
  it('catches up with jobs that ended while nobody listened', async () => {
    await s.desk.follow.follow();
    await s.desk.follow.catchUp(async () => []);
    expect(s.desk.follow.job).toBeNull();
  });
});

describe('followed points under the hand', () => {
  beforeEach(async () => {
    s.server.state = 'followed';
    await s.rest();
    s.desk.transport.seek(frameNo(12));
    s.desk.tool = 'mark';
  });
  const at = { u: 104, v: 50 }; // the trace on frame 12
  it('are known on their frame, and a mark goes before them', () => {
    expect(s.desk.follow.points()).toMatchObject([{ who: 'left', what: 'guard', at }]);
    expect(s.desk.follow.step({ who: 'left', what: 'guard' }, 15)?.state).toBe('lost');
    expect(s.desk.follow.step({ who: 'left', what: 'guard' }, 10)?.state).toBe('marked');
  });
  it('are selected by a press and become a mark by a move', async () => {
    const p = toStage(s.stage.view, at as never);
    s.stage.down(p);
    s.stage.up();
    expect(s.desk.selected).toEqual({ kind: 'mark', who: 'left', what: 'guard' });
    expect(s.desk.marks()).toEqual([]);
    s.stage.down(p);
    s.stage.move({ x: p.x + 6, y: p.y });
    s.stage.up();
    expect(s.desk.marks()).toHaveLength(1);
    expect(s.desk.marks()[0]!.at.u).toBeCloseTo(at.u + 12, 6); // half a stage pixel is one of the picture
    expect(s.desk.touch.marks).toHaveLength(3);
    await s.paper.settled();
    expect(s.saves).toEqual(['mark left guard']);
  });
  it('are taken over where they are by Enter', () => {
    s.desk.selected = { kind: 'mark', who: 'left', what: 'guard' };
    s.stage.put();
    expect(s.desk.marks()).toMatchObject([{ at }]);
  });
  it('cannot be removed: there is nothing of the hand', async () => {
    s.desk.selected = { kind: 'mark', who: 'left', what: 'guard' };
    s.stage.remove();
    await s.paper.settled();
    expect(s.saves).toEqual([]);
  });
});

describe('where the hand would help', () => {
  it('goes to the mark that would help most, and then to the next', async () => {
    s.live.of(s.desk.touch);
    await s.calm();
    expect(nextMarks(s.desk)).toHaveLength(2);
    expect(goToMark(s.desk)).toBe(true);
    expect([s.desk.take, s.desk.frame, s.desk.who, s.desk.what, s.desk.tool]).toEqual(['live', 13, 'left', 'guard', 'mark']);
    goToMark(s.desk);
    expect([s.desk.take, s.desk.frame, s.desk.what]).toEqual(['replay', 3, 'point']);
    s.paper.do('mark', (t) => withMark(t, { take: 'live', frame: 13, who: 'left', what: 'guard', at: { u: 1, v: 1 }, sd: 1.5 }));
    expect(nextMarks(s.desk)).toHaveLength(1);
  });
  it('goes to where the camera was lost, until the piste is placed there', async () => {
    s.server.state = 'followed';
    s.server.lost = [{ from: 40, to: 50 }];
    await s.rest();
    expect(goToLost(s.desk)).toBe(true);
    expect([s.desk.take, s.desk.frame, s.desk.tool]).toEqual(['live', 45, 'place']);
    s.paper.do('place', (t) => ({ ...t, placings: [{ take: 'live', frame: 45, points: [] }] }));
    expect(lostStretches(s.desk)).toEqual([]);
    expect(goToLost(s.desk)).toBe(false);
  });
});

describe('proposed moments', () => {
  beforeEach(async () => {
    s.live.of(s.desk.touch);
    await s.calm();
  });
  it('become a moment by one key', () => {
    expect(s.hand.accept()).toBe(true);
    expect(s.desk.touch.moments).toMatchObject([{ name: 'left’s hand starts', take: 'live', after_frame: 13, by_frame: 14 }]);
    expect(s.hand.proposals).toEqual([]);
    expect(s.hand.accept()).toBe(false);
  });
  it('are refused by another, for good in this browser, until that is taken back', () => {
    expect(s.hand.refuse()).toBe(true);
    expect(s.hand.proposals).toEqual([]);
    expect(s.desk.touch.moments).toEqual([]);
    expect(s.make().follow.refused.has('p1')).toBe(true);
    s.desk.follow.unrefuse();
    expect(s.hand.proposals).toHaveLength(1);
  });
});

describe('moments seen in two takes', () => {
  it('are bracketed by the frame shown of the other take', () => {
    s.paper.do('m', (t) => ({ ...t, moments: [{ id: 'm', name: 'hit', take: 'live', after_frame: 20, by_frame: 21 }] }));
    s.desk.selected = { kind: 'moment', id: 'm' };
    expect(s.hand.also()).toBe(false); // its own take
    s.desk.transport.show('replay', frameNo(30));
    expect(s.hand.also()).toBe(true);
    expect(s.desk.touch.moments[0]!.also).toEqual([{ take: 'replay', after_frame: 29, by_frame: 30 }]);
    s.desk.transport.seek(frameNo(31));
    s.hand.also();
    expect(s.desk.touch.moments[0]!.also).toEqual([{ take: 'replay', after_frame: 30, by_frame: 31 }]);
    s.hand.notAlso('replay');
    expect(s.desk.touch.moments[0]).not.toHaveProperty('also');
  });
});
