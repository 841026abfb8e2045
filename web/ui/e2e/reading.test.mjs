// The reading beside the picture: the guided first touch, what is asked of the race,
// takes, and a breakdown of what cannot be read yet.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { browse, open, picture, serve } from './harness.mjs';
import { ask, click, demo, deskReady, saved, shows, until } from './hands.mjs';

let server, browser, touches;
before(async () => {
  [server, browser] = await Promise.all([serve(), browse()]);
  ({ touches } = await demo(server));
});
after(async () => {
  await browser?.close();
  await server?.stop();
});

const at = (id) => `${server.address}/touch/${id}`;
const stored = async (id) => (await ask(server, `/api/touches/${id}`)).touch;
/** The page knows that a step is kept a little after the server does. */
const undoes = (page, step) => until(`Undo: ${step}`, async () => (await page.getByRole('button', { name: 'Undo', exact: true }).getAttribute('title')) === `Undo: ${step}`);

test('the guide leads from the picture to the race by what is done, and stays away once sent away', async () => {
  const id = touches['line-8'];
  const page = await open(browser, `${at(id)}/breakdown`);
  // What cannot be told yet says what is missing, and leads to its frame.
  await page.getByText('This touch cannot be read yet').waitFor();
  await page.locator('.needs a').first().click();
  await deskReady(page);
  assert.match(page.url(), /#live\/\d+$/);

  await page.goto(at(id));
  await deskReady(page);
  const guide = page.getByRole('complementary', { name: /First touch/ });
  await guide.getByText('1 of 5').waitFor();
  await guide.getByRole('button', { name: 'Show me the frame' }).click();
  await guide.getByText('3 of 5').waitFor(); // the piste is placed already
  await page.getByRole('navigation', { name: 'Steps' }).getByRole('button', { name: /Mark the points/ }).click();
  await picture(page, 'guide-mark');

  // The marks that the finished demo has on a touch of the same camera would do; these are by eye.
  for (const [u, v] of [[598, 274], [770, 315], [830, 343], [875, 280]]) await click(page, { u, v });
  await guide.getByText('5 of 5').waitFor();
  await page.locator('.finding .key', { hasText: /arrives first|close to call|in measure/ }).waitFor();
  await saved(page);
  await page.reload();
  await deskReady(page);
  await guide.getByText('5 of 5').waitFor(); // it goes on where it began
  await guide.getByRole('button', { name: 'I see' }).click();
  await guide.getByText('That is the whole way').waitFor();
  await picture(page, 'guide-end');
  await guide.getByRole('button', { name: 'Put the guide away' }).click();
  await guide.waitFor({ state: 'detached' });
  await page.reload();
  await deskReady(page);
  assert.equal(await guide.count(), 0);
  await page.keyboard.press('?');
  await page.getByRole('button', { name: 'Show the guided first touch' }).click();
  await guide.waitFor();
  page.sound();
  await page.context().close();
});

test('what is asked of the race: each change is one step, also over a reload', async () => {
  const id = touches['line-6'];
  const page = await open(browser, at(id));
  await deskReady(page);
  const finding = page.getByRole('region', { name: 'Who does what' });
  const before = await finding.textContent();
  const starts = () => page.getByRole('combobox', { name: 'Starts' }).nth(1);
  const was = await starts().inputValue();
  await starts().selectOption('simultaneous');
  await until('another start', async () => (await finding.textContent()) !== before);
  await saved(page);
  assert.deepEqual((await stored(id)).race.right.onset, {});
  await page.reload();
  await deskReady(page);
  await undoes(page, 'change when right starts');
  await page.keyboard.press('Control+z');
  await until('the onset of before', async () => (await starts().inputValue()) === was);
  await page.locator('.finding [aria-busy="false"]').waitFor();
  await until('the numbers of before', async () => (await finding.textContent()) === before);
  page.sound();
  await page.context().close();
});

test('a take comes in, is renamed with all that names it, and goes with all that hangs on it', async () => {
  const id = touches['line-7'];
  const page = await open(browser, at(id));
  await deskReady(page);
  const takes = page.getByRole('region', { name: 'Takes' });
  const had = (await stored(id)).takes.length;
  await takes.getByRole('button', { name: 'Add a take' }).click();
  const videos = takes.getByRole('combobox', { name: 'Video' });
  await until('the videos of the bout', async () => (await videos.locator('option').count()) === 5);
  await videos.selectOption({ label: 'touch-4-replay.mp4' });
  await takes.getByRole('textbox', { name: /^From/ }).fill('0,5'); // a comma will do
  await takes.getByRole('button', { name: 'Add it' }).click();
  await saved(page);
  await until('the take is kept', async () => (await stored(id)).takes.length === had + 1);
  let take = (await stored(id)).takes[had];
  assert.deepEqual([take.id, take.from, take.factor, take.factor_sd], ['replay', 25, 4, 0.1]);
  await shows(page, 25);

  const row = takes.locator('li').nth(had);
  await row.locator('summary').click();
  await row.getByRole('textbox', { name: 'Time factor' }).fill('4,2');
  await row.getByRole('textbox', { name: 'Name' }).fill('Close view');
  await row.getByRole('textbox', { name: 'Name' }).press('Tab');
  await until('both are kept', async () => {
    take = (await stored(id)).takes[had];
    return take.id === 'Close-view' && take.factor === 4.2;
  });
  await shows(page, 25); // still there
  await picture(page, 'takes');
  await row.getByRole('button', { name: 'Remove' }).click();
  await row.getByText('Nothing is marked on it yet.').waitFor();
  await row.getByRole('alert').getByRole('button', { name: 'Remove' }).click();
  await until('it is gone', async () => (await stored(id)).takes.length === had);
  await undoes(page, 'remove the take Close-view');
  page.sound();
  await page.context().close();
});
