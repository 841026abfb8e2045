// Two windows on one touch: the one that rests follows, two that work never overwrite
// each other without a word.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { accessible, browse, open, picture, serve } from './harness.mjs';
import { ask, deskReady, demo, saved, spot, until } from './hands.mjs';

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
const titleOf = (page) => page.locator('header h1 input');
async function rename(page, title) {
  await titleOf(page).fill(title);
  await titleOf(page).press('Enter');
  await saved(page);
}

test('a window that rests follows; two that work are told, and choose', async () => {
  const [mine, theirs] = await Promise.all([0, 1].map(() => open(browser, `${server.address}/touch/${id}`)));
  for (const page of [mine, theirs]) await deskReady(page);
  const frame = Number(await mine.locator('canvas').first().getAttribute('data-frame'));
  const guard = (t) => t.marks.find((m) => m.frame === frame && m.who === 'left' && m.what === 'guard').at;
  await rename(theirs, 'Seen by both');
  await until('the other window follows', async () => (await titleOf(mine).inputValue()) === 'Seen by both');

  /** Holds a mark in my window while theirs is saved, then lets go of it. */
  async function collide(title) {
    await mine.keyboard.press('3');
    const from = guard(await stored());
    const at = await spot(mine, from.u, from.v);
    await mine.mouse.move(at.x, at.y);
    await mine.mouse.down();
    await mine.mouse.move(at.x + 10, at.y, { steps: 3 });
    await rename(theirs, title);
    // News of it has come; what is under the hand stays.
    await until('news of the other window', async () => (await stored()).title === title);
    await mine.mouse.move(at.x + 20, at.y, { steps: 3 });
    await mine.mouse.up();
    await mine.getByText('changed in another window while you worked here').waitFor();
    // Nothing was overwritten, and nothing of mine is gone before I choose.
    assert.equal((await stored()).title, title);
    assert.deepEqual(guard(await stored()), from);
    return from;
  }

  const first = await collide('Theirs stands');
  await picture(mine, 'windows-conflict');
  await accessible(mine, 'the notice of a conflict');
  await mine.getByRole('button', { name: 'Go on with theirs' }).click();
  await saved(mine);
  assert.equal(await titleOf(mine).inputValue(), 'Theirs stands');
  assert.deepEqual(guard(await stored()), first);

  await collide('Theirs again');
  await mine.getByRole('button', { name: 'Go on with mine' }).click();
  await saved(mine);
  await until('mine on top', async () => Math.abs(guard(await stored()).u - first.u) > 5);
  // Mine was begun before their title: it goes on top as it was, and one step back is theirs.
  const undo = mine.getByRole('button', { name: 'Undo' });
  await undo.click();
  await until('theirs below mine', async () => {
    const t = await stored();
    return t.title === 'Theirs again' && guard(t).u === first.u;
  });
  await until('the other window follows', async () => (await titleOf(theirs).inputValue()) === 'Theirs again');
  for (const page of [mine, theirs]) {
    page.sound();
    await page.context().close();
  }
});

test('a touch removed in another window says so', async () => {
  const [mine, theirs] = await Promise.all([0, 1].map(() => open(browser, `${server.address}/touch/${id}`)));
  for (const page of [mine, theirs]) await deskReady(page);
  await theirs.locator('details.more summary').click();
  await theirs.getByRole('button', { name: 'Remove this touch' }).click();
  await theirs.getByRole('button', { name: 'Remove this touch' }).click();
  await theirs.waitForURL(/\/bout\//);
  await mine.getByText('This touch was removed in another window.').waitFor();
  for (const page of [mine, theirs]) {
    page.sound();
    await page.context().close();
  }
});
