import { browse, open, picture, serve } from './harness.mjs';
import { ask, demo, deskReady } from './hands.mjs';
const [server, browser] = await Promise.all([serve(), browse()]);
try {
  const { touches } = await demo(server);
  console.log(touches);
  const line = process.argv[2] ?? 'line-9';
  for (const scheme of ['light', 'dark']) for (const [size, viewport] of Object.entries({ phone: { width: 390, height: 844 }, desk: { width: 1280, height: 800 }, large: { width: 2560, height: 1440 } })) {
    const page = await open(browser, `${server.address}/touch/${touches[line]}`, { colorScheme: scheme, viewport });
    await deskReady(page);
    await page.getByRole('button', { name: 'Timing', exact: true }).click();
    await page.locator('.timing .finding [aria-busy="false"]').waitFor();
    await page.waitForTimeout(1500);
    await page.evaluate(() => document.querySelectorAll('.timing details').forEach((d) => { d.open = location.search !== '?x'; }));
    // the whole column
    const h = await page.evaluate(() => document.querySelector('.timing').scrollHeight);
    await page.setViewportSize({ width: viewport.width, height: size === 'phone' ? viewport.height : Math.min(9000, h + 300) });
    await page.waitForTimeout(300);
    if (size === 'phone') await page.screenshot({ path: `/tmp/desk/t-${size}-${scheme}.png`, fullPage: true });
    else await page.locator('.bench > .side').screenshot({ path: `/tmp/desk/t-${size}-${scheme}.png` });
    page.sound();
    await page.context().close();
    if (process.argv[3]) break;
  }
} finally { await browser.close(); await server.stop(); }
