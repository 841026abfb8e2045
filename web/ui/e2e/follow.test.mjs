// Following at the desk: the invented touch is followed, a followed point is put
// right, a point is hidden, the speed is read, and a window opened later finds it all.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { accessible, browse, open, picture, serve } from './harness.mjs';
import { ask, demo, deskReady, frameReader, saved, shows, spot, until } from './hands.mjs';

let server, browser, id, replayed;
before(async () => {
  [server, browser] = await Promise.all([serve(), browse()]);
  const { touches } = await demo(server);
  [id, replayed] = [touches['line-6'], touches['line-9']];
});
after(async () => {
  await browser.close();
  await server.stop();
});

const state = (page) => page.locator('[data-testid="follow-state"]').getAttribute('data-state').catch(() => '');
const touch = async () => (await ask(server, `/api/touches/${id}`)).touch;
/** The reading of the touch as it is stored, with what was followed of a point. */
const reading = async (what = 'guard') => ask(server, `/api/touches/${id}/reading`, 'POST', { touch: await touch(), following: { take: 'live', who: 'left', what } });
/** Waits until all of the touch is followed as it stands now: first at the server, since the page may still show an older state, which was followed too. */
async function followed(page) {
  await until('what was followed', async () => (await reading()).followed.takes.find((t) => t.take === 'live')?.state === 'followed', 120);
  await until('what was followed, on the page', async () => (await page.locator('[data-testid="follow-state"][data-state="followed"]').count()) === 1);
}
/** What was followed, as the server tells any window. */
async function traces(what = 'guard') {
  return (await reading(what)).followed.traces.tracks.find((t) => t.who === 'left' && t.what === what);
}
/** The first frame after this one in this state. */
const next = (t, letter, from) => t.from + t.states.indexOf(letter, from - t.from);

test('a touch is followed, by key, with progress that can be stopped', async () => {
  const page = await open(browser, `${server.address}/touch/${id}#live/60`);
  await deskReady(page);
  assert.equal(await state(page), 'none');
  await page.keyboard.press('Shift+F');
  await page.getByRole('progressbar').waitFor();
  await page.locator('.work').getByRole('button', { name: 'Cancel' }).click();
  await page.locator('[data-testid="follow-state"]').waitFor();
  assert.equal(await state(page), 'none');
  await page.keyboard.press('Shift+F');
  await followed(page);
  page.sound();
  await page.context().close();
});

test('followed points, their path, the piste and the band are drawn, and axe finds nothing', async () => {
  const page = await open(browser, `${server.address}/touch/${id}#live/60`);
  await deskReady(page);
  await page.keyboard.press('3');
  await page.keyboard.press('W'); // the guard
  await shows(page, 60);
  assert.equal(await state(page), 'followed', 'a window opened later finds what was followed');
  await page.locator('[data-followed="left guard"]').waitFor();
  assert.ok((await page.locator('[data-followed]').count()) >= 15, 'the points of both fencers');
  assert.ok((await page.locator('polyline.own').count()) >= 2, 'its way before and after');
  assert.ok((await page.locator('polyline.grid.carried').count()) >= 4, 'the piste goes with the camera');
  assert.ok((await page.locator('.band i.followed').count()) >= 3);
  assert.equal(await page.locator('.band i.marked').count(), 6, 'six frames are marked by hand');
  // A press on the band shows the frame.
  const strip = await page.locator('.strip[role=slider]').boundingBox();
  await page.mouse.click(strip.x + strip.width / 2, strip.y + strip.height - 3);
  await shows(page, 57);
  assert.match(await page.locator('[data-testid="speed"]').textContent(), /m\/s/);
  // A press on the chart, too.
  const chart = page.locator('.chart[role=slider]');
  await chart.scrollIntoViewIfNeeded();
  const box = await chart.boundingBox();
  await page.mouse.click(box.x + box.width * 0.8, box.y + box.height / 2);
  await until('the frame pressed', async () => Number(await page.locator('[data-testid="frame"]').textContent()) > 70);
  const calm = () => until('numbers of now', async () => (await page.locator('.finding [aria-busy="false"]').count()) === 1 && (await page.locator('.reading .old').count()) === 0);
  await calm();
  await accessible(page, 'a followed touch');
  for (const theme of ['light', 'dark']) {
    for (const [name, size] of [['phone', { width: 390, height: 844 }], ['desk', { width: 1280, height: 800 }], ['large', { width: 2560, height: 1440 }]]) {
      await page.setViewportSize(size);
      await page.emulateMedia({ colorScheme: theme });
      await calm();
      await picture(page, `followed-${name}-${theme}`);
    }
  }
  page.sound();
  await page.context().close();
});

test('a correction is a drag: one mark more, every other kept, and followed again by itself', async () => {
  const page = await open(browser, `${server.address}/touch/${id}#live/60`);
  await deskReady(page);
  await page.keyboard.press('3');
  await page.keyboard.press('W');
  await page.locator('[data-followed="left guard"]').waitFor();
  const old = await traces();
  const marks = (await touch()).marks;
  const at = await spot(page, old.u[60 - old.from], old.v[60 - old.from]);
  await page.mouse.move(at.x, at.y);
  await page.mouse.down();
  await page.mouse.move(at.x + 8, at.y + 6, { steps: 4 });
  await page.mouse.up();
  await saved(page);
  const now = await touch();
  const mark = now.marks.find((m) => m.frame === 60 && m.who === 'left' && m.what === 'guard');
  assert.ok(mark, 'the followed point became a mark');
  const scale = Number((await page.locator('canvas[data-view]').getAttribute('data-view')).split(' ')[0]);
  assert.ok(Math.abs(mark.at.u - old.u[60 - old.from] - 8 / scale) < 1, `moved by ${mark.at.u - old.u[60 - old.from]}, the hand by ${8 / scale}`);
  assert.equal(now.marks.length, marks.length + 1);
  for (const m of marks) assert.ok(now.marks.some((k) => JSON.stringify(k) === JSON.stringify(m)), 'a mark of the hand is gone');
  await until('following again', async () => (await traces()).states[60 - old.from] === 'm');
  await followed(page);
  // Only the bridge that the correction stands in is another: far from it nothing moved.
  const fresh = await traces();
  const far = next(old, 'm', 0); // the first mark: what lies before it hangs on it alone
  for (let f = old.from; f < far; f++) assert.equal(fresh.u[f - fresh.from], old.u[f - old.from], `frame ${f}`);
  await page.keyboard.press('Control+z');
  await saved(page);
  await until('undo', async () => (await touch()).marks.length === marks.length);
  await until('following what was', async () => (await traces()).states[60 - old.from] === 'f');
  assert.deepEqual(await traces(), old, 'undone, it is what it was');
  await followed(page);
  page.sound();
  await page.context().close();
});

test('a point that cannot be seen is said to be hidden by one key, and shown by the same', async () => {
  const page = await open(browser, `${server.address}/touch/${id}#live/62`);
  await deskReady(page);
  await page.keyboard.press('3');
  await page.keyboard.press('W');
  await page.locator('[data-followed="left guard"]').waitFor();
  await page.keyboard.press('u');
  await saved(page);
  assert.deepEqual((await touch()).hidden, [{ take: 'live', who: 'left', what: 'guard', from: 62, to: 62 }]);
  await page.getByText('hidden here').first().waitFor();
  assert.equal(await page.locator('[data-followed="left guard"]').count(), 0);
  await followed(page);
  await page.locator('.band i.unseen').waitFor();
  await page.keyboard.press('u');
  await saved(page);
  assert.equal((await touch()).hidden ?? null, null);
  await until('following what can be seen', async () => { const t = await traces(); return t.states[62 - t.from] === 'f'; });
  await followed(page);
  page.sound();
  await page.context().close();
});

test('a proposed moment is taken over by one key, another refused', async () => {
  const page = await open(browser, `${server.address}/touch/${id}#live/60`);
  await deskReady(page);
  await followed(page);
  const proposed = page.locator('.desk-stave ul[aria-label="Proposed moments"] button');
  await proposed.first().waitFor();
  const before = await proposed.count();
  const moments = (await touch()).moments.length;
  // One is looked at: the bar says what it is.
  await proposed.nth(1).click();
  await page.locator('.desk-stave .bar').getByRole('button', { name: /^Take over/ }).waitFor();
  await picture(page, 'followed-proposed');
  await page.keyboard.press('y');
  await saved(page);
  const now = (await touch()).moments;
  assert.equal(now.length, moments + 1);
  const fresh = now.at(-1);
  assert.match(fresh.name, /^(Left|Right)'s .* (starts|lifts|lands)$/);
  assert.ok(fresh.by_frame > fresh.after_frame);
  await until('one less is proposed', async () => (await proposed.count()) === before - 1);
  await proposed.first().click();
  await page.keyboard.press('Shift+Y');
  await until('two less are proposed', async () => (await proposed.count()) === before - 2);
  assert.equal((await touch()).moments.length, moments + 1, 'what was refused is no moment');
  await page.reload();
  await deskReady(page);
  await proposed.first().waitFor();
  assert.equal(await proposed.count(), before - 2, 'a refusal is remembered');
  page.sound();
  await page.context().close();
});

test('moments that the live picture shows too tie the replay, and its factor is found', async () => {
  const page = await open(browser, `${server.address}/touch/${replayed}#replay/9`);
  await deskReady(page);
  await frameReader(page);
  const moments = async () => (await ask(server, `/api/touches/${replayed}`)).touch.moments;
  // Where the live picture shows them: the replay is four times slower and begins 0.842 s after it.
  for (const m of (await moments()).filter((x) => x.take === 'replay').slice(0, 4)) {
    const frame = Math.round(50 * (0.842 + m.by_frame / 50 / 4));
    await page.getByRole('combobox', { name: 'Take', exact: true }).selectOption('live');
    await page.evaluate((f) => globalThis.hands.jump(f), frame);
    await shows(page, frame);
    await page.locator(`[data-thing="${m.id}"]`).focus();
    await page.keyboard.press('Shift+M');
    await until('the bracket in the live picture', async () => (await moments()).find((x) => x.id === m.id)?.also?.[0]?.by_frame === frame);
  }
  const takes = page.locator('section', { has: page.getByRole('heading', { name: 'Takes', exact: true }) });
  await takes.locator('summary', { hasText: 'replay' }).click();
  const take = takes.locator('li', { hasText: 'replay' }).last();
  await take.getByRole('checkbox', { name: 'Tied to other takes by moments' }).check();
  const factor = take.getByRole('textbox', { name: 'Time factor', exact: true });
  await factor.fill('');
  await factor.blur();
  const found = take.locator('dl', { hasText: 'Time factor found' });
  const [value, doubt] = await until('the factor', async () => (await found.innerText()).match(/Time factor found\s+([\d.]+)\s±\s([\d.]+)/)?.slice(1).map(Number));
  assert.ok(doubt > 0 && doubt < 0.3 && Math.abs(value - 4) < 3 * doubt, `the factor is found as ${value} ± ${doubt}; it is 4`);
  const set = (await ask(server, `/api/touches/${replayed}`)).touch.takes.find((t) => t.id === 'replay');
  assert.ok(set.tied && !set.factor);
  page.sound();
  await page.context().close();
});
