// A score sheet becomes a bout: written or let go over the page, every row shown with
// what becomes of it, nothing kept before it is added, and the score as the sheet has it.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { accessible, browse, open, picture, serve } from './harness.mjs';

let server, browser;
before(async () => {
  [server, browser] = await Promise.all([serve(), browse()]);
});
after(async () => {
  await browser?.close();
  await server?.stop();
});

const sheet = `touch,left,right,choice_left,choice_right,clock,weather
1,1,0,Coup d'arrêt,lunge,2:41,sun
2,1,1,hop in,counter-attack,2:30,
3,4,1,lunge,parry,2:12,
4,2,2,remise,,9:99,
5,2,3,,riposte,1:58,
`;
const bouts = async () => (await (await fetch(`${server.address}/api/salle`)).json()).bouts;

/** Lets a file go over the page. */
const drop = (page, name, bytes) => page.evaluate(({ name, bytes }) => {
  const d = new DataTransfer();
  d.items.add(new File([new Uint8Array(bytes)], name));
  window.dispatchEvent(new DragEvent('drop', { dataTransfer: d, cancelable: true, bubbles: true }));
}, { name, bytes });

test('a sheet that is written becomes a bout', async () => {
  const page = await open(browser, server.address);
  await page.getByRole('button', { name: 'Score sheet' }).click();
  const dialog = page.getByRole('dialog');
  const add = dialog.getByRole('button', { name: /^Add the bout/ });
  assert.ok(await add.isDisabled(), 'nothing is written, but it can be added');
  await dialog.getByLabel('The score sheet').fill(sheet);
  await dialog.getByText('4 rows are taken, 1 is not').waitFor();
  const rows = dialog.locator('tbody tr');
  assert.equal(await rows.count(), 5);
  assert.match(await rows.nth(0).innerText(), /Touch 1[\s\S]*Left[\s\S]*1–0[\s\S]*stop hit against lunge/i);
  assert.match(await rows.nth(1).innerText(), /"hop in" is not a word of the trade/);
  assert.match(await rows.nth(2).innerText(), /Not taken: 4–1 does not follow from 1–1/);
  assert.match(await rows.nth(3).innerText(), /Touch 4[\s\S]*Both[\s\S]*"9:99" cannot be the time left/i);
  await dialog.getByText('Columns that are not read: weather').waitFor();

  await dialog.getByLabel('Left fencer').fill('Quill');
  await dialog.getByLabel('Right fencer').fill('quill ');
  await dialog.getByText('nobody fences themselves').waitFor();
  assert.ok(await add.isDisabled());
  await dialog.getByLabel('Right fencer').fill('Brandt');
  await dialog.getByLabel('Date').fill('2026-03-07');
  await dialog.getByText('The bout ends 2–3.').waitFor();
  await page.waitForFunction(() => !document.querySelector('dialog .rows.old'));
  await accessible(page, 'the dialog of a score sheet');
  await picture(page, 'sheet-day');
  assert.equal((await bouts()).length, 0, 'something was kept before it was added');
  await dialog.getByRole('button', { name: 'Add the bout without that row' }).click();
  await page.waitForURL(/\/bout\//);
  await page.locator('li[data-line]').nth(4).waitFor();
  const [b] = await bouts();
  assert.deepEqual([b.left, b.right, b.date, b.lines, b.score], ['Quill', 'Brandt', '2026-03-07', 5, { left: 2, right: 3 }]);
  page.sound();
  await page.context().close();
});

test('a file that is let go opens it, its letters are read, and the same bout is noticed', async () => {
  for (const [name, options] of [['night', { colorScheme: 'dark' }], ['phone', { viewport: { width: 390, height: 844 }, colorScheme: 'light' }]]) {
    const page = await open(browser, server.address, options);
    await page.getByRole('button', { name: 'Score sheet' }).waitFor();
    // As a spreadsheet of western Europe writes it: ê is one byte.
    await drop(page, 'pool.csv', [...sheet].map((c) => c.charCodeAt(0)));
    const dialog = page.getByRole('dialog');
    await dialog.getByText('look at the accents').waitFor();
    await dialog.getByText('stop hit against lunge').waitFor();
    await dialog.getByLabel('Left fencer').fill('Quill');
    await dialog.getByLabel('Right fencer').fill('Brandt');
    await dialog.getByLabel('Date').fill('2026-03-07');
    const add = dialog.getByRole('button', { name: 'Add the bout without that row' });
    await page.waitForFunction(() => !document.querySelector('dialog .rows.old'));
    await picture(page, `sheet-${name}`);
    await dialog.locator('.rows').scrollIntoViewIfNeeded();
    await picture(page, `sheet-${name}-rows`);
    await add.click();
    await dialog.getByText('The library has this bout already.').waitFor();
    assert.equal((await bouts()).length, 1);
    await picture(page, `sheet-${name}-already`);
    const wide = await page.evaluate(() => document.querySelector('dialog').scrollWidth - document.querySelector('dialog').clientWidth);
    assert.ok(wide <= 0, `the dialog is ${wide} px wider than the page`);
    await accessible(page, `the dialog of a score sheet, ${name}`);
    await dialog.getByRole('button', { name: 'Open it' }).click();
    await page.waitForURL(/\/bout\//);
    page.sound();
    await page.context().close();
  }
  assert.equal((await bouts()).length, 1);
});

test('what is no score sheet says so and can be mended', async () => {
  const page = await open(browser, server.address);
  await page.getByRole('button', { name: 'Score sheet' }).click();
  const dialog = page.getByRole('dialog');
  await dialog.getByLabel('The score sheet').fill('dear coach');
  await dialog.getByText('Line 1: it does not say which column is who hit').waitFor();
  await dialog.getByLabel('The score sheet').fill('who\nleft\n');
  await dialog.getByText('1 row is taken').waitFor();
  await dialog.getByLabel('The score sheet').fill('');
  await dialog.getByText('Every row is shown here').waitFor();
  assert.ok(await dialog.getByRole('button', { name: 'Add the bout' }).isDisabled());
  page.sound();
  await page.context().close();
});
