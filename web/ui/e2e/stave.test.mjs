// The stave under the hand: moments and actions by key, by mouse and by finger.

import assert from 'node:assert/strict';
import { after, before, beforeEach, test } from 'node:test';
import { accessible, browse, open, picture, serve } from './harness.mjs';
import { ask, demo, deskReady, saved, shows, until } from './hands.mjs';

let server, browser, id, first;
before(async () => {
  [server, browser] = await Promise.all([serve(), browse()]);
  id = (await demo(server)).touches['line-8'];
  first = (await ask(server, `/api/touches/${id}`)).touch;
});
beforeEach(async () => {
  const now = await ask(server, `/api/touches/${id}`);
  await ask(server, `/api/touches/${id}`, 'PUT', { base: now.stamp.revision, gesture: 'begin again', touch: first });
});
after(async () => {
  await browser?.close();
  await server?.stop();
});

const touch = async () => (await ask(server, `/api/touches/${id}`)).touch;
const short = (t) => t.actions.map((a) => `${a.who} ${a.line} ${a.word} ${a.from}-${a.to}`);
async function desk(options) {
  const page = await open(browser, `${server.address}/touch/${id}`, options);
  await deskReady(page);
  return page;
}
/** The middle of a part of a line that shows these frames of the take. */
async function onLine(page, name, frame) {
  const x = await page.evaluate(async ([id, frame]) => {
    const axis = document.querySelector('.desk-stave .axis').getBoundingClientRect();
    const [a, b] = [...document.querySelectorAll('.desk-stave .svg text')].map((t) => [Number(t.textContent), t.getBoundingClientRect()])
      .filter(([n, r]) => !Number.isNaN(n) && r.top > axis.top).sort((p, q) => p[0] - q[0]).filter((_, i, all) => i === 0 || i === all.length - 1);
    const mid = (r) => r.left + r.width / 2;
    return mid(a[1]) + ((frame / 50 - a[0]) / (b[0] - a[0])) * (mid(b[1]) - mid(a[1]));
  }, [id, frame]);
  const box = await page.getByRole('button', { name: `Write on: ${name}` }).boundingBox();
  return { x, y: box.y + box.height / 2 };
}
const focused = (page) => page.evaluate(() => document.activeElement.getAttribute('aria-label'));

test('by key alone: a moment, an action, its end, its word, away and back', async () => {
  const page = await desk();
  for (let i = 0; i < 3; i++) await page.keyboard.press('Shift+ArrowRight');
  await shows(page, 30);
  await page.keyboard.press('m');
  await page.getByRole('combobox', { name: 'What happens' }).waitFor();
  await page.keyboard.type('la');
  await page.keyboard.press('Enter');
  await page.keyboard.press('ArrowRight');
  await shows(page, 31);
  await page.keyboard.press('a');
  await page.getByRole('combobox', { name: 'What is done' }).waitFor();
  await page.keyboard.type('ri');
  await page.getByRole('option', { name: 'riposte', exact: true }).and(page.locator('[aria-selected="true"]')).waitFor();
  await page.keyboard.press('Enter');
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('o');
  await saved(page);
  await until('the action ends at frame 33', async () => short(await touch())[0] === 'left blade riposte 31-33');
  assert.deepEqual((await touch()).moments.at(-1), { id: 'moment-1', name: 'launch', take: 'live', after_frame: 29, by_frame: 30 });

  await page.getByRole('button', { name: 'Above the staves' }).focus();
  for (let i = 0; i < 3; i++) await page.keyboard.press('ArrowDown');
  assert.equal(await focused(page), 'Write on: Left, blade');
  await page.keyboard.press('Control+ArrowRight');
  assert.equal(await focused(page), 'riposte, frames 31 to 33');
  await page.keyboard.press('Enter');
  await until('the field has the focus', async () => (await focused(page)) === 'What is done');
  await page.keyboard.type('remi');
  await page.keyboard.press('Enter');
  await until('the word is remise', async () => short(await touch())[0] === 'left blade remise 31-33');
  assert.equal(await focused(page), 'remise, frames 31 to 33');
  await page.keyboard.press('Delete');
  await until('the action is gone', async () => (await touch()).actions.length === 0);
  await page.keyboard.press('Control+z');
  await until('the action is back', async () => (await touch()).actions.length === 1);
  await page.getByRole('button', { name: 'remise, frames 31 to 33' }).waitFor();
  page.sound();
  await page.context().close();
});

test('a save that is answered between two letters takes nothing away from what is being typed', async () => {
  const page = await desk();
  for (let i = 0; i < 3; i++) await page.keyboard.press('Shift+ArrowRight');
  await shows(page, 30);
  let held, routed = false;
  await page.route(`**/api/touches/${id}`, (route) => {
    routed = true;
    if (held || route.request().method() !== 'PUT') return route.continue();
    held = route;
  });
  // The browser has its requests held a little after it says so.
  await until('requests are held', async () => {
    await page.evaluate((id) => fetch(`/api/touches/${id}`).then((r) => r.text()), id);
    return routed;
  });
  await page.keyboard.press('m'); // stores the moment, without a name as yet
  await page.getByRole('combobox', { name: 'What happens' }).and(page.locator(':focus')).waitFor();
  await until('the save is on its way', () => held);
  await page.keyboard.type('l');
  await held.continue();
  await saved(page);
  await page.keyboard.type('a');
  await page.getByRole('option', { name: 'launch', exact: true }).and(page.locator('[aria-selected="true"]')).waitFor();
  assert.equal(await page.getByRole('combobox', { name: 'What happens' }).inputValue(), 'la');
  await page.keyboard.press('Enter');
  await saved(page);
  await until('the moment has its name', async () => (await touch()).moments.at(-1).name !== '');
  assert.equal((await touch()).moments.at(-1).name, 'launch');
  page.sound();
  await page.context().close();
});

test('by mouse: a stretch is drawn, its end is dragged in one step, Escape gives a drag up', async () => {
  const page = await desk();
  await page.getByRole('button', { name: 'Whole', exact: true }).click();
  await until('all of the take is drawn', () => page.evaluate(() => [...document.querySelectorAll('.desk-stave .svg text')].some((t) => t.textContent === '2.0')));
  const drag = async (from, to) => {
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    await page.mouse.move((from.x + to.x) / 2, to.y, { steps: 3 });
    await page.mouse.move(to.x, to.y, { steps: 3 });
  };
  await drag(await onLine(page, 'Right, feet', 20), await onLine(page, 'Right, feet', 40));
  await page.mouse.up();
  await page.getByRole('combobox', { name: 'What is done' }).waitFor();
  await page.keyboard.type('step b');
  await page.keyboard.press('Enter');
  await until('the step is written', async () => short(await touch())[0] === 'right feet step back 20-40');

  const end = await page.locator('.thing.selected [data-end=end]').boundingBox();
  const grip = { x: end.x + end.width / 2, y: end.y + end.height / 2 };
  const ten = (await onLine(page, 'Right, feet', 50)).x - (await onLine(page, 'Right, feet', 40)).x;
  const { revision } = (await ask(server, `/api/touches/${id}`)).stamp;
  await drag(grip, { x: grip.x + ten, y: grip.y });
  await page.mouse.up();
  await until('the step ends later', async () => short(await touch())[0] === 'right feet step back 20-50');
  assert.equal((await ask(server, `/api/touches/${id}`)).stamp.revision, revision + 1);
  await shows(page, 50);

  const moment = await page.getByRole('button', { name: /^moment The disengage/ }).boundingBox();
  await drag({ x: moment.x + 12, y: moment.y + 6 }, { x: moment.x + 12 + 2 * ten, y: moment.y + 6 });
  await page.keyboard.press('Escape');
  await page.mouse.up();
  await saved(page);
  assert.deepEqual((await touch()).moments, first.moments);
  await deskReady(page);
  await accessible(page, 'the desk with a stave');
  await picture(page, 'stave-by-mouse');
  page.sound();
  await page.context().close();
});

test('by finger: a stretch is drawn on a phone in the dark', async () => {
  const page = await desk({ viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true, colorScheme: 'dark' });
  await page.locator('.desk-stave').scrollIntoViewIfNeeded();
  const box = await page.getByRole('button', { name: 'Write on: Left, hand' }).boundingBox();
  const at = (share) => [{ x: box.x + box.width * share, y: box.y + box.height / 2 }];
  const hand = await page.context().newCDPSession(page);
  await hand.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: at(0.3) });
  for (const share of [0.35, 0.45, 0.6]) await hand.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: at(share) });
  await hand.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
  await page.getByRole('combobox', { name: 'What is done' }).fill('my own words');
  await page.keyboard.press('Enter');
  await until('the action is written', async () => {
    const a = (await touch()).actions[0];
    return a?.word === 'my own words' && a.who === 'left' && a.line === 'hand' && a.to > a.from;
  });
  await picture(page, 'stave-by-finger');
  page.sound();
  await page.context().close();
});

test('the phrase by key alone: two letters of any language, notes, the sentence, what the grammar asks, over to the sheet', async () => {
  const page = await desk();
  const write = async (letters) => {
    await page.keyboard.press('a');
    await page.getByRole('combobox', { name: 'What is done' }).waitFor();
    await page.keyboard.type(letters);
    await page.keyboard.press('Enter'); // quicker than the list: it is waited for
    await until(`${letters} is written`, () => page.evaluate(() => !document.querySelector('.desk-stave input')?.matches(':focus')));
  };
  for (let i = 0; i < 3; i++) await page.keyboard.press('Shift+ArrowRight');
  await shows(page, 30);
  await write('Angr');
  await until('the attack', async () => short(await touch())[0] === 'left blade attack 30-40');
  await page.keyboard.press('Shift+A');
  await until('the notes have the focus', () => page.evaluate(() => document.activeElement.tagName === 'SELECT'));
  await page.keyboard.press('Tab');
  await page.keyboard.type('che');
  await page.keyboard.press('Tab');
  await page.keyboard.type('fe');
  await page.keyboard.press('Enter');
  await saved(page);
  await until('the note', async () => JSON.stringify((await touch()).notes) === '[{"action":"action-1","target":"chest","nature":"feint"}]');
  await page.keyboard.press('Escape');
  await page.getByText('attacks to the chest as a feint.').waitFor();
  for (let i = 0; i < 2; i++) await page.keyboard.press('ArrowRight');
  await write('rimes');
  await page.getByRole('button', { name: /^\d question/ }).waitFor({ state: 'detached' });
  await page.keyboard.press('ArrowRight');
  await write('wiggle');
  await page.getByRole('button', { name: '1 question' }).click();
  await page.getByText('“wiggle” is no word of the trade.').waitFor();
  await accessible(page, 'the phrase in words');
  await picture(page, 'phrase');
  await page.getByRole('button', { name: 'Keep it as yours' }).click();
  await page.getByRole('combobox', { name: 'What it does' }).selectOption('preparation');
  await page.getByRole('button', { name: 'Keep', exact: true }).click();
  await page.getByRole('button', { name: '1 question' }).waitFor({ state: 'detached' });
  await page.getByRole('button', { name: /^wiggle, / }).focus();
  await page.keyboard.press('Delete');
  await page.getByRole('button', { name: /^attack, frames 30 to 40, chest, feint/ }).focus();
  await page.keyboard.press('Delete');
  await until('the note went with its action', async () => !(await touch()).notes && (await touch()).actions.length === 1);
  await page.keyboard.press('Control+z');
  await until('both are back', async () => (await touch()).notes?.length === 1);
  const before = (await ask(server, '/api/bouts/demo-bout')).sheet.bout.sheet[7];
  await page.getByRole('button', { name: 'Take over to the sheet' }).waitFor({ state: 'detached' }); // a feint and attack: the sheet has it
  await page.getByRole('button', { name: /^attack, frames/ }).focus();
  await page.keyboard.press('Shift+A');
  for (let i = 0; i < 2; i++) await page.keyboard.press('Tab');
  await page.keyboard.type('rea');
  await page.keyboard.press('Enter');
  await page.getByRole('button', { name: 'Take over to the sheet' }).click();
  await page.getByText('Taken over to line 8').first().waitFor();
  const line = (await ask(server, '/api/bouts/demo-bout')).sheet.bout.sheet[7];
  assert.equal(before.choices.left, 'compound attack');
  assert.deepEqual(line.choices, { left: 'straight attack', right: before.choices.right });
  page.sound();
  await page.context().close();
});

test('the choices of the sheet by key alone: two letters, Enter, the next cell', async () => {
  const page = await open(browser, `${server.address}/bout/demo-bout`);
  await page.getByRole('button', { name: /^Choices/ }).click();
  await page.getByRole('combobox', { name: 'Line 1, choice of Matthis Orlen' }).and(page.locator(':focus')).waitFor();
  for (const typed of ['di', '', 'co', 'pa', '', 'woosh']) {
    if (typed) await page.keyboard.type(typed);
    await page.keyboard.press('Enter');
    await page.evaluate(() => new Promise((r) => setTimeout(r, 60))); // a hand
  }
  await saved(page);
  await until('two lines are written', async () => {
    const [a, b] = (await ask(server, '/api/bouts/demo-bout')).sheet.bout.sheet;
    return a.choices.left === 'distance' && a.choices.right === 'counter-attack' && b.choices.left === 'parry and riposte' && b.choices.right === 'woosh';
  });
  await page.locator('input.marked').waitFor();
  await accessible(page, 'the choices of the sheet');
  await picture(page, 'choices');
  page.sound();
  await page.context().close();
});
