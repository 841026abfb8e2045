// Exact frames: the number burnt into every frame is read back from the canvas, over a
// thousand steps forwards, backwards and at random, half of them from each source.

import assert from 'node:assert/strict';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { browse, ffmpeg, folder, numbered, numberedClip, open, picture, serve } from './harness.mjs';
import { deskReady, frameReader, wholeTake } from './hands.mjs';

const dir = folder();
// The clips of other shapes are walked past the rest of the one and the second group of
// pictures of the other, back, and at random; make test-deep walks to their ends.
const more = process.env.MESURE_DEEP ? 400 : 240;
let server, browser;
before(async () => {
  [server, browser] = await Promise.all([serve(), browse()]);
});
after(async () => {
  await browser?.close();
  await server?.stop();
});

/** Steps through a take and returns every step that showed another frame than was asked for. */
async function walk(page, steps, offset = 0, seed = 1) {
  await frameReader(page);
  return page.evaluate(async ({ steps, offset, seed }) => {
    const { read, shown, press, jump, canvas } = globalThis.hands;
    const strip = document.querySelector('.strip[role=slider]');
    const [first, last] = ['aria-valuemin', 'aria-valuemax'].map((a) => Number(strip.getAttribute(a)));
    // A small generator with a known seed (Lehmer 1951, multiplier 48271): the same walk every time.
    const next = () => (seed = (seed * 48271) % 2147483647);
    const wrong = [];
    let n = 0;
    const check = (way, frame) => {
      n++;
      const number = read();
      if (number !== frame + offset || Number(canvas.dataset.frame) !== frame) wrong.push({ way, asked: frame, says: canvas.dataset.frame, burnt: number });
    };
    let at = first;
    jump(at);
    await shown(at);
    const each = Math.floor(steps / 3);
    for (let i = 0; i < each && at < last; i++) {
      press('ArrowRight');
      await shown(++at);
      check('forwards', at);
    }
    for (let i = 0; i < each && at > first; i++) {
      press('ArrowLeft');
      await shown(--at);
      check('backwards', at);
    }
    while (n < steps) {
      // A third of the jumps are by ten, as Shift with an arrow makes them.
      const to = next() % 3 === 0 ? Math.min(last, at + 10) : first + (next() % (last - first + 1));
      if (to === at) continue;
      if (to === at + 10) press('ArrowRight', { shiftKey: true });
      else jump(to);
      await shown((at = to));
      check('at random', at);
    }
    return { wrong, n, source: canvas.dataset.source };
  }, { steps, offset, seed });
}

async function desk(path, clip, options) {
  const touch = await wholeTake(server, clip);
  const page = await open(browser, `${server.address}/touch/${touch.id}${path}`, options);
  await deskReady(page);
  return { page, touch };
}

/** Walks a clip in two windows at once, one decoding itself, one with pictures from the server. */
async function both(clip, frames, steps, more = () => {}, offset = 0) {
  const windows = [];
  for (const [way, source] of [['', 'browser'], ['?frames=server', 'server']]) windows.push({ source, ...await desk(way, clip) });
  await Promise.all(windows.map(async ({ page, touch, source }) => {
    assert.equal(touch.frames, frames);
    const { wrong, n, source: used } = await walk(page, steps, offset);
    assert.deepEqual(wrong, [], `${wrong.length} wrong of ${n}, ${source}`);
    assert.equal(n, steps);
    await more(page, source, used);
    page.sound();
    await page.context().close();
  }));
}

test('a thousand steps show the frame that was asked for, decoded in the browser and by the server', async () => {
  const clip = join(dir, 'numbered.mp4');
  await numberedClip(clip, 400);
  await both(clip, 400, 500, async (page, source, used) => {
    assert.equal(used, source);
    if (source === 'browser') await picture(page, 'steps-numbered');
  });
});

test('frames that come at uneven times are shown by their number', async () => {
  const clip = join(dir, 'uneven.mp4');
  // Every third frame stays half as long again, and one rests for a second.
  await ffmpeg(['-f', 'rawvideo', '-pix_fmt', 'yuv420p', '-s', '640x360', '-r', '30', '-i', '-', '-vf', 'settb=1/600,setpts=20*N+10*floor(N/3)+600*gte(N\\,60)', '-fps_mode', 'passthrough', '-enc_time_base', '1:600',
    '-c:v', 'libx264', '-preset', 'ultrafast', '-crf', '20', '-bf', '2', '-g', '40', '-video_track_timescale', '600', clip], numbered(120, 640, 360));
  await both(clip, 120, more);
});

test('frames that the edit list hides are not counted, and B-frames come in their order', async () => {
  const whole = join(dir, 'b-frames.mp4');
  const clip = join(dir, 'cut.mp4');
  await numberedClip(whole, 150, { width: 640, height: 360, gop: 60, codec: ['-c:v', 'libx264', '-preset', 'veryfast', '-crf', '20', '-bf', '3'] });
  // Cut without decoding, half a second into a group of pictures: the file holds the
  // fifteen frames before the cut, and its edit list says that they are not shown.
  await ffmpeg(['-ss', '0.5', '-i', whole, '-c', 'copy', clip]);
  await both(clip, 135, more, () => {}, 15);
});
