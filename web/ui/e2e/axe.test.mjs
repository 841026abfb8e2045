// Every page in both lights, from the phone to the large screen: axe finds nothing
// serious, nothing is wider than the screen, no page reports an error. The pictures
// are kept in out/desk to be looked at.

import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { accessible, browse, open, picture, serve } from './harness.mjs';
import { demo, deskReady } from './hands.mjs';

const sizes = { phone: { width: 390, height: 844 }, desk: { width: 1280, height: 800 }, large: { width: 2560, height: 1440 } };
let server, empty, browser, ids;
before(async () => {
  [server, empty, browser] = await Promise.all([serve(), serve(), browse()]);
  ids = (await demo(server)).touches;
});
after(async () => {
  await browser?.close();
  await Promise.all([server?.stop(), empty?.stop()]);
});

/** Every picture on the page is there. */
const drawn = (page) => page.waitForFunction(() => [...document.images].every((i) => i.complete || i.loading === 'lazy'));

const pages = {
  'salle-empty': async (page) => {
    await page.goto(empty.address);
    await page.getByRole('heading', { name: 'No bout yet' }).waitFor();
  },
  salle: async (page) => {
    await page.goto(server.address);
    await page.locator('ul.list li').first().waitFor();
    await drawn(page);
  },
  'salle-remove': async (page) => {
    await page.goto(server.address);
    await page.getByRole('button', { name: /^Remove: / }).first().click();
    await page.getByRole('dialog').waitFor();
  },
  sheet: bout,
  'sheet-line': async (page) => {
    await bout(page);
    await page.getByRole('button', { name: 'Correct line 8' }).click();
    await page.getByRole('dialog').waitFor();
  },
  'sheet-fencers': async (page) => {
    await bout(page);
    await page.getByRole('button', { name: 'Bout and fencers' }).click();
    await page.getByRole('dialog').waitFor();
  },
  'desk-look': (page) => desk(page, 'line-9', '1'),
  'desk-place': (page) => desk(page, 'line-9', '2'),
  'desk-mark': (page) => desk(page, 'line-9', '3'),
  'desk-first': (page) => desk(page, 'line-8'),
  'desk-moment': async (page) => {
    await desk(page, 'line-9', '1');
    await page.keyboard.press('m');
    await page.getByRole('combobox', { name: 'What happens' }).waitFor();
  },
  'desk-keys': async (page) => {
    await desk(page, 'line-9', '1');
    await page.keyboard.press('?');
    await page.getByRole('dialog', { name: 'Keys' }).waitFor();
  },
  breakdown: async (page) => {
    await page.goto(`${server.address}/touch/${ids['line-9']}/breakdown`);
    await page.locator('p.finding').waitFor();
    await drawn(page);
  },
  'breakdown-unread': async (page) => {
    await page.goto(`${server.address}/touch/${ids['line-8']}/breakdown`);
    await page.getByText('This touch cannot be read yet').waitFor();
  },
  lost: async (page) => {
    await page.goto(`${server.address}/touch/no-such-touch`);
    await page.getByRole('alert').waitFor();
  },
  // The browser remembers what stands beside the picture, so these come last.
  'desk-timing': async (page) => {
    await desk(page, 'line-6', '4');
    await page.locator('.timing [data-part="map"] [aria-busy="false"] .picture svg').waitFor();
    await page.locator('.timing details').first().locator('summary').click();
    await page.getByRole('slider', { name: 'Both closer by' }).focus();
    await page.keyboard.press('ArrowRight');
    await page.locator('.timing [data-part="what_if"] [aria-busy="false"] .picture svg').waitFor();
  },
  'desk-timing-own': async (page) => {
    await page.getByRole('button', { name: 'Set own numbers' }).click();
    await page.getByRole('dialog', { name: 'Own numbers of both fencers' }).getByRole('textbox').first().waitFor();
  },
};

async function bout(page) {
  await page.goto(`${server.address}/bout/demo-bout`);
  await page.locator('.lines ol > li').first().waitFor();
}
async function desk(page, line, tool) {
  await page.goto(`${server.address}/touch/${ids[line]}`);
  await deskReady(page);
  if (tool) await page.keyboard.press(tool);
}

test('every page is accessible and fits, by day and by night', async () => {
  const page = await open(browser, server.address, { colorScheme: 'light', locale: 'en-GB' });
  const wrong = [];
  for (const [name, go] of Object.entries(pages)) {
    for (const [size, viewport] of Object.entries(sizes)) {
      await page.setViewportSize(viewport);
      // The page lays itself out anew; only the phone and the desk have other rules.
      if (size === 'phone') await go(page);
      else await settled(page);
      const look = async (scheme, rules) => {
        await picture(page, `${name}-${size}-${scheme}`);
        await accessible(page, `${name}, ${size}, ${scheme}`, rules).catch((e) => wrong.push(`${name}, ${size}, ${scheme}: ${[e.actual ?? e.message].flat().join('\n  ')}`));
      };
      if (size !== 'large') {
        await look('light');
        // By night nothing but the colours is another.
        await page.emulateMedia({ colorScheme: 'dark' });
        await settled(page);
        await look('dark', ['color-contrast', 'link-in-text-block']);
        await page.emulateMedia({ colorScheme: 'light' });
        await settled(page);
      }
      const over = await page.evaluate(() => document.scrollingElement.scrollWidth - innerWidth);
      if (over > 0) wrong.push(`${name}, ${size}: wider than the screen by ${over} px`);
    }
  }
  assert.deepEqual(wrong, []);
  page.sound();
  await page.context().close();
});

/** The layout of a new size stands, and what is drawn for it has come. */
async function settled(page) {
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
  if (await page.locator('.finding [aria-busy]').count()) await page.locator('.finding [aria-busy="false"]').waitFor();
  await page.waitForFunction(() => !document.querySelector('.picture .old')); // nor on the picture
}
