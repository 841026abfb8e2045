// The keyboard alone: the guided first touch from the salle to the race, the focus
// always in sight, and every control within reach of Tab.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { browse, open, picture, serve } from './harness.mjs';
import { ask, demo, deskReady, saved, shows, until } from './hands.mjs';

let server, browser, ids;
before(async () => {
  [server, browser] = await Promise.all([serve(), browse()]);
  ids = (await demo(server)).touches;
});
after(async () => {
  await browser?.close();
  await server?.stop();
});

/** What has the focus, and whether it can be seen: on the screen, with a ring around it. */
function focus(page) {
  return page.evaluate(() => {
    const e = document.activeElement;
    if (!e || e === document.body || e === document.documentElement) return null;
    const ring = (x) => {
      const s = getComputedStyle(x);
      return (s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) > 0) || s.boxShadow !== 'none';
    };
    // A ring may stand on the label of a hidden radio button, or on a part of a drawing.
    const label = e.closest('label');
    const drawn = [...e.querySelectorAll('*')].some((x) => getComputedStyle(x).stroke !== 'none' && e.matches('g:focus-visible'));
    const r = (label && e.matches('input[type=radio]') ? label : e).getBoundingClientRect();
    return {
      name: `${e.tagName.toLowerCase()} ${e.getAttribute('aria-label') ?? e.textContent.trim().slice(0, 40)}`,
      // In the order of a list that is filled below.
      key: e.dataset.reach ?? '',
      seen: e.matches(':focus-visible') && (ring(e) || (label && ring(label)) || drawn),
      there: r.width > 0 && r.height > 0 && r.bottom > 0 && r.right > 0 && r.top < innerHeight && r.left < innerWidth,
    };
  });
}

/** Goes on by Tab until the focus is on what is wanted. */
async function tabTo(page, want) {
  for (let n = 0; n < 150; n++) {
    await page.keyboard.press('Tab');
    const f = await focus(page);
    if (!f) continue;
    assert.ok(f.seen && f.there, `the focus is not seen on ${f.name}`);
    if (want.test(f.name)) return f;
  }
  assert.fail(`no Tab reaches ${want}`);
}

test('the guided touch from the salle to the race, without a mouse', async () => {
  const page = await open(browser, server.address);
  await page.locator('ul.list li').first().waitFor();
  await tabTo(page, /^a .*Orlen/s);
  await page.keyboard.press('Enter');
  await page.waitForURL(/\/bout\//);
  const line = page.locator('li[data-line="line-8"]');
  await line.waitFor();
  for (let n = 0; n < 30 && (await line.getAttribute('aria-current')) !== 'true'; n++) await page.keyboard.press('ArrowDown');
  assert.equal(await line.getAttribute('aria-current'), 'true');
  await page.keyboard.press('t');
  await page.waitForURL(/\/touch\//);
  await deskReady(page);
  const guide = page.locator('aside', { hasText: 'First touch' });
  await guide.locator('.head', { hasText: 'Look at the touch' }).waitFor();
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('ArrowLeft');
  await guide.locator('.head', { hasText: 'Mark the points' }).waitFor();

  // To the placed frame, then the right fencer: each thing by its place in the picture, as the cross reaches it.
  const { touch: model } = await ask(server, `/api/touches/${ids['line-7']}`);
  const trade = await ask(server, '/api/trade');
  await tabTo(page, /^button Show me the frame/);
  await page.keyboard.press('Enter');
  await shows(page, 54);
  await page.keyboard.press('3');
  // Where the right fencer stands on this frame; a model of another touch is moved there by the guards of its left fencer.
  const { touch } = await ask(server, `/api/touches/${ids['line-8']}`);
  const find = (t, frame, who, what) => t.marks.find((m) => m.frame === frame && m.who === who && m.what === what).at;
  const like = Math.min(...model.marks.map((m) => m.frame));
  const off = find(touch, 54, 'left', 'hip').u - find(model, like, 'left', 'hip').u;
  for (const thing of trade.things) {
    if (!(await page.locator('.desk-stage .line [role=status]').textContent()).includes(`right ${thing.word}`)) {
      await page.keyboard.press('x');
      if (thing !== trade.things[0]) assert.fail(`asked for ${await page.locator('.desk-stage .line').textContent()}`);
      await page.keyboard.press('q');
    }
    const at = find(model, like, 'right', thing.name);
    await crossTo(page, { u: at.u + off, v: at.v });
    await page.keyboard.press('Enter');
    await until(`the right ${thing.word}`, async () => (await page.locator(`g.thing.right:not(.open)`).count()) === trade.things.indexOf(thing) + 1);
  }
  await saved(page);
  await guide.locator('.head', { hasText: 'Read the race' }).waitFor();
  await page.locator('.finding .key').filter({ hasText: /arrives first|close to call|in measure/ }).waitFor();
  await tabTo(page, /^button I see/);
  await page.keyboard.press('Enter');
  await tabTo(page, /^button Put the guide away/);
  await picture(page, 'keyboard-guide');
  await page.keyboard.press('Enter');
  await guide.waitFor({ state: 'detached' });
  page.sound();
  await page.context().close();
});

/** Moves the cross to a pixel of the picture by Alt with the arrows, as near as its steps come. */
async function crossTo(page, at) {
  const where = () => page.evaluate(([u, v]) => {
    const c = document.querySelector('canvas[data-view]');
    const [scale, x, y] = c.dataset.view.split(' ').map(Number);
    const cross = document.querySelector('g.cross')?.getAttribute('transform').match(/[-\d.]+/g).map(Number);
    return cross && { dx: (u + 0.5) * scale + x - cross[0], dy: (v + 0.5) * scale + y - cross[1] };
  }, [at.u, at.v]);
  await page.keyboard.press('Alt+ArrowRight');
  for (const [axis, less, more] of [['dx', 'ArrowLeft', 'ArrowRight'], ['dy', 'ArrowUp', 'ArrowDown']]) {
    let d = (await where())[axis];
    for (const [step, chord] of [[40, 'Alt+Shift+'], [4, 'Alt+']]) {
      for (let n = Math.round(Math.abs(d) / step); n > 0; n--) await page.keyboard.press(chord + (d < 0 ? less : more));
      d = (await where())[axis];
    }
  }
  const { dx, dy } = await where();
  assert.ok(Math.abs(dx) <= 2.01 && Math.abs(dy) <= 2.01, `the cross stands ${dx}, ${dy} away`);
}

/** Goes round a page by Tab: the focus is always seen, and every control is met. */
async function round(page, where) {
  await page.evaluate(() => {
    document.activeElement?.blur?.();
    let n = 0;
    for (const e of document.querySelectorAll('button, a[href], input, select, textarea, summary, [tabindex]')) {
      delete e.dataset.reach;
      const closed = e.closest('details:not([open])');
      if (e.disabled || e.tabIndex < 0 || (closed && !e.matches('summary')) || !e.checkVisibility({ visibilityProperty: true }) || e.closest('[inert]')) continue;
      // Of a group of radio buttons one has the focus, the arrows do the rest.
      if (e.matches('input[type=radio]:not(:checked)')) continue;
      if (e.getClientRects().length === 0) continue;
      e.dataset.reach = String(n++);
    }
  });
  const met = new Set();
  let away = 0;
  for (let n = 0; n < 400; n++) {
    await page.keyboard.press('Tab');
    const f = await focus(page);
    if (!f) {
      if (met.size > 0 && ++away > 1) break;
      continue;
    }
    assert.ok(f.seen, `${where}: no ring on ${f.name}`);
    assert.ok(f.there, `${where}: ${f.name} has the focus out of sight`);
    if (f.key !== '' && met.has(f.key) && met.size > 3 && f.key === [...met][0]) break;
    met.add(f.key);
  }
  const missed = await page.evaluate((met) => [...document.querySelectorAll('[data-reach]')].filter((e) => !met.includes(e.dataset.reach) && e.isConnected)
    .map((e) => `${e.tagName.toLowerCase()} ${e.getAttribute('aria-label') ?? e.textContent.trim().slice(0, 40)}`), [...met]);
  assert.deepEqual(missed, [], `${where}: Tab does not reach`);
  assert.ok(met.size > 5, `${where}: only ${met.size} controls`);
}

test('every control is within reach of Tab, and the focus is seen on each', async () => {
  const page = await open(browser, server.address);
  await page.locator('ul.list li').first().waitFor();
  await round(page, 'the salle');
  await page.goto(`${server.address}/bout/demo-bout`);
  await page.locator('.lines ol > li').first().waitFor();
  await round(page, 'the bout sheet');
  await page.goto(`${server.address}/touch/${ids['line-6']}`);
  await deskReady(page);
  for (const tool of ['1', '2', '3']) {
    await page.keyboard.press(tool);
    await round(page, `the desk with tool ${tool}`);
  }
  await page.goto(`${server.address}/touch/${ids['line-6']}/breakdown`);
  await page.locator('h1').waitFor();
  await page.locator('p.finding').waitFor();
  await round(page, 'the breakdown');
  page.sound();
  await page.context().close();
});

test('the question mark shows the keys, Escape puts them away, and the focus comes back', async () => {
  const page = await open(browser, server.address);
  for (const [path, ready] of [['/bout/demo-bout', '.lines ol > li'], [`/touch/${ids['line-6']}`, 'canvas[data-frame]']]) {
    await page.goto(server.address + path);
    await page.locator(ready).first().waitFor();
    await page.keyboard.press('Tab');
    const before = await focus(page);
    await page.keyboard.press('?');
    const sheet = page.getByRole('dialog', { name: 'Keys' });
    await sheet.waitFor();
    assert.ok((await sheet.locator('dt').count()) > 12);
    assert.ok(await sheet.evaluate((d) => d.contains(document.activeElement)), 'the focus is in the sheet');
    await page.keyboard.press('Escape');
    await sheet.waitFor({ state: 'detached' });
    assert.equal((await focus(page))?.name, before.name);
  }
  page.sound();
  await page.context().close();
});
