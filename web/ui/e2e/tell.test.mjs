// From a read touch to the finished breakdown with one press, and changing how it is told:
// a line, a number that goes with it, a shot moved by key, and all of it undone.

import assert from 'node:assert/strict';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import parsing from 'webvtt-parser';
import { accessible, browse, open, picture, root, serve } from './harness.mjs';
import { ask, demo, saved } from './hands.mjs';

let server, browser, ids;
before(async () => {
  [server, browser] = await Promise.all([serve(), browse()]);
  ids = (await demo(server)).touches;
});
after(async () => {
  await browser?.close();
  await server?.stop();
});

const telling = (id) => ask(server, `/api/touches/${id}/telling`);
/** Keeps a short telling, so that the test does not render half a minute. */
async function short(id) {
  const t = await telling(id);
  const shots = t.telling.board.shots.filter((s) => s.kind !== 'beside').slice(0, 2).map((s) => ({ ...s, lines: [], lasts_s: undefined }));
  // One line is said, the shortest of the opening.
  const opening = t.telling.script.parts.find((p) => p.kind === 'opening').lines.map((l) => ({ id: `opening ${l.key}`, long: l.pieces.map((p) => p.text).join('').length }));
  shots[0].lines = [opening.sort((a, b) => a.long - b.long)[0].id];
  for (const s of shots) if (s.to !== undefined) s.to = Math.min(s.to, s.from + 8);
  t.telling.board = { form: { ...t.telling.board.form, rate: 24 }, shots, edited: true };
  return ask(server, `/api/touches/${id}/telling`, 'PUT', { base: t.stamp.revision, gesture: 'keep it short', telling: t.telling });
}

test('one press makes the breakdown, and the clip plays', { timeout: 240_000 }, async () => {
  const id = ids['line-9'];
  await short(id);
  const page = await open(browser, `${server.address}/touch/${id}`);
  let inputs = 0;
  const press = async (what) => { inputs++; await what.click(); };
  await press(page.getByRole('link', { name: 'Tell it' }));
  await press(page.getByRole('button', { name: 'Make the breakdown' }));
  const video = page.locator('video');
  await video.waitFor({ timeout: 200_000 });
  assert.ok(inputs <= 5, `${inputs} inputs from the desk to the finished breakdown`);
  await page.waitForFunction(() => document.querySelector('video').readyState >= 1);
  const { length, wide } = await video.evaluate((v) => ({ length: v.duration, wide: v.videoWidth }));
  const film = (await telling(id)).film;
  assert.ok(Math.abs(length - film.frames / film.rate) < 0.1, `the clip lasts ${length} s, its storyboard ${film.frames / film.rate} s`);
  assert.equal(wide, film.width);
  for (const name of ['Clip', 'Captions (WebVTT)', 'Sheet (PDF)', 'All in one file (ZIP)']) await page.getByRole('link', { name, exact: true }).first().waitFor();
  await picture(page, 'tell-made');
  await accessible(page, 'the breakdown that was made');
  page.sound();
  await page.context().close();
});

/** What webvtt-parser, the one that the Web's own tests of captions are checked with, finds. */
const parsed = (text, kind = 'metadata') => new parsing.WebVTTParser().parse(text, kind);

test('captions are read by another program without an error', { timeout: 60_000 }, async () => {
  // The parser tells good from bad: the numbers of cues are those of web-platform-tests.
  const outside = join(root, '../shared/checks/vtt');
  if (existsSync(outside)) {
    for (const [name, cues, sound] of [['ids', 5, true], ['timings-omitted-hours', 3, true], ['timings-too-short', 2, false], ['timings-too-long', 2, false], ['arrows', 6, false], ['timings-negative', 4, false], ['settings-multiple', 2, true]]) {
      const found = parsed(readFileSync(join(outside, `${name}.vtt`), 'utf8'));
      assert.equal(found.cues.length, cues, name);
      if (sound) assert.deepEqual(found.errors, [], name);
      else assert.ok(found.errors.length > 0, `${name}: no error is found`);
    }
  } else console.log('NOT CHECKED: the parser tests of WebVTT are missing');
  const golden = parsed(readFileSync(join(root, 'show/handoff/testdata/captions.vtt'), 'utf8'), 'subtitles');
  assert.deepEqual(golden.errors, []);
  assert.ok(golden.cues.length > 3);

  // Those of the hand-off, as the tests of the hand-off write them.
  const handedOff = readFileSync(join(root, 'show/tell/testdata/hand-off.txt'), 'utf8').split(/^-- (.+) --$/m);
  const file = (name) => handedOff[handedOff.indexOf(`hand-off/${name}`) + 1].trimStart();
  for (const [name, kind] of [['captions.vtt', 'subtitles'], ['chapters.vtt', 'chapters']]) {
    const found = parsed(file(name), kind);
    assert.deepEqual(found.errors, [], name);
    assert.ok(found.cues.length > 1, name);
  }

  // Those of the clip that was made.
  const paper = await telling(ids['line-9']);
  const text = await (await fetch(server.address + paper.made.find((m) => m.what === 'captions').href)).text();
  const { cues, errors } = parsed(text, 'subtitles');
  assert.deepEqual(errors, [], text);
  assert.ok(cues.length > 0, 'the clip says something');
  for (const [i, c] of cues.entries()) assert.ok(c.endTime > c.startTime && c.endTime <= paper.film.frames / paper.film.rate + 1e-3 && (i === 0 || c.startTime >= cues[i - 1].startTime), `cue ${i} from ${c.startTime} to ${c.endTime} s`);
});

// A measured number by its unit, and what says how sure it is: ±, an interval, a bound.
// Chances and shares are left out: they are a doubt themselves, or printed with one by the
// same hand that prints these. So are what is not measured but set (the ends of an axis),
// "about", which comes with how often it is so, and how far a curve lies off its points.
const measured = String.raw`(?:(\[|[±<>≈]\s?|about |to |from |off by )?[−-]?\d+(?:\.\d+)?\s(?:m\/s|cm|ms|m|°)(?![\w/]))(\s\[)?`;

test('no measured number stands there without its doubt and where it is from; the sheets are accessible', { timeout: 120_000 }, async () => {
  const id = ids['line-9'];
  const page = await open(browser, `${server.address}/touch/${id}/breakdown`);
  await page.locator('[role=textbox] .figure').first().waitFor();
  // Every number of the script is bound, and says what it is and where it is from.
  const figures = await page.locator('[role=textbox] .figure').evaluateAll((all) => all.map((n) => ({ ref: n.dataset.ref, text: n.textContent, title: n.title })));
  const { sources } = (await telling(id)).telling.script;
  assert.ok(figures.length > 10, `${figures.length} numbers`);
  for (const f of figures) {
    const from = sources.find((s) => s.ref === f.ref);
    assert.ok(from?.how && from.title && f.title.includes(from.title), `${f.text} (${f.ref}) does not say where it is from: “${f.title}”`);
  }
  const bare = await page.evaluate((pattern) => {
    const found = [];
    const look = (where, text) => { for (const [n, before, after] of text.matchAll(new RegExp(pattern, 'g'))) if (!before && !after) found.push(`${n} in ${where}: …${text.slice(Math.max(0, text.indexOf(n) - 60), text.indexOf(n) + 40)}`); };
    const whole = document.createTreeWalker(document.querySelector('main'), NodeFilter.SHOW_ELEMENT);
    const seen = new Set();
    for (let el = whole.currentNode; el; el = whole.nextNode()) {
      for (const name of ['alt', 'aria-label', 'title']) if (el.getAttribute(name)) look(`${name} of ${el.tagName}`, el.getAttribute(name));
      // A sentence is read whole: its numbers are elements of their own.
      const block = el.closest('p, li, [role=textbox], h1, h2, td, th, label, button, figcaption, summary, legend, option');
      if (block && !seen.has(block)) { seen.add(block); look(block.tagName, block.textContent); }
    }
    return found;
  }, measured);
  assert.deepEqual(bare, []);

  // The sheets come under a policy that lets nothing run: axe reads their text on a page of its own.
  const paper = await telling(id);
  for (const [lesson, colorScheme] of [[false, 'light'], [true, 'dark']]) {
    const now = await telling(id);
    await ask(server, `/api/touches/${id}/telling`, 'PUT', { base: now.stamp.revision, gesture: 'lesson', telling: { ...now.telling, lesson } });
    const html = await (await fetch(`${server.address}/api/touches/${id}/sheet.html?open=1`)).text();
    assert.equal(/Questions/i.test(html), lesson);
    const sheet = await open(browser, 'about:blank', { colorScheme, viewport: { width: 390, height: 844 } });
    await sheet.setContent(html);
    await accessible(sheet, `the sheet, lesson ${lesson}, ${colorScheme}`);
    const over = await sheet.evaluate(() => document.scrollingElement.scrollWidth - innerWidth);
    assert.ok(over <= 0, `the sheet is wider than a phone by ${over} px`);
    await picture(sheet, `${lesson ? 'lesson' : 'plain'}-sheet-phone-${colorScheme}`);
    await sheet.context().close();
  }
  const last = await telling(id);
  await ask(server, `/api/touches/${id}/telling`, 'PUT', { base: last.stamp.revision, gesture: 'as it was', telling: paper.telling });
  page.sound();
  await page.context().close();
});

test('a line, its number, and the order of shots are changed by hand and undone', { timeout: 120_000 }, async () => {
  const id = ids['line-9'];
  const page = await open(browser, `${server.address}/touch/${id}/breakdown`);
  const lines = page.getByRole('textbox', { name: /, line \d+$/ });
  await lines.first().waitFor();
  // A line with a number: the words go, the number stays bound.
  const at = await lines.evaluateAll((all) => all.findIndex((l) => l.querySelector('.figure')));
  const line = lines.nth(at);
  const figure = await line.locator('.figure').first().innerText();
  const was = await line.innerText();
  await line.focus();
  await page.keyboard.press('Home');
  await page.keyboard.type('Look: ');
  await page.keyboard.press('Enter');
  await saved(page);
  const bound = (await telling(id)).telling.script.parts.flatMap((p) => p.lines).find((l) => l.edited);
  assert.match(bound.pieces[0].text, /^Look: /);
  assert.ok(bound.pieces.some((p) => p.ref && p.text === figure), `${figure} stays bound`);
  // Deleting one letter into a number takes all of it.
  await line.locator('.figure').first().evaluate((n) => { const r = document.createRange(); r.setStartAfter(n); r.collapse(true); getSelection().removeAllRanges(); getSelection().addRange(r); });
  await page.keyboard.press('Backspace');
  assert.ok(!(await line.innerText()).includes(figure.slice(0, 3)) || (await line.innerText()).includes(figure), 'half a number is left');
  await page.keyboard.press('Escape');

  const order = async () => (await telling(id)).telling.board.shots.map((s) => s.id).join();
  const before = await order();
  const card = page.locator('[data-shot] .card').first();
  await card.focus();
  await page.keyboard.press('Alt+ArrowRight');
  await saved(page);
  assert.equal(await order(), before.split(',').reverse().join());
  await page.keyboard.press('Control+z');
  await page.waitForFunction((first) => document.querySelector('[data-shot]').dataset.shot === first, before.split(',')[0]);
  assert.equal(await order(), before);
  await page.keyboard.press('Control+z');
  await page.waitForFunction(([n, text]) => [...document.querySelectorAll('[role=textbox][contenteditable]')][n].innerText === text, [at, was]);
  await accessible(page, 'the breakdown in work');
  // The strip of shots scrolls in itself, whatever the width.
  for (const width of [390, 768, 1280]) {
    await page.setViewportSize({ width, height: 844 });
    const { wide, apart } = await page.evaluate(() => {
      const [seen, script] = [...document.querySelector('.tell').children].map((e) => e.getBoundingClientRect());
      return { wide: document.documentElement.scrollWidth, apart: script.left >= seen.right || script.top >= seen.bottom };
    });
    assert.ok(wide <= width && apart, `at ${width} px the page is ${wide} px wide, script beside the film: ${apart}`);
  }
  page.sound();
  await page.context().close();
});
