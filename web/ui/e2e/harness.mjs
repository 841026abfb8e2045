// What every test of the whole path needs: the built program on a library of its
// own, a real browser, clips whose frames carry their number, and a place to keep
// screenshots.

import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';

const here = dirname(fileURLToPath(import.meta.url));
export const root = resolve(here, '../../..');
export const program = process.env.MESURE ?? join(root, 'bin/mesure');
/** Screenshots are kept here to be looked at. */
export const pictures = join(root, 'out/desk');
mkdirSync(pictures, { recursive: true });

/** A folder that is gone when the process ends. */
export function folder() {
  const dir = mkdtempSync(join(tmpdir(), 'mesure-desk-'));
  process.on('exit', () => rmSync(dir, { recursive: true, force: true }));
  return dir;
}

/** Starts the program on a library and waits for its address. */
export async function serve(library = join(folder(), 'library'), { port = 0 } = {}) {
  const child = spawn(program, ['open', '--library', library, '--addr', `127.0.0.1:${port}`, '--no-browser'], { stdio: ['ignore', 'pipe', 'pipe'] });
  process.on('exit', () => child.kill('SIGKILL'));
  let said = '';
  const address = await new Promise((done, fail) => {
    const hear = (part) => {
      said += part;
      const found = said.match(/http:\/\/[\w.:[\]]+/);
      if (found) done(found[0]);
    };
    child.stdout.on('data', hear);
    child.stderr.on('data', hear);
    child.on('error', fail);
    child.on('exit', (code) => fail(new Error(`mesure open ended with ${code}: ${said}`)));
  });
  return {
    address,
    library,
    port: Number(new URL(address).port),
    said: () => said,
    /** Ends it as a user would, or as a power cut would. */
    async stop(signal = 'SIGINT') {
      if (child.exitCode !== null || child.signalCode) return;
      child.kill(signal);
      await once(child, 'exit');
    },
  };
}

const flags = ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'];

export function browse() {
  return chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: flags });
}

/** A page that fails the test on any error it reports; call page.sound() at the end. */
export async function open(browser, address, options = {}) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 800 }, reducedMotion: 'reduce', ...options });
  const page = await context.newPage();
  page.setDefaultTimeout(30_000);
  const errors = [];
  page.on('pageerror', (e) => errors.push(`error: ${e.message}`));
  page.on('console', (m) => {
    // A refused request is tested for by the tests that expect one.
    if (m.type() === 'error' && !/Failed to load resource/.test(m.text())) errors.push(`console: ${m.text()}`);
  });
  page.sound = () => assert.deepEqual(errors, []);
  await page.goto(address);
  return page;
}

/** Keeps a picture of the page. */
export async function picture(page, name) {
  await page.screenshot({ path: join(pictures, `${name}.png`) });
}

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

// On the drawing of the stave and on the bar of the film things stand where their time
// is, however near to each other; each is also a control of full size in a list on the
// same page, which is what WCAG 2.5.8 asks for ("equivalent").
const inTime = '.desk-stave .drawing, .scrub';

/** Asserts that axe-core finds nothing serious or critical (WCAG 2.2 A and AA), by all its rules or by these. */
export async function accessible(page, where, rules) {
  if (!(await page.evaluate(() => 'axe' in globalThis))) await page.evaluate(axe);
  const found = await page.evaluate(async ([inTime, rules]) => {
    const runOnly = rules ? { type: 'rule', values: rules } : ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
    const r = await globalThis.axe.run(document, { runOnly, resultTypes: ['violations'] });
    return r.violations.filter((v) => v.impact === 'serious' || v.impact === 'critical')
      .map((v) => ({ v, nodes: v.nodes.filter((n) => v.id !== 'target-size' || !document.querySelector(n.target[0])?.closest(inTime)) }))
      .filter(({ nodes }) => nodes.length > 0)
      .map(({ v, nodes }) => `${v.id}: ${v.help}: ${nodes.slice(0, 3).map((n) => n.target.join(' ')).join('; ')}`);
  }, [inTime, rules]);
  assert.deepEqual(found, [], `axe on ${where}`);
}

/** Runs ffmpeg, optionally with raw frames on its input. */
export async function ffmpeg(args, frames) {
  const child = spawn('ffmpeg', ['-nostdin', '-v', 'error', '-y', ...args], { stdio: [frames ? 'pipe' : 'ignore', 'ignore', 'pipe'] });
  let said = '';
  child.stderr.on('data', (d) => { said += d; });
  const ended = once(child, 'exit');
  if (frames) {
    for (const f of frames) if (!child.stdin.write(f)) await once(child.stdin, 'drain');
    child.stdin.end();
  }
  const [code] = await ended;
  assert.equal(code, 0, said);
}

// The number of a frame stands in the picture as sixteen blocks, black or white, the
// lowest bit first, and the same inverted below, so that a misread block shows.
export const BLOCK = 40;

export function* numbered(count, width = 1280, height = 720) {
  const size = (width * height * 3) / 2;
  const base = Buffer.alloc(size, 128);
  for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) base[y * width + x] = 60 + ((x * 7 + y * 13) & 127);
  for (let n = 0; n < count; n++) {
    const f = Buffer.from(base);
    for (let bit = 0; bit < 16; bit++) {
      const on = (n >> bit) & 1;
      for (let y = 0; y < 2 * BLOCK; y++) {
        const value = (y < BLOCK) === (on === 1) ? 235 : 16;
        f.fill(value, y * width + bit * BLOCK, y * width + (bit + 1) * BLOCK);
      }
    }
    // Something that moves, so that the pictures differ by more than the number.
    const x0 = (n * 9) % (width - 80);
    for (let y = 300; y < 380; y++) f.fill(200, y * width + x0, y * width + x0 + 80);
    yield f;
  }
}

/** Writes a clip whose frames carry their number. */
export async function numberedClip(path, count, { width = 1280, height = 720, rate = 30, gop = 30, codec = ['-c:v', 'libx264', '-preset', 'ultrafast', '-crf', '20', '-bf', '2'] } = {}) {
  if (existsSync(path)) return;
  await ffmpeg(['-f', 'rawvideo', '-pix_fmt', 'yuv420p', '-s', `${width}x${height}`, '-r', `${rate}`, '-i', '-', ...codec, '-g', `${gop}`, path], numbered(count, width, height));
}
