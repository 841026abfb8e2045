// What the desk promises about speed, measured in the real browser against the built
// program and printed beside its goal. Nothing is asserted; tests do not depend on it.
// It is run by make bench; on a machine that is busy elsewhere the times say little.

import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { browse, ffmpeg, folder, numberedClip, open, serve } from './harness.mjs';
import { ask, demo, deskReady, fetchVideo, frameReader, spot, until, wholeTake } from './hands.mjs';

const lines = [];
const tell = (what, measured, goal = '', met) => lines.push([what, measured, goal, met === undefined ? '' : met ? 'met' : 'MISSED']);
const sorted = (v) => [...v].sort((a, b) => a - b);
const median = (v) => sorted(v)[Math.floor(v.length / 2)];
const p95 = (v) => sorted(v)[Math.min(v.length - 1, Math.ceil(v.length * 0.95) - 1)];
const ms = (t) => `${t.toFixed(t < 100 ? 1 : 0)} ms`;
const dir = folder();

async function steps(browser, server) {
  const clip = join(dir, 'numbered.mp4');
  await numberedClip(clip, 400, { gop: 50, codec: ['-c:v', 'libx264', '-preset', 'veryfast', '-crf', '20', '-bf', '2'] });
  const touch = await wholeTake(server, clip);
  for (const [way, source] of [['', 'decoded in the browser'], ['?frames=server', 'pictures from the server']]) {
    const page = await open(browser, `${server.address}/touch/${touch.id}${way}`);
    await deskReady(page);
    await frameReader(page);
    const { took, wrong } = await page.evaluate(async () => {
      const { read, shown, press } = globalThis.hands;
      const took = [];
      let at = 0, wrong = 0;
      // At the pace of a quick hand: forwards, backwards, and to and fro.
      const walk = [...Array(150).fill(1), ...Array(100).fill(-1), ...Array.from({ length: 50 }, (_, i) => (i % 2 ? -1 : 1))];
      for (const by of walk) {
        const from = performance.now();
        press(by > 0 ? 'ArrowRight' : 'ArrowLeft');
        const to = await shown((at += by));
        if (read() !== at) wrong++;
        took.push(to - from);
        await new Promise((r) => setTimeout(r, 80));
      }
      return { took, wrong };
    });
    const goal = way === '';
    tell(`a step of a 720p take, ${source}, n = ${took.length}: median`, ms(median(took)), goal ? 'at most 20 ms' : '', goal ? median(took) <= 20 : undefined);
    tell('  95th percentile', ms(p95(took)), goal ? 'at most 50 ms' : '', goal ? p95(took) <= 50 : undefined);
    tell('  wrong frames', String(wrong), 'none', wrong === 0);
    await page.context().close();
  }
}

async function drag(browser, server, id) {
  const page = await open(browser, `${server.address}/touch/${id}`);
  await deskReady(page);
  await page.keyboard.press('3');
  const { touch } = await ask(server, `/api/touches/${id}`);
  const frame = Number(await page.locator('canvas').first().getAttribute('data-frame'));
  const mark = touch.marks.find((m) => m.frame === frame && m.who === 'left' && m.what === 'point');
  const at = await spot(page, mark.at.u, mark.at.v);
  await page.evaluate(() => {
    const busy = document.querySelector('.finding [aria-busy]');
    const says = () => document.querySelector('.reading').textContent;
    globalThis.next = () => new Promise((done) => {
      let from = 0, text = says();
      addEventListener('pointermove', (e) => { from = e.timeStamp; }, { once: true, capture: true });
      let old = false;
      const watch = new MutationObserver(() => {
        if (busy.getAttribute('aria-busy') === 'true') old = true;
        else if (old && from) {
          watch.disconnect();
          done({ took: performance.now() - from, changed: says() !== text });
        }
      });
      watch.observe(busy, { attributes: true, attributeFilter: ['aria-busy'] });
    });
  });
  await page.mouse.move(at.x, at.y);
  await page.mouse.down();
  await page.mouse.move(at.x + 6, at.y);
  await until('the reading after the first move', () => page.locator('.finding [aria-busy="false"]').count());
  const took = [];
  let changed = 0;
  for (let n = 0; n < 100; n++) {
    const answer = page.evaluate(() => globalThis.next());
    await page.evaluate(() => 0);
    await page.mouse.move(at.x + 6 + 12 * Math.sin(n / 5), at.y + 10 * Math.cos(n / 4));
    const a = await answer;
    took.push(a.took);
    if (a.changed) changed++;
  }
  await page.mouse.up();
  tell(`drag of a mark to new numbers, n = ${took.length}, numbers changed in ${changed}: median`, ms(median(took)));
  tell('  95th percentile', ms(p95(took)), 'at most 120 ms', p95(took) <= 120);
  await page.context().close();
}

/** A slider of the timing that is pushed by the keyboard: from the key to the picture of its move. */
async function slider(browser, server, id) {
  const page = await open(browser, `${server.address}/touch/${id}`);
  await deskReady(page);
  await page.keyboard.press('4');
  await page.locator('.timing [data-part="map"] [aria-busy="false"] .picture svg').waitFor();
  await page.getByRole('slider', { name: 'Both closer by' }).focus();
  await page.keyboard.press('ArrowRight');
  await page.locator('.timing [data-part="what_if"] [aria-busy="false"] .picture svg').waitFor();
  const { took, changed } = await page.evaluate(async () => {
    const slider = document.activeElement;
    const part = document.querySelector('.timing [data-part="what_if"]');
    const took = [];
    let changed = 0;
    // Every place once: what was asked before is known to the server.
    const places = [...Array.from({ length: 39 }, (_, n) => n + 2), ...Array.from({ length: 40 }, (_, n) => -n - 1)];
    for (const to of places) {
      const was = part.querySelector('svg').outerHTML;
      const from = performance.now();
      await new Promise((done) => {
        let old = false;
        const busy = part.querySelector('[aria-busy]');
        const watch = new MutationObserver(() => {
          if (busy.getAttribute('aria-busy') === 'true') old = true;
          else if (old) {
            watch.disconnect();
            done();
          }
        });
        watch.observe(busy, { attributes: true, attributeFilter: ['aria-busy'] });
        slider.value = String(to);
        slider.dispatchEvent(new Event('input', { bubbles: true }));
      });
      took.push(performance.now() - from);
      if (part.querySelector('svg').outerHTML !== was) changed++;
    }
    return { took, changed };
  });
  tell(`a slider of “what if” to its new picture, 20,000 draws, n = ${took.length}, pictures changed in ${changed}: median`, ms(median(took)));
  tell('  95th percentile', ms(p95(took)), 'at most 100 ms', p95(took) <= 100);
  await page.context().close();
}

/** From a frame that is gone to, to its timing and to its map; the wait for the hand to rest is in it. */
async function instants(browser, server, id) {
  const page = await open(browser, `${server.address}/touch/${id}`);
  await deskReady(page);
  await frameReader(page);
  await page.keyboard.press('4');
  await page.locator('.timing [data-part="map"] [aria-busy="false"] .picture svg').waitFor();
  const frames = [...new Set((await ask(server, `/api/touches/${id}`)).touch.moments.filter((m) => m.take === 'live').map((m) => m.by_frame))];
  const here = [], map = [];
  for (const f of frames) {
    const from = performance.now();
    await page.evaluate((f) => globalThis.hands.jump(f), f);
    await page.locator('.timing .finding [aria-busy="false"]', { hasText: `frame ${f}` }).waitFor();
    here.push(performance.now() - from);
    await page.waitForFunction(() => ![...document.querySelectorAll('.timing [aria-busy]')].some((e) => e.getAttribute('aria-busy') === 'true'));
    map.push(performance.now() - from);
  }
  tell(`another frame to its timing, ${frames.length} moments of the touch: median`, ms(median(here)));
  tell('  and to its distance map', ms(median(map)));
  await page.context().close();
}

async function load(browser, server, id) {
  const first = [], ready = [];
  let scripts = new Map(), all = 0;
  for (let n = 0; n < 7; n++) {
    const page = await open(browser, 'about:blank');
    const net = await page.context().newCDPSession(page);
    await net.send('Network.enable');
    const kind = new Map();
    const sizes = new Map();
    net.on('Network.responseReceived', (e) => kind.set(e.requestId, e));
    net.on('Network.loadingFinished', (e) => sizes.set(e.requestId, e.encodedDataLength));
    await page.addInitScript(() => {
      const seen = new MutationObserver(() => {
        globalThis.firstFrame ??= document.querySelector('canvas[data-frame]') ? performance.now() : undefined;
        globalThis.firstReading ??= document.querySelector('.finding [aria-busy="false"]') ? performance.now() : undefined;
      });
      seen.observe(document, { subtree: true, childList: true, attributes: true, attributeFilter: ['data-frame', 'aria-busy'] });
    });
    await page.goto(`${server.address}/touch/${id}`);
    await page.waitForFunction(() => globalThis.firstFrame && globalThis.firstReading);
    const [f, r] = await page.evaluate(() => [globalThis.firstFrame, globalThis.firstReading]);
    first.push(f);
    ready.push(Math.max(f, r));
    scripts = new Map([...kind].filter(([, e]) => e.type === 'Script' || e.response.mimeType.includes('javascript')).map(([id, e]) => [e.response.url, sizes.get(id) ?? 0]));
    all = [...sizes.values()].reduce((a, b) => a + b, 0);
    await page.context().close();
  }
  tell('first load of the desk, nothing kept: first frame on the canvas, median of 7', ms(median(first)));
  tell('  and the first reading beside it', ms(median(ready)), 'at most 1000 ms', median(ready) <= 1000);
  const sum = [...scripts.values()].reduce((a, b) => a + b, 0);
  tell(`JavaScript sent for the first load of the desk, ${scripts.size} files, as compressed`, `${(sum / 1000).toFixed(0)} kB`, 'at most 250 kB', sum <= 250_000);
  const later = await afterwards(browser, server, id, scripts);
  tell(`  the timing, sent when it is first turned to (${later.files} files); with it all in all`, `${(later.bytes / 1000).toFixed(0)} kB; ${((sum + later.bytes) / 1000).toFixed(0)} kB`);
  tell('  everything sent for it, video and fonts too', `${(all / 1000).toFixed(0)} kB`);
}

/** The scripts that come with the timing. */
async function afterwards(browser, server, id, before) {
  const page = await open(browser, `${server.address}/touch/${id}`);
  await deskReady(page);
  const net = await page.context().newCDPSession(page);
  await net.send('Network.enable');
  const found = new Map();
  const sizes = new Map();
  net.on('Network.responseReceived', (e) => { if (e.response.mimeType.includes('javascript') && !before.has(e.response.url)) found.set(e.requestId, e.response.url); });
  net.on('Network.loadingFinished', (e) => sizes.set(e.requestId, e.encodedDataLength));
  await page.keyboard.press('4');
  await page.locator('.timing .finding [aria-busy="false"]').waitFor();
  await page.context().close();
  return { files: found.size, bytes: [...found.keys()].reduce((sum, r) => sum + (sizes.get(r) ?? 0), 0) };
}

async function longBout(browser, server, film) {
  const long = join(dir, 'ten-minutes.mp4');
  await ffmpeg(['-stream_loop', '260', '-i', film, '-c', 'copy', long]);
  const page = await open(browser, server.address);
  await page.getByRole('button', { name: 'Choose a video' }).waitFor();
  const from = performance.now();
  await page.locator('input[type=file]').setInputFiles(long);
  await page.waitForURL(/\/bout\//);
  const video = page.locator('video');
  await video.waitFor();
  const length = await video.evaluate(async (v) => {
    const ready = (what, ok) => (ok() ? Promise.resolve() : new Promise((r) => v.addEventListener(what, r, { once: true })));
    await ready('loadedmetadata', () => v.readyState >= 1);
    v.currentTime = v.duration / 2;
    await ready('seeked', () => !v.seeking && v.readyState >= 2);
    return v.duration;
  });
  const scrub = performance.now() - from;
  const id = decodeURIComponent(new URL(page.url()).pathname.split('/')[2]);
  await page.locator('.hits button:enabled').first().waitFor();
  const record = performance.now() - from;
  const { media } = await ask(server, `/api/bouts/${id}`);
  const going = media[0].state;
  await until('its frames', async () => (await ask(server, `/api/bouts/${id}`)).media[0].state === 'ready', 300);
  tell(`a bout of ${(length / 60).toFixed(1)} minutes, 720p: from adding it to the picture of its middle`, `${(scrub / 1000).toFixed(2)} s`, 'at most 3 s', scrub <= 3000);
  tell(`  to recording touches (the frames were then ${going === 'ready' ? 'read' : 'still being read'})`, `${(record / 1000).toFixed(2)} s`);
  tell('  to every frame known', `${((performance.now() - from) / 1000).toFixed(2)} s`);
  await page.context().close();
}

function inputs() {
  const run = spawnSync(process.execPath, ['--test-name-pattern=from the film', new URL('path.test.mjs', import.meta.url).pathname], { encoding: 'utf8', timeout: 240_000 });
  const found = run.stdout.match(/(\d+) keys \+ (\d+) clicks = (\d+)/);
  if (!found) tell('keys and clicks from the film to the race', 'not measured', 'at most 60', false);
  else tell(`keys and clicks from the film to the race (${found[1]} keys, ${found[2]} clicks)`, found[3], 'at most 60', Number(found[3]) <= 60);
}

const [server, browser] = await Promise.all([serve(), browse()]);
try {
  const { touches } = await demo(server);
  const told = await ask(server, `/api/touches/${touches['line-6']}`);
  const film = join(dir, 'film.mp4');
  await fetchVideo(server, told.media[0].sha256, film);
  for (const [name, part] of [
    ['first load', () => load(browser, server, touches['line-6'])],
    ['steps', () => steps(browser, server)],
    ['timing', () => slider(browser, server, touches['line-6'])],
    ['instants', () => instants(browser, server, touches['line-6'])],
    ['drag of a mark', () => drag(browser, server, touches['line-6'])],
    ['a long bout', () => longBout(browser, server, film)],
    ['keys and clicks', inputs],
  ]) {
    console.error(`measuring ${name} …`);
    await part();
  }
} finally {
  await browser.close();
  await server.stop();
}
const width = [0, 1, 2].map((c) => Math.max(...lines.map((l) => l[c].length)));
console.log('the desk in the browser');
for (const l of lines) console.log(l.map((t, c) => t.padEnd(width[c] ?? 0)).join('  ').trimEnd());
