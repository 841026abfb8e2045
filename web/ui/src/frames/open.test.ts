import { describe, expect, it } from 'vitest';
import { frameNo, type Frame } from '../units';
import { EitherSource } from './open';
import type { FrameSource, Picture } from './source';

/** A source that answers as it is told. */
function source(kind: 'browser' | 'server', get: (f: Frame) => Promise<Picture>) {
  const heads: [number, number][] = [];
  const s: FrameSource & { heads: typeof heads; closed: boolean } = {
    kind, heads, closed: false,
    ready: () => undefined, get, head: (f, d) => { heads.push([f, d]); }, shown: () => {}, rest: () => {}, close() { this.closed = true; },
  };
  return s;
}
const picture = (f: Frame, by: string) => ({ frame: f, width: 1, height: 1, image: by as unknown as CanvasImageSource });
const fine = (by: string) => async (f: Frame) => picture(f, by);
const never = () => new Promise<Picture>(() => {});

describe('one source behind the other', () => {
  it('asks the first', async () => {
    const e = new EitherSource(source('browser', fine('a')), source('server', fine('b')));
    expect((await e.get(frameNo(3))).image).toBe('a');
    expect(e.kind).toBe('browser');
  });
  it('goes over to the second for good when the first fails, and tells it where the hand is', async () => {
    const first = source('browser', async () => { throw new Error('no'); });
    const second = source('server', fine('b'));
    const e = new EitherSource(first, second);
    e.head(frameNo(9), -1);
    expect((await e.get(frameNo(3))).image).toBe('b');
    expect(e.kind).toBe('server');
    expect(first.closed).toBe(true);
    expect(second.heads).toEqual([[9, -1]]);
  });
  it('asks the second as well when the first takes too long, and stays with the first', async () => {
    const e = new EitherSource(source('browser', never), source('server', fine('b')), 1);
    expect((await e.get(frameNo(3))).image).toBe('b');
    expect(e.kind).toBe('browser');
  });
  it('does not go over because somebody stopped waiting', async () => {
    const abort = new AbortController();
    const first = source('browser', async () => { abort.abort(); throw new Error('moved on'); });
    const e = new EitherSource(first, source('server', fine('b')));
    await expect(e.get(frameNo(3), abort.signal)).rejects.toThrow('moved on');
    expect(e.kind).toBe('browser');
  });
});
