// The thread of a bout: from the sheet to a touch's story, from a number to what it rests
// on and on to a touch, all by keyboard; what is supposed moves the numbers; beside the
// picture the same story stands.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { accessible, browse, open, picture, serve } from './harness.mjs';
import { ask, demo, until } from './hands.mjs';

let server, browser, ids;
before(async () => {
  [server, browser] = await Promise.all([serve(), browse()]);
  ids = (await demo(server)).touches;
});
after(async () => {
  await browser?.close();
  await server?.stop();
});

const plain = (text) => text.replace(/\s+/g, ' ').trim();
const said = (s) => plain(s.map((p) => p.text).join(''));
const tactics = (query) => ask(server, `/api/bouts/demo-bout/tactics?${query}`);
/** The story stands, and is of now. */
const told = (page, at) => page.getByRole('heading', { level: 1, name: new RegExp(`^Touch ${at}, `) }).waitFor()
  .then(() => page.locator('.told[aria-busy="false"]').first().waitFor());
const focused = (page) => page.evaluate(() => document.activeElement?.id || document.activeElement?.textContent);

test('a number leads to what it rests on and on to a touch, by keyboard', async () => {
  const page = await open(browser, `${server.address}/bout/demo-bout`, { locale: 'en-GB' });
  await page.getByRole('link', { name: 'Thread of line 9' }).press('Enter');
  await told(page, 9);
  const want = (await tactics('at=9')).tactics;
  assert.ok(want.story.length >= 3, 'a story');
  const bare = (text) => text.replace(/\s+/g, '');
  assert.equal(bare(await page.locator('.story .told').first().textContent()), bare(want.story.map(said).join('')));

  // The first number with earlier touches in it.
  const at = want.story.flat().filter((p) => p.from);
  const source = (p) => want.sources.find((s) => s.id === p.from);
  const index = at.findIndex((p) => source(p).touches.length > 1);
  const number = page.locator('.story .told').first().locator('a.from').nth(index);
  await number.press('Enter');
  const card = page.locator('#source');
  assert.equal(await focused(page), 'source-title');
  assert.equal(plain(await card.locator('h2').textContent()), plain(source(at[index]).title));
  assert.equal(await card.locator('li').count(), source(at[index]).touches.length);
  await picture(page, 'thread-source');
  await page.keyboard.press('Escape');
  assert.equal(await focused(page), at[index].text);
  assert.equal(await card.locator('li').count(), 0);

  await number.press('Enter');
  const first = source(at[index]).touches[0];
  await card.locator(`a[href="/bout/demo-bout/thread/${first}"]`).press('Enter');
  await told(page, first);
  await page.keyboard.press('ArrowRight');
  await told(page, first + 1);
  assert.equal(new URL(page.url()).pathname, `/bout/demo-bout/thread/${first + 1}`);
  // In both lights, on the phone with a source open, and nowhere wider than the screen.
  await accessible(page, 'the thread');
  await page.setViewportSize({ width: 390, height: 844 });
  await page.emulateMedia({ colorScheme: 'dark' });
  await page.locator('.story a.from').first().press('Enter');
  await page.locator('.told[aria-busy="false"]').first().waitFor();
  await picture(page, 'thread-phone-dark');
  await accessible(page, 'the thread on a phone, dark');
  assert.equal(await page.evaluate(() => Math.max(0, document.scrollingElement.scrollWidth - innerWidth)), 0);
  page.sound();
  await page.context().close();
});

test('what is supposed moves the numbers and takes choices of the coach’s own', async () => {
  const page = await open(browser, `${server.address}/bout/demo-bout/thread/9`, { locale: 'en-GB' });
  await told(page, 9);
  await page.getByRole('slider', { name: 'Trust in' }).press('Home');
  const counts = (await tactics('at=9&weight=0')).tactics;
  const table = page.locator('.rest details', { hasText: 'The choices in numbers' });
  await table.locator('summary').click();
  const worth = table.locator('tbody tr').first().locator('td').first();
  await until('the worth by counts alone', async () => plain(await worth.textContent()).startsWith(plain(counts.payoff.mine[0].worth.value)));
  const mine = page.getByRole('group', { name: 'Choices of Matthis Orlen' });
  await mine.getByLabel('Add a choice of Matthis Orlen').fill('the trap');
  await mine.getByLabel('Add a choice of Matthis Orlen').press('Enter');
  await until('a row of its own', async () => (await table.locator('tbody th').allTextContents()).includes('the trap'));
  await mine.getByRole('button', { name: 'Leave out the trap' }).click();
  await until('it is left out again', async () => !(await table.locator('tbody th').allTextContents()).includes('the trap'));
  await page.keyboard.press('Escape');
  page.sound();
  await page.context().close();
});

test('tactics stand beside the picture of a touch', async () => {
  const page = await open(browser, `${server.address}/touch/${ids['line-9']}`, { locale: 'en-GB' });
  await page.locator('canvas[data-frame]').waitFor();
  await page.keyboard.press('5');
  const want = (await tactics('at=9')).tactics;
  const place = page.getByRole('region', { name: 'Tactics' });
  await place.locator('.told').waitFor();
  assert.ok(plain(await place.locator('.told').textContent()).includes(said(want.story[0])));
  await place.locator('a.from').first().press('Enter');
  await place.locator('#source li, #source .how').first().waitFor();
  await picture(page, 'desk-tactics');
  await accessible(page, 'tactics at the desk');
  await place.getByRole('link', { name: 'The whole thread' }).click();
  await told(page, 9);
  page.sound();
  await page.context().close();
});
