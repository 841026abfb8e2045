import { describe, expect, it } from 'vitest';
import { Uploads, type Send } from './uploads.svelte';

const file = (name: string) => ({ name }) as File;

function desk() {
  const sent: { name: string; done: () => void; fail: (e: unknown) => void; progress: (s: number) => void }[] = [];
  let clock = 0;
  const send: Send = (f, _bout, progress, signal) => new Promise((done, fail) => {
    sent.push({ name: f.name, done: () => done({} as never), fail, progress });
    signal.addEventListener('abort', () => fail(new Error('aborted')));
  });
  const u = new Uploads(send, async (title) => `bout of ${title}`, () => 'blob:x', () => {}, () => clock);
  return { u, sent, tick: (t: number) => { clock = t; } };
}
const rest = () => new Promise((r) => setTimeout(r, 0));

describe('videos on their way', () => {
  it('go one at a time, each into its bout', async () => {
    const { u, sent } = desk();
    expect(await u.add(file('a.mp4'))).toBe('bout of a');
    expect(await u.add(file('b.mp4'), 'mine')).toBe('mine');
    expect(sent.map((s) => s.name)).toEqual(['a.mp4']);
    sent[0]!.done();
    await rest();
    expect(sent.map((s) => s.name)).toEqual(['a.mp4', 'b.mp4']);
    expect(u.all.map((x) => x.state)).toEqual(['done', 'going']);
  });
  it('keep the window from closing while one is under way, and no longer', async () => {
    const { u, sent } = desk();
    expect(u.busy).toBe(false);
    await u.add(file('a.mp4'));
    expect(u.busy).toBe(true);
    sent[0]!.fail(new Error('no room'));
    await rest();
    expect(u.busy).toBe(false);
    u.dismiss(u.all[0]!);
    expect(u.all).toEqual([]);
  });
  it('tell the time left', async () => {
    const { u, sent, tick } = desk();
    await u.add(file('a.mp4'));
    tick(3);
    sent[0]!.progress(0.5);
    expect(u.all[0]!.left).toBe(3);
  });
  it('can be cancelled, waiting or going, and the others go on', async () => {
    const { u, sent } = desk();
    await u.add(file('a.mp4'));
    await u.add(file('b.mp4'));
    await u.add(file('c.mp4'));
    u.all[1]!.cancel();
    u.all[0]!.cancel();
    await rest();
    expect(u.all.map((x) => x.state)).toEqual(['cancelled', 'cancelled', 'going']);
    sent[1]!.fail(new Error('the disk is full'));
    await rest();
    expect(u.all[2]!.trouble).toBe('the disk is full');
  });
});
