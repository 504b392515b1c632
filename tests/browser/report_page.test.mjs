// The report page: nothing cut off or overlapping on a phone, a tablet, a desk and paper; light and dark; axe-core; hostile texts.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import path from 'node:path';
import { after, before, test } from 'node:test';
import { OUT, assertAccessible, assertFits, openFile, run, screenshot, startBrowser } from './harness.mjs';

const KINDS = ['full', 'small', 'rough', 'measured', 'hostile'];
/** Papers besides the stylist's sheets in English: [kind, paper, language]. */
const MORE = { german: ['full', 'sheet', 'de'], client: ['full', 'client', 'en'], 'client-german': ['full', 'client', 'de'], 'client-rough': ['rough', 'client', 'en'] };
const pages = {};
let browser;
before(async () => {
  browser = await startBrowser();
  for (const kind of KINDS) {
    pages[kind] = path.resolve(OUT, `report-${kind}.html`);
    run(process.env.MAKE_REPORT, [pages[kind], kind]);
  }
  for (const [name, [kind, ...more]] of Object.entries(MORE)) {
    pages[name] = path.resolve(OUT, `report-${name}.html`);
    run(process.env.MAKE_REPORT, [pages[name], kind, ...more]);
  }
});
after(() => browser.close());

/** No two pieces of text lie over each other, drawn ones included. */
async function assertApart(page, what) {
  const found = await page.evaluate(() => {
    const boxes = [], clashes = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      if (!node.data.trim() || node.parentElement.closest('title, style') || !node.parentElement.checkVisibility()) continue;
      const range = document.createRange();
      range.selectNodeContents(node);
      for (const r of range.getClientRects()) if (r.width > 1 && r.height > 1) boxes.push({ r, text: node.data.trim().slice(0, 30), node });
    }
    for (let i = 0; i < boxes.length; i++)
      for (let k = i + 1; k < boxes.length; k++) {
        const a = boxes[i].r, b = boxes[k].r;
        const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left), high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        if (wide > 1 && high > 0.35 * Math.min(a.height, b.height) && boxes[i].node !== boxes[k].node) clashes.push(`${boxes[i].text} | ${boxes[k].text}`);
      }
    return clashes;
  });
  assert.deepEqual(found, [], `overlapping text on ${what}`);
}

/** Opens what the page keeps behind a fold. */
const unfold = page => page.evaluate(() => { for (const fold of document.querySelectorAll('details')) fold.open = true; });

/** Drawn text stays inside its drawing. */
async function assertDrawn(page, what) {
  const found = await page.evaluate(() => [...document.querySelectorAll('svg text')].filter(text => {
    const a = text.getBoundingClientRect(), b = text.ownerSVGElement.getBoundingClientRect();
    return a.width > 0 && (a.left < b.left - 0.5 || a.right > b.right + 0.5 || a.top < b.top - 0.5 || a.bottom > b.bottom + 0.5);
  }).map(text => text.textContent));
  assert.deepEqual(found, [], `text beyond its drawing on ${what}`);
}

for (const width of [360, 800, 1400])
  for (const dark of [false, true])
    test(`${width} px, ${dark ? 'dark' : 'light'}: nothing cut off or overlapping, no axe-core violation`, async () => {
      const extremes = (width === 360 && !dark) || (width === 1400 && dark);
      for (const kind of extremes ? [...KINDS, ...Object.keys(MORE)] : ['full', 'rough']) {
        const { page, done } = await openFile(browser, pages[kind], { width, height: 1000, dark });
        await screenshot(page, `report-${kind}-${width}-${dark ? 'dark' : 'light'}`, { fullPage: true });
        for (const folded of [true, false]) {
          if (!folded) await unfold(page);
          await assertFits(page, kind);
          await assertApart(page, kind);
          await assertDrawn(page, kind);
          await assertAccessible(page, kind);
        }
        await done();
      }
    });

test('doubled text on a phone still fits', async () => {
  for (const kind of ['full', 'rough']) {
    const { page, done } = await openFile(browser, pages[kind], { width: 640, height: 1000 });
    await page.evaluate(() => { document.documentElement.style.setProperty('font-size', '200%'); });
    await unfold(page);
    await assertFits(page, kind);
    await assertApart(page, kind);
    await done();
  }
});

/** Words of a PDF with their boxes, page by page, by poppler. */
function wordsOf(file) {
  const html = execFileSync('pdftotext', ['-bbox', file, '-'], { encoding: 'utf8', maxBuffer: 64 << 20 });
  return html.split('<page ').slice(1).map(part => ({
    width: Number(/width="([\d.]+)"/.exec(part)[1]), height: Number(/height="([\d.]+)"/.exec(part)[1]),
    words: [...part.matchAll(/<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)<\/word>/g)]
      .map(([, left, top, right, bottom, text]) => ({ left: +left, top: +top, right: +right, bottom: +bottom, text }))
  }));
}

const textOf = sheet => sheet.words.map(word => word.text).join(' ');

const PAPERS = { A4: [596, 842], Letter: [612, 792] };

/** Every word within the margins, none over another; no sheet is left half empty but the last and the one before the plan, which has its own. */
function assertPrinted(sheets, [width, height]) {
  const MARGIN = 14 / 25.4 * 72 - 1;
  for (const [number, sheet] of sheets.entries()) {
    assert.ok(Math.abs(sheet.width - width) < 1 && Math.abs(sheet.height - height) < 1, `${sheet.width} x ${sheet.height}`);
    for (const word of sheet.words)
      assert.ok(word.left >= MARGIN && word.right <= sheet.width - MARGIN && word.top >= MARGIN - 6 && word.bottom <= sheet.height - MARGIN + 6,
        `'${word.text}' on sheet ${number + 1} lies at ${JSON.stringify(word)}`);
    for (let i = 0; i < sheet.words.length; i++)
      for (let k = i + 1; k < sheet.words.length; k++) {
        const a = sheet.words[i], b = sheet.words[k];
        const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left), high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
        const same = a.text === b.text && Math.abs(a.left - b.left) < 1; // a word with an outline is written twice
        assert.ok(same || wide < 1 || high < 0.5 * Math.min(a.bottom - a.top, b.bottom - b.top), `'${a.text}' and '${b.text}' overlap on sheet ${number + 1}`);
      }
    const lowest = Math.max(...sheet.words.map(word => word.bottom)), next = sheets[number + 1];
    if (next && !/^(Plan|Work list|Arbeitsliste)/.test(textOf(next))) assert.ok(lowest > 0.6 * sheet.height, `sheet ${number + 1} ends at ${Math.round(100 * lowest / sheet.height)} % of its height`);
  }
}

async function printed(kind, format) {
  const { page, done } = await openFile(browser, pages[kind], { width: 800, height: 1000, dark: true });
  const file = path.resolve(OUT, `report-${kind}-${format}.pdf`);
  await page.pdf({ path: file, format, preferCSSPageSize: true });
  await done();
  return wordsOf(file);
}

for (const [format, size] of Object.entries(PAPERS)) {
  for (const kind of [...KINDS, 'german'])
    test(`${kind} on ${format}: every word within the margins, none over another, no sheet half empty`, async () => {
      const sheets = await printed(kind, format);
      assertPrinted(sheets, size);
      assert.ok(sheets[0].words.length > 60, 'the first sheet is not left empty');
      if (kind !== 'full') return;
      assert.ok(sheets.length <= 7, `${sheets.length} sheets`);
      const plan = sheets.filter(sheet => /Work list/.test(textOf(sheet)));
      assert.equal(plan.length, 1);
      for (const words of ['Plan', 'Anna Berg', 'Feel the shape', 'Now judge the blend']) assert.match(textOf(plan[0]), new RegExp(words));
      const next = textOf(sheets[sheets.indexOf(plan[0]) + 1]); // the money goes to a sheet that she may keep back
      for (const words of ['Quote', '887.15 EUR', 'Move-ups']) assert.match(next, new RegExp(words));
      assert.doesNotMatch(textOf(plan[0]), /Nearest shades|Take care/, 'the plan has its sheet to itself');
    });
  for (const kind of ['client', 'client-german', 'client-rough'])
    test(`the client's page (${kind}) is one sheet of ${format}`, async () => {
      const sheets = await printed(kind, format);
      assertPrinted(sheets, size);
      assert.equal(sheets.length, 1);
    });
}

test('steps of the work list can be ticked by keyboard, without a script', async () => {
  const { page, done } = await openFile(browser, pages.full, { width: 800, height: 1000 });
  const box = page.getByRole('checkbox', { name: 'Draw clean partings' });
  await box.focus();
  await page.keyboard.press('Space');
  assert.equal(await box.isChecked(), true);
  assert.equal(await page.locator('script').count(), 0);
  await done();
});

test('the page keeps to its policy: a style or script put in later does nothing', async () => {
  const { page, context } = await openFile(browser, pages.full, { width: 800, height: 1000 });
  const done = await page.evaluate(() => {
    const style = document.createElement('style'), script = document.createElement('script');
    style.textContent = 'h1 { display: none }';
    script.textContent = 'window.ran = true';
    document.head.append(style, script);
    return { ran: window.ran === true, hidden: getComputedStyle(document.querySelector('h1')).display === 'none' };
  });
  assert.deepEqual(done, { ran: false, hidden: false });
  await context.close();
});
