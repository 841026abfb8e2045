import { describe, expect, it } from 'vitest';
import { frameNo } from '../units';
import { ServerSource } from './server';

/** A server that answers when told to. */
function server() {
  const asked: { frame: number; answer: () => void; signal: AbortSignal }[] = [];
  const fetcher = (url: string, init: { signal: AbortSignal }) => new Promise<Response>((done, fail) => {
    const frame = Number(/frame\/(\d+)\.jpg/.exec(url)![1]);
    init.signal.addEventListener('abort', () => fail(new Error('aborted')));
    asked.push({ frame, signal: init.signal, answer: () => done(new Response(String(frame))) });
  });
  let closed = 0;
  const decode = async (b: Blob) => ({ width: 1280, height: 720, n: Number(await b.text()), close: () => { closed++; } }) as unknown as ImageBitmap;
  return { asked, source: new ServerSource('a', 100, fetcher, decode), closed: () => closed, open: () => asked.filter((a) => !a.signal.aborted).map((a) => a.frame) };
}

describe('frames from the server', () => {
  it('hands out the frame that was asked for, and keeps it', async () => {
    const s = server();
    const p = s.source.get(frameNo(7));
    s.asked[0]!.answer();
    expect((await p).frame).toBe(7);
    expect(s.source.ready(frameNo(7))?.frame).toBe(7);
    await s.source.get(frameNo(7));
    expect(s.asked.filter((a) => a.frame === 7).length).toBe(1);
  });
  it('asks once for what two wait for', async () => {
    const s = server();
    const both = Promise.all([s.source.get(frameNo(3)), s.source.get(frameNo(3))]);
    s.asked[0]!.answer();
    await both;
    expect(s.asked.filter((a) => a.frame === 3).length).toBe(1);
  });
  it('fetches ahead of the hand, few at a time', () => {
    const s = server();
    s.source.head(frameNo(10), 1);
    expect(s.open()).toEqual([11, 12, 13]);
  });
  it('gives up what the hand has left behind', () => {
    const s = server();
    s.source.head(frameNo(10), 1);
    s.source.head(frameNo(60), -1);
    expect(s.asked.slice(0, 3).every((a) => a.signal.aborted)).toBe(true);
    expect(s.open()).toEqual([59, 58, 57]);
  });
  it('lets go of one who no longer waits', async () => {
    const s = server();
    const abort = new AbortController();
    const p = s.source.get(frameNo(5), abort.signal);
    abort.abort(new Error('moved on'));
    await expect(p).rejects.toThrow('moved on');
  });
  it('says what the server said where it refuses', async () => {
    const source = new ServerSource('a', 10, async () => new Response('the file is damaged\n', { status: 422 }));
    await expect(source.get(frameNo(0))).rejects.toThrow('the file is damaged');
  });
  it('gives its pictures back', async () => {
    const s = server();
    const p = s.source.get(frameNo(1));
    s.asked[0]!.answer();
    await p;
    s.source.close();
    expect(s.closed()).toBe(1);
  });
});
