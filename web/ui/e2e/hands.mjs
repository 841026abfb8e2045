// What a coach's hands do at the desk, for the tests: find a pixel of the picture on
// the screen, press, step, wait for what is waited for. Nothing here sleeps.

import assert from 'node:assert/strict';
import { createReadStream, statSync, writeFileSync } from 'node:fs';
import { basename } from 'node:path';
import { BLOCK } from './harness.mjs';

/** Asks the server of the test directly; the answer's JSON. */
export async function ask(server, path, method = 'GET', body) {
  const answer = await fetch(server.address + path, {
    method, headers: body === undefined ? {} : { 'content-type': 'application/json' }, body: body === undefined ? undefined : JSON.stringify(body),
  });
  const text = await answer.text();
  assert.ok(answer.ok, `${method} ${path}: ${answer.status} ${text}`);
  return text ? JSON.parse(text) : null;
}

/** Asks until the answer is wanted. */
export async function until(what, look, seconds = 60) {
  const end = performance.now() + seconds * 1000;
  for (;;) {
    const seen = await look();
    if (seen) return seen;
    if (performance.now() > end) assert.fail(`not within ${seconds} s: ${what}`);
    await new Promise((r) => setTimeout(r, 50));
  }
}

/** The invented bout, every video of it read; its touches by the line that they are. */
export async function demo(server, seconds = 240) {
  const job = await ask(server, '/api/demo', 'POST');
  await until('the invented bout', async () => {
    const j = (await ask(server, '/api/jobs')).find((x) => x.id === job.id);
    assert.notEqual(j?.state, 'failed', j?.trouble);
    return !j || j.state === 'done';
  }, seconds);
  const bout = await until('its videos', async () => {
    const b = await ask(server, '/api/bouts/demo-bout');
    return b.media.every((m) => m.state === 'ready') && b;
  });
  const touches = {};
  for (const t of bout.touches) touches[t.line] = t.id;
  return { bout, touches };
}

/** Keeps the video of a take on disk, as a coach would have it. */
export async function fetchVideo(server, sha256, path) {
  const answer = await fetch(`${server.address}/media/${sha256}/video`);
  writeFileSync(path, Buffer.from(await answer.arrayBuffer()));
}

/** Puts a video into the library and waits until its frames are known. */
export async function add(server, path) {
  const answer = await fetch(`${server.address}/api/media?name=${encodeURIComponent(basename(path))}`, {
    method: 'POST', body: createReadStream(path), duplex: 'half', headers: { 'content-type': 'application/octet-stream', 'content-length': String(statSync(path).size) },
  });
  const text = await answer.text();
  assert.ok(answer.ok, `adding ${path}: ${answer.status} ${text}`);
  const { media, bout } = JSON.parse(text);
  const ready = await until(`the frames of ${path}`, async () => {
    const m = await ask(server, `/api/media/${media.sha256}`);
    assert.notEqual(m.state, 'refused', m.trouble);
    return m.state === 'ready' && m;
  });
  return { media: ready, bout };
}

/** A touch whose one take is a whole video. */
export async function wholeTake(server, path) {
  const { media, bout } = await add(server, path);
  const paper = await ask(server, `/api/bouts/${bout}`);
  const zero = { left: 0, right: 0 };
  const line = { id: 'whole', number: 0, before: zero, after: zero, lamps: { left: true, right: false }, video: paper.sheet.videos[0].id, halt_s: media.clip.last_s, from_s: 0, to_s: media.clip.last_s };
  paper.sheet.bout.sheet = [line];
  await ask(server, `/api/bouts/${bout}`, 'PUT', { base: paper.stamp.revision, gesture: 'record a touch', sheet: paper.sheet });
  const touch = await ask(server, `/api/bouts/${bout}/lines/whole/touch`, 'POST');
  return { id: touch.stamp.id, bout, media, frames: media.clip.frames };
}

/** The desk shows a frame and the reading is of now. */
export async function deskReady(page) {
  await page.locator('canvas[data-frame]').waitFor();
  await page.locator('.stave .svg svg').waitFor();
  await page.locator('.finding [aria-busy="false"]').waitFor();
}

/** Everything that was done is stored. */
export async function saved(page) {
  await page.locator('header .saving', { hasText: 'Saved' }).waitFor();
}

/** Waits until the canvas shows this frame. */
export async function shows(page, frame) {
  await page.locator(`canvas[data-frame="${frame}"]`).waitFor();
}

/** The place of a picture's pixel on the screen: the centre of pixel u, v. */
export function spot(page, u, v) {
  return page.evaluate(([u, v]) => {
    const c = document.querySelector('canvas[data-view]');
    const r = c.getBoundingClientRect();
    const [scale, x, y] = c.dataset.view.split(' ').map(Number);
    return { x: r.left + (u + 0.5) * scale + x, y: r.top + (v + 0.5) * scale + y };
  }, [u, v]);
}

/** Presses a pixel of the picture. */
export async function click(page, at) {
  const p = await spot(page, at.u, at.v);
  await page.mouse.click(p.x, p.y);
}

/** Puts what the tests of frames need into the page: reading the burnt-in number, stepping and waiting. */
export async function frameReader(page) {
  await page.evaluate((block) => {
    const canvas = document.querySelector('canvas[data-view]');
    /** The number burnt into the picture; −1 where a block and its inverse disagree. */
    const read = () => {
      const [scale, x, y] = canvas.dataset.view.split(' ').map(Number);
      const k = devicePixelRatio;
      const left = Math.floor(x * k), top = Math.floor(y * k);
      const width = Math.ceil(16 * block * scale * k) + 1, height = Math.ceil(2 * block * scale * k) + 1;
      const { data } = canvas.getContext('2d').getImageData(left, top, width, height);
      const bright = (u, v) => {
        const px = Math.round((u * scale + x) * k - left), py = Math.round((v * scale + y) * k - top);
        return data[(py * width + px) * 4 + 1] > 128;
      };
      let n = 0;
      for (let bit = 0; bit < 16; bit++) {
        const on = bright((bit + 0.5) * block, block / 2);
        if (on === bright((bit + 0.5) * block, block * 1.5)) return -1;
        if (on) n |= 1 << bit;
      }
      return n;
    };
    const shown = (frame) => new Promise((done, fail) => {
      const want = String(frame);
      if (canvas.dataset.frame === want) return done(performance.now());
      const late = setTimeout(() => { watch.disconnect(); fail(new Error(`frame ${want} did not come, ${canvas.dataset.frame} stands`)); }, 10_000);
      const watch = new MutationObserver(() => {
        if (canvas.dataset.frame !== want) return;
        clearTimeout(late);
        watch.disconnect();
        done(performance.now());
      });
      watch.observe(canvas, { attributes: true, attributeFilter: ['data-frame'] });
    });
    const press = (key, more = {}) => document.activeElement.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true, ...more }));
    /** Goes to a frame by the bar below the picture, as a drag along it would. */
    const jump = (frame) => {
      const strip = document.querySelector('.strip[role=slider]');
      const r = strip.getBoundingClientRect();
      const [first, last] = ['aria-valuemin', 'aria-valuemax'].map((a) => Number(strip.getAttribute(a)));
      const clientX = r.left + ((frame - first) / (last - first)) * r.width;
      strip.dispatchEvent(new PointerEvent('pointermove', { bubbles: true, clientX, buttons: 1, pointerId: 1 }));
    };
    globalThis.hands = { read, shown, press, jump, canvas };
  }, BLOCK);
}
