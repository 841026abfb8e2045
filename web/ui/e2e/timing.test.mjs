// The timing beside the picture: it follows the frame that is shown, sliders move its
// numbers, notes go and come back, and where marks are lacking it says so.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { browse, open, picture, serve } from './harness.mjs';
import { ask, demo, deskReady, frameReader, saved, shows, until } from './hands.mjs';

let server, browser, id;
before(async () => {
  [server, browser] = await Promise.all([serve(), browse()]);
  id = (await demo(server)).touches['line-6'];
});
after(async () => {
  await browser?.close();
  await server?.stop();
});

const stored = async () => (await ask(server, `/api/touches/${id}`)).touch;
/** What the server says of a frame, asked directly. */
const said = async (frame, more = {}) => (await ask(server, `/api/touches/${id}/timing`, 'POST', { touch: await stored(), at: { take: 'live', frame }, ...more })).timing;
const part = (page, name) => page.locator(`.timing [data-part="${name}"]`);
/** The timing of this frame stands, and is of now. */
const tells = async (page, frame) => {
  await page.locator('.timing .finding [aria-busy="false"]', { hasText: `frame ${frame}` }).waitFor();
};
const number = (text) => text.replace(/\u2212/g, '-').replace(/\s+/g, ' ').trim();

/** Opens the touch with the timing beside it. */
async function timing() {
  const page = await open(browser, `${server.address}/touch/${id}#live/51`, { locale: 'en-GB' });
  await deskReady(page);
  await frameReader(page);
  const here = page.getByRole('button', { name: 'Timing', exact: true });
  if ((await here.getAttribute('aria-pressed')) !== 'true') await page.keyboard.press('4');
  await tells(page, 51);
  return page;
}

test('the timing follows the frame, and its map comes after it', async () => {
  const page = await timing();
  const want = await said(51, { map: true });
  assert.equal(await page.locator('.timing .finding .key').textContent(), want.finding);
  assert.equal(number(await part(page, 'race').locator('li .n').first().textContent()), number(want.race.left_only.text));
  for (const name of ['windows', 'parry', 'stand', 'started']) await part(page, name).locator('.picture svg').waitFor();
  await part(page, 'map').locator('[aria-busy="false"] .picture svg').waitFor();
  assert.match(await part(page, 'map').textContent(), new RegExp(want.map.finding.slice(0, 20).replace(/[.*+?^${}()|[\]\\]/g, '.')));

  // Every answer stands in the numbers under the picture.
  await part(page, 'windows').getByText('The answers in numbers').click();
  const rows = part(page, 'windows').locator('tbody tr');
  assert.equal(await rows.count(), want.windows.answers.length);
  assert.equal(number(await rows.nth(2).locator('td').nth(1).textContent()), number(want.windows.answers[2].in_time.text));

  // Another frame is another instant; a wide picture of it opens and closes.
  await page.evaluate(() => globalThis.hands.jump(69));
  await tells(page, 69);
  assert.equal(await page.locator('.timing .finding .key').textContent(), (await said(69)).finding);
  await part(page, 'windows').getByRole('button', { name: /^Larger/ }).click();
  const wide = page.getByRole('dialog', { name: 'Which answers are open' });
  await wide.locator('svg').first().waitFor();
  await picture(page, 'timing-wide');
  await page.keyboard.press('Escape');
  await wide.waitFor({ state: 'detached' });

  // It stays chosen over a reload.
  await page.reload();
  await page.locator('.timing .finding [aria-busy="false"]').waitFor();
  page.sound();
  await page.context().close();
});

test('sliders move the numbers from the keyboard, and go back to what is', async () => {
  const page = await timing();
  const plain = await part(page, 'race').textContent();
  const closer = page.getByRole('slider', { name: 'Both closer by' });
  await closer.focus();
  for (let n = 0; n < 5; n++) await page.keyboard.press('ArrowRight');
  await shows(page, 51); // the arrows are the slider's
  const what = part(page, 'what_if');
  await what.locator('[aria-busy="false"] .picture svg').waitFor();
  assert.equal(await closer.getAttribute('aria-valuetext'), '+5\u00a0cm');
  const want = (await said(51, { what_if: { who: 'left', closer_m: 0.05 } })).what_if;
  await until('the finding of five centimetres', async () => (await what.locator('.finding').textContent()) === want.finding);
  await page.getByText('Before and after in numbers').click();
  const row = page.locator('.numbers tbody tr').first();
  assert.equal(number(await row.locator('td').nth(1).textContent()), number(want.differences[0].then.text));
  assert.equal(await part(page, 'race').textContent(), plain, 'what is does not move');
  await page.getByRole('combobox', { name: 'Aims at' }).selectOption('hand');
  await until('another answer', async () => (await what.locator('.finding').textContent()) !== want.finding);
  await page.getByRole('button', { name: 'As it is' }).click();
  await what.locator('.picture').waitFor({ state: 'detached' });
  assert.equal(await closer.inputValue(), '0');
  page.sound();
  await page.context().close();
});

test('whose attack it is can be said; a note goes and comes back, each as one step', async () => {
  const page = await timing();
  const attack = page.getByRole('group', { name: 'Whose attack' });
  const why = page.getByRole('region', { name: 'Whose attack' }).locator('p');
  const before = await why.textContent();
  await attack.getByRole('button', { name: 'right', exact: true }).click();
  await until('what the coach said', async () => /^right: as the coach said/.test(await why.textContent()));
  // The race lets right react: whose attack it would then be answered to is told as lacking.
  await part(page, 'lacks').getByText('right attacks').waitFor();
  await saved(page);
  assert.equal((await stored()).attacker, 'right');
  await page.keyboard.press('Control+z');
  await until('what is seen', async () => (await why.textContent()) === before);
  await part(page, 'windows').waitFor();
  assert.equal((await stored()).attacker ?? '', '');

  await tells(page, 51);
  const notes = part(page, 'notes');
  const all = notes.locator('li p.label');
  const [had, text] = [await all.count(), await all.first().textContent()];
  assert.ok(had > 0, 'the demo gives notes');
  await notes.getByRole('button', { name: /^Dismiss/ }).first().click();
  await notes.getByText('One dismissed').waitFor();
  await saved(page);
  const gone = (await stored()).dismissed;
  assert.equal(gone.length, 1);
  await tells(page, 51);
  assert.equal(await notes.locator('> ul > li').count(), had - 1);
  await page.keyboard.press('Control+z');
  await until('the note is back', async () => (await notes.locator('> ul > li').count()) === had);
  await notes.getByRole('button', { name: /^Dismiss/ }).first().click();
  await notes.getByText('One dismissed').click();
  await notes.getByRole('button', { name: /^Bring back/ }).click();
  await until('and back from the fold', async () => (await all.first().textContent()) === text);
  await saved(page);
  assert.deepEqual((await stored()).dismissed ?? [], []);
  // A note leads to its frame.
  const show = notes.getByRole('button', { name: /^Show live, frame/ }).first();
  const to = Number((await show.getAttribute('aria-label')).match(/frame (\d+)/)[1]);
  await show.click();
  await shows(page, to);
  page.sound();
  await page.context().close();
});

test('a frame without marks says what is lacking and leads to one that tells', async () => {
  const page = await timing();
  await page.evaluate(() => globalThis.hands.jump(2));
  await tells(page, 2);
  assert.equal(await part(page, 'race').count(), 0);
  const lacks = part(page, 'lacks');
  await lacks.getByText('To mend it').first().waitFor();
  await picture(page, 'timing-lacks');
  await lacks.getByRole('button', { name: /^live \d+$/ }).first().click();
  await part(page, 'race').waitFor();
  page.sound();
  await page.context().close();
});

test('an own number stands in place of the usual one, and undo takes it back', async () => {
  const page = await timing();
  const profile = part(page, 'profile');
  await profile.locator('summary').first().click();
  const row = profile.locator('details').first().locator('tr', { hasText: 'Time of the extension' });
  const usual = await row.locator('td').first().textContent();
  await profile.getByRole('button', { name: 'Set own numbers' }).click();
  const dialog = page.getByRole('dialog', { name: 'Own numbers of both fencers' });
  const left = dialog.getByRole('region').first();
  const field = left.getByRole('textbox', { name: 'time of the extension: Own number' });
  await field.fill('17');
  await field.press('Tab');
  await left.getByRole('alert').getByText('Write 0.05 to 2 s.').waitFor();
  await field.fill('0,17');
  await field.press('Tab');
  await dialog.getByText('Saved').waitFor();
  await until('it is kept with the bout', async () => (await ask(server, '/api/bouts/demo-bout')).sheet.bout.left.own?.[0]?.value === 0.17);
  await picture(page, 'timing-own');
  await page.keyboard.press('Escape');
  await until('it is what the timing rests on', async () => /170/.test(number(await row.locator('td').first().textContent())));
  await profile.getByRole('button', { name: 'Set own numbers' }).click();
  await dialog.getByRole('button', { name: 'Undo' }).click();
  await until('it is taken back', async () => !(await ask(server, '/api/bouts/demo-bout')).sheet.bout.left.own);
  await page.keyboard.press('Escape');
  await until('the usual one stands again', async () => (await row.locator('td').first().textContent()) === usual);
  page.sound();
  await page.context().close();
});
