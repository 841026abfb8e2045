// From a read touch to the finished breakdown with one press, and changing how it is told:
// a line, a number that goes with it, a shot moved by key, and all of it undone.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { accessible, browse, open, picture, serve } from './harness.mjs';
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
