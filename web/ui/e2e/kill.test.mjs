// A power cut in the middle of the work: what was said to be saved is there, what was
// not is sent when the server is back, and undo goes on where it was.

import assert from 'node:assert/strict';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { browse, folder, open, serve } from './harness.mjs';
import { ask, click, demo, deskReady, saved, until } from './hands.mjs';

const library = join(folder(), 'library');
let server, browser, id;
before(async () => {
  [server, browser] = await Promise.all([serve(library), browse()]);
  id = (await demo(server)).touches['line-6'];
});
after(async () => {
  await browser?.close();
  await server?.stop();
});

test('killed in the middle of the work, nothing that was acknowledged is lost, and the rest follows', async () => {
  const stored = async () => (await ask(server, `/api/touches/${id}`)).touch;
  const page = await open(browser, `${server.address}/touch/${id}`);
  await deskReady(page);
  const frame = Number(await page.locator('canvas').first().getAttribute('data-frame'));
  const before = await stored();
  const mark = (t) => t.marks.find((m) => m.frame === frame && m.who === 'left' && m.what === 'point');

  // One step that is saved.
  const title = page.locator('header h1 input');
  await title.fill('Kept before the cut');
  await title.press('Enter');
  await saved(page);
  await until('the title', async () => (await stored()).title === 'Kept before the cut');

  // A dozen nudges in a row; the server is killed while they go out.
  await page.keyboard.press('3');
  await click(page, mark(before).at);
  const acknowledged = [];
  page.on('response', (r) => { if (r.request().method() === 'PUT' && r.status() === 200) acknowledged.push(r); });
  let killed;
  const cut = page.waitForResponse((r) => r.request().method() === 'PUT' && r.status() === 200).then(() => { killed = server.stop('SIGKILL'); });
  for (let n = 0; n < 12; n++) await page.keyboard.press('Alt+ArrowRight');
  await cut;
  await killed;
  // The server is gone; one more step is made meanwhile.
  await page.keyboard.press('Alt+ArrowDown');
  await page.getByText('The server does not answer.').waitFor();
  await page.locator('header .saving', { hasText: 'Kept here, trying again' }).waitFor();
  const sure = acknowledged.length;
  assert.ok(sure >= 1 && sure <= 12, `${sure} steps were acknowledged before the cut`);

  // Back on the same library and port: what was acknowledged stands there before the window sends the rest.
  let first;
  await page.route('**/api/touches/**', async (route) => {
    if (route.request().method() === 'PUT') first ??= await stored();
    await route.continue();
  });
  server = await serve(library, { port: server.port });
  await saved(page);
  assert.equal(first.title, 'Kept before the cut');
  const u = (t) => mark(t).at.u;
  assert.ok(u(first) >= u(before) + 0.25 * sure - 1e-9, `${sure} nudges were acknowledged, ${(u(first) - u(before)) / 0.25} are kept`);
  const then = await stored();
  assert.ok(Math.abs(u(then) - (u(before) + 3)) < 1e-9, `all twelve nudges: ${u(before)} to ${u(then)}`);
  assert.ok(Math.abs(mark(then).at.v - (mark(before).at.v + 0.25)) < 1e-9, 'and the one made without a server');
  await page.unroute('**/api/touches/**');

  // Undo across a reload: thirteen nudges, then the title.
  await page.reload();
  await deskReady(page);
  const undo = page.getByRole('button', { name: 'Undo' });
  for (let n = 0; n < 14; n++) {
    const was = (await ask(server, `/api/touches/${id}`)).stamp.revision;
    await undo.click();
    await until(`step ${n + 1} back`, async () => (await ask(server, `/api/touches/${id}`)).stamp.revision !== was);
    await saved(page);
  }
  assert.deepEqual(await stored(), before);
  assert.equal(await title.inputValue(), before.title);
  await undo.and(page.locator(':disabled')).waitFor();
  page.sound();
  await page.context().close();
});
