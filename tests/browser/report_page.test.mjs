// The report page: nothing cut off or overlapping on a phone, a tablet, a desk and paper; light and dark; axe-core; escaping.
import assert from 'node:assert/strict';
import path from 'node:path';
import { after, before, test } from 'node:test';
import { OUT, assertAccessible, assertFits, openFile, run, screenshot, startBrowser } from './harness.mjs';

const KINDS = ['full', 'small', 'rough', 'measured', 'hostile'];
const pages = {};
let browser;
before(async () => {
  browser = await startBrowser();
  for (const kind of KINDS) {
    pages[kind] = path.resolve(OUT, `report-${kind}.html`);
    run(process.env.MAKE_REPORT, [pages[kind], kind]);
  }
});
after(() => browser.close());

for (const width of [360, 800, 1400])
  for (const dark of [false, true])
    for (const kind of KINDS)
      test(`${kind} at ${width} px, ${dark ? 'dark' : 'light'}`, async () => {
        const { page, done } = await openFile(browser, pages[kind], { width, height: 1000, dark });
        await screenshot(page, `report-${kind}-${width}-${dark ? 'dark' : 'light'}`, { fullPage: true });
        await assertFits(page, kind);
        await assertAccessible(page, kind);
        await done();
      });
