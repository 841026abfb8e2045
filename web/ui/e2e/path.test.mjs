// The whole path, as a coach goes it: a video is dropped on the page, touches are
// recorded on the sheet, one is taken apart: placed, marked, timed, raced, told.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { inflateRawSync } from 'node:zlib';
import { browse, folder, open, picture, serve } from './harness.mjs';
import { ask, click, demo, deskReady, fetchVideo, saved, shows, until } from './hands.mjs';

const dir = folder();
const film = join(dir, 'autumn-evening.mp4');
let server, browser, made;
before(async () => {
  [server, browser] = await Promise.all([serve(), browse()]);
  // The film and where things are in it come from the invented bout, marked by a careful hand.
  const first = await serve(join(dir, 'first'));
  const { touches } = await demo(first);
  made = await ask(first, `/api/touches/${touches['line-6']}`);
  await fetchVideo(first, made.media[0].sha256, film);
  await first.stop();
});
after(async () => {
  await browser?.close();
  await server?.stop();
});

/** Lets a file fall on the page, as the system would when it is dragged there. */
async function drop(page, path, name) {
  const bytes = readFileSync(path).toString('base64');
  await page.evaluate(async ({ bytes, name }) => {
    const data = new DataTransfer();
    data.items.add(new File([Uint8Array.from(atob(bytes), (c) => c.charCodeAt(0))], name, { type: 'video/mp4' }));
    const at = document.querySelector('main');
    for (const type of ['dragover', 'drop']) at.dispatchEvent(new DragEvent(type, { dataTransfer: data, bubbles: true, cancelable: true }));
  }, { bytes, name });
}

/** Counts what the hand does on a page: each key and each press of the pointer. */
function counted(page) {
  const hand = {
    keys: 0,
    clicks: 0,
    async key(...all) { for (const k of all) { hand.keys++; await page.keyboard.press(k); } },
    async type(text) { hand.keys += text.length; await page.keyboard.type(text); },
    async press(locator) { hand.clicks++; await locator.click(); },
    async on(at) { hand.clicks++; await click(page, at); },
    get all() { return hand.keys + hand.clicks; },
  };
  return hand;
}

const rows = (page) => page.locator('.lines ol > li');
const scores = async (page) => (await rows(page).locator('.score').allTextContents()).map((s) => s.trim());

test('from the film of a touch to its race, within sixty keys and clicks', async () => {
  const page = await open(browser, server.address);
  const hand = counted(page);
  await page.getByRole('heading', { name: 'No bout yet' }).waitFor();
  hand.clicks++;
  await drop(page, film, 'autumn-evening.mp4');
  await page.waitForURL(/\/bout\//);

  // The halt is at the end of this film; the left fencer hits.
  await page.locator('.hits button:enabled').first().waitFor();
  await until('the length of the film', () => page.locator('.scrub').evaluate((s) => Number(s.getAttribute('aria-valuemax')) >= 2));
  await hand.key('End', 'q');
  await rows(page).first().waitFor();
  await hand.press(rows(page).first().getByRole('button', { name: /Take apart/ }));
  await page.waitForURL(/\/touch\//);
  await deskReady(page);

  // To the frame on which the hand starts: a place on the bar, then frame by frame.
  const moment = made.touch.moments.find((m) => m.id === 'hand');
  const strip = page.locator('.strip[role=slider]');
  const box = await strip.boundingBox();
  hand.clicks++;
  await page.mouse.click(box.x + (box.width * 49) / 114, box.y + box.height / 2);
  const from = Number(await page.locator('[data-testid="frame"]').textContent());
  for (let f = from; f < moment.by_frame; f++) await hand.key('ArrowRight');
  for (let f = from; f > moment.by_frame; f--) await hand.key('ArrowLeft');
  await shows(page, moment.by_frame);

  // Six points of the piste, each as it is asked for.
  await hand.key('2');
  const placing = made.touch.placings.find((p) => p.frame === moment.by_frame);
  const trade = await ask(server, '/api/trade');
  for (let n = 0; n < 6; n++) {
    // What helps most is asked for once the reading has come.
    await page.locator('.finding [aria-busy="false"]').waitFor();
    let asked = await askedFor(page, trade.points);
    if (!placing.points.some((p) => p.name === asked)) {
      // It lies outside of the picture: a coach chooses one on the plan that does not.
      const set = await page.locator('.plan .set').evaluateAll((all) => all.map((g) => g.id.replace('plan-', '')));
      asked = placing.points.find((p) => !set.includes(p.name)).name;
      await hand.press(page.locator(`#plan-${asked} .room`));
    }
    await hand.on(placing.points.find((p) => p.name === asked).at);
    await page.locator(`#plan-${asked}.set`).waitFor();
  }
  await page.locator('polyline.grid:not(.other)').first().waitFor();
  await picture(page, 'path-placed');

  // Both fencers, in the order in which they are asked for.
  await hand.key('3');
  const marks = made.touch.marks.filter((m) => m.frame === moment.by_frame);
  for (const who of ['left', 'right']) {
    for (const thing of trade.things) {
      await page.locator('.desk-stage .line [role=status]', { hasText: `Click: ${who} ${thing.word}` }).waitFor();
      await hand.on(marks.find((m) => m.who === who && m.what === thing.name).at);
    }
  }
  await until('twenty-two marks on the picture', async () => (await page.locator('svg g.thing:not(.open)').count()) === 2 * trade.things.length);

  // What happens at this frame; the race is run from it.
  await hand.key('m');
  await page.getByRole('combobox', { name: 'What happens' }).waitFor();
  await hand.type('la');
  await hand.key('Enter');
  await saved(page);
  const finding = page.locator('.finding .key');
  await finding.filter({ hasText: /arrives first|close to call|in measure/ }).waitFor();
  await page.locator('.finding [aria-busy="false"]').waitFor();
  console.log(`keys and clicks from the video to the race: ${hand.keys} keys + ${hand.clicks} clicks = ${hand.all}`);
  assert.ok(hand.all <= 60, `${hand.all} keys and clicks`);

  // The reading is near that of the careful hand that marked the demo: the same marks, six of the nine points.
  const text = await finding.textContent();
  assert.match(text, /(left|right)/i);
  assert.match(await page.locator('.finding .margin').textContent(), /±/);
  await picture(page, 'path-race');

  // Told: the plates, and all of it in one file.
  await page.getByRole('link', { name: 'Tell it' }).click();
  await page.waitForURL(/breakdown/);
  await page.locator('h1').waitFor();
  assert.equal((await page.locator('p.finding').textContent()).trim(), text.trim());
  const [zip] = await Promise.all([page.waitForEvent('download'), page.getByRole('link', { name: 'All in one file (ZIP)' }).click()]);
  const file = join(dir, 'breakdown.zip');
  await zip.saveAs(file);
  const inside = unzip(readFileSync(file));
  const report = [...inside].find(([name]) => name.endsWith('report.html'));
  assert.ok(report, `report.html among ${[...inside.keys()].join(', ')}`);
  assert.match(report[1].toString(), /<html/);
  await page.locator('img').first().waitFor();
  await until('every plate is drawn', () => page.locator('main img').evaluateAll((all) => {
    for (const i of all) i.loading = 'eager';
    return all.length > 0 && all.every((i) => i.complete && i.naturalWidth > 0);
  }));
  await picture(page, 'path-told');
  page.sound();
  await page.context().close();
});

test('the sheet: recorded by keys, corrected, inserted, removed, stepped back across a reload', async () => {
  const page = await open(browser, server.address);
  await page.getByRole('button', { name: 'Choose a video' }).waitFor();
  await page.locator('input[type=file]').setInputFiles(film);
  await page.waitForURL(/\/bout\//);
  const id = decodeURIComponent(new URL(page.url()).pathname.split('/')[2]);
  const stored = async () => (await ask(server, `/api/bouts/${id}`)).sheet.bout.sheet ?? [];
  await page.locator('.hits button:enabled').first().waitFor();
  await until('the length of the film', () => page.locator('.scrub [role=slider], .scrub[role=slider]').first().evaluate((s) => Number(s.getAttribute('aria-valuemax')) >= 2));
  /** The sheet on the page and the one that is stored say the same score. */
  const says = async (...want) => {
    await until(`the score ${want.join(', ')}`, async () => JSON.stringify(await scores(page)) === JSON.stringify(want) && (await page.locator('header .saving').textContent()) === 'Saved', 20)
      .catch(async (e) => assert.fail(`${e.message}; the page says ${await scores(page)}`));
    assert.deepEqual((await stored()).map((p) => `${p.after.left}–${p.after.right}`), want);
  };
  const clock = (t) => page.locator('[data-testid=clock]', { hasText: t }).waitFor();

  // Three halts, the third between the other two: it stands where its time asks for.
  await page.keyboard.press('Home');
  await page.keyboard.press('Shift+ArrowRight');
  await clock('0:01.0');
  await page.keyboard.press('q');
  await says('1–0');
  await page.keyboard.press('Shift+ArrowRight');
  await clock('0:02.0');
  await page.keyboard.press('e');
  await says('1–0', '1–1');
  await page.keyboard.press('Shift+ArrowLeft');
  await clock('0:01.0');
  for (let n = 0; n < 10; n++) await page.keyboard.press('ArrowRight');
  await page.keyboard.press('w');
  await says('1–0', '2–1', '2–2');

  const edit = (n) => page.getByRole('button', { name: `Correct line ${n}` }).click();
  const dialog = page.getByRole('dialog');
  await edit(1);
  await dialog.getByText('Right hits').click();
  await says('0–1', '1–2', '1–3');
  await dialog.getByLabel(/^Card for .*left/i).selectOption('red');
  await says('0–2', '1–3', '1–4');
  await dialog.getByRole('button', { name: 'Insert one below' }).click();
  await dialog.getByText('Left hits').click();
  await says('0–2', '1–2', '2–3', '2–4');
  await dialog.getByRole('button', { name: 'Close' }).click();
  await edit(3);
  await dialog.getByRole('button', { name: 'Remove the line' }).click();
  await says('0–2', '1–2', '1–3');
  const end = await stored();
  await picture(page, 'path-sheet');

  // All the way back, a reload on the way, and all the way on again.
  await page.keyboard.press('Control+z');
  await says('0–2', '1–2', '2–3', '2–4');
  await page.keyboard.press('Control+z');
  await says('0–2', '0–2', '1–3', '1–4');
  await page.reload();
  await says('0–2', '0–2', '1–3', '1–4');
  for (const want of [['0–2', '1–3', '1–4'], ['0–1', '1–2', '1–3'], ['1–0', '2–1', '2–2'], ['1–0', '1–1'], ['1–0'], []]) {
    await page.keyboard.press('Control+z');
    await says(...want);
  }
  for (let n = 0; n < 8; n++) {
    const was = (await ask(server, `/api/bouts/${id}`)).stamp.revision;
    await page.keyboard.press('Control+Shift+z');
    await until('the step', async () => (await ask(server, `/api/bouts/${id}`)).stamp.revision !== was);
    await page.locator('header .saving', { hasText: 'Saved' }).waitFor();
  }
  await says('0–2', '1–2', '1–3');
  assert.deepEqual(await stored(), end);
  page.sound();
  await page.context().close();
});

/** The name of the point that the next click places. */
async function askedFor(page, points) {
  const text = (await page.locator('.desk-stage .line [role=status]').textContent()).replace(/^Click: /, '').trim();
  const found = points.find((p) => p.word === text);
  assert.ok(found, `asks for “${text}”`);
  return found.name;
}

/** The files of a ZIP archive by name, by its central directory (APPNOTE 4.3). */
function unzip(bytes) {
  const files = new Map();
  const end = bytes.lastIndexOf(Buffer.from('PK\x05\x06', 'latin1'));
  let at = bytes.readUInt32LE(end + 16);
  for (let n = bytes.readUInt16LE(end + 10); n > 0; n--) {
    const [method, size, name, extra, comment] = [bytes.readUInt16LE(at + 10), bytes.readUInt32LE(at + 20), bytes.readUInt16LE(at + 28), bytes.readUInt16LE(at + 30), bytes.readUInt16LE(at + 32)];
    const local = bytes.readUInt32LE(at + 42);
    const from = local + 30 + bytes.readUInt16LE(local + 26) + bytes.readUInt16LE(local + 28);
    const data = bytes.subarray(from, from + size);
    files.set(bytes.toString('utf8', at + 46, at + 46 + name), method === 8 ? inflateRawSync(data) : data);
    at += 46 + name + extra + comment;
  }
  return files;
}
