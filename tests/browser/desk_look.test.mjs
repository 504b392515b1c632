// The desk: every screen at three widths, light and dark: nothing cut off, no axe-core violation; both languages complete. Screenshots are
// left beside.
import assert from 'node:assert/strict';
import { cpSync, mkdtempSync, readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { after, before, test } from 'node:test';
import { pathToFileURL } from 'node:url';
import { TEST_MS, assertAccessible, assertFits, screenshot, settles, startBrowser } from './harness.mjs';
import { Desk, PROGRAM, sample } from './desk.mjs';

let browser, desk;
const options = { skip: !PROGRAM && 'WEFTMATCH names no program', timeout: TEST_MS };

before(async () => {
  browser = await startBrowser();
  if (!PROGRAM) return;
  const today = new Date().toLocaleDateString('sv'), at = day => ['--date', day], given = name => [`${name}.jpg`, '--zones', `${name}.zones.json`];
  desk = await Desk.start({ catalogue: true, before: [
    ['salon', 'set', 'salon_name=Fern and Linen', 'row_fee=180', 'tax_percent=19'], ['client', 'add', 'Anna Berg', '--note', 'prefers mornings'], ['client', 'add', 'Zoë Lindqvist'],
    ['match', ...given('client'), '--client', 'Anna Berg', '--arc', '29', '--natural-length', '35', ...at('2026-01-20')],
    ['match', ...given('photos/later'), '--client', 'Anna Berg', '--arc', '29', '--natural-length', '35', ...at('2026-08-02')],
    ['match', ...given('photos/target'), '--client', 'Zoë Lindqvist', '--arc', '26', ...at(today)], ['visit', 'set', '1', '--installed', 'moth,frost,moth', '--charged', '540', '--note', 'sat well']] });
  // No fog is left, so that there is something to order.
  const file = path.join(desk.folder, 'swatches.csv');
  writeFileSync(file, readFileSync(file, 'utf8').replace(/^(fog,.*,yes,)\d+/m, (line, head) => `${head}0`));
});
after(async () => {
  await browser.close();
  await desk?.end();
  Desk.endAll();
});

const GERMAN = { mid: 'Längen', root: 'Ansatz', gray: 'Grau', ends: 'Spitzen', swatch: 'Muster', card: 'Karte' };

async function walk(d, look) {
  const german = await d.$('html').getAttribute('lang') === 'de';
  await look('today');
  await d.give(sample('client.jpg'));
  await d.stage({ width: 1600, height: 1200 });
  await look('consultation-empty');
  await d.mark(sample('client.zones.json'), { titles: german ? GERMAN : undefined });
  await d.page.locator('.wishes input[inputmode=decimal]').first().fill('29');
  await d.answer({ whole: true });
  await look('consultation');
  for (const [hash, name, ready] of [['#/client/1', 'client', '.visit-body .verdict'], ['#/catalogue', 'catalogue', '.cells'], ['#/orders', 'orders', '.supplier'], ['#/salon', 'salon', 'form']]) {
    await d.go(hash);
    await d.page.locator(`#screen ${ready}`).first().waitFor();
    await look(name);
  }
  await d.go('#/client/1');
  await d.$('.visit-body input[type=file]').first().setInputFiles(sample('photos/later.jpg'));
  await d.stage({ width: 1000, height: 750 });
  await d.mark(sample('photos/later.zones.json'), { titles: german ? GERMAN : undefined, skip: ['moth'] });
  await d.$('.answer .verdict').waitFor();
  await d.answer({ whole: true });
  await look('after');
  await d.press(german ? 'Beim Besuch behalten' : 'Keep it with the visit');
  await d.$('.told .good').waitFor();
  await d.go('#/client/1');
  await d.page.locator('.visit-body .holds').first().waitFor();
  await look('client-after');
  await d.$('details:has(> summary:text-is("' + (german ? 'Diesen Besuch berichtigen' : 'Correct this visit') + '")) input[type=file]').first().setInputFiles(sample('photos/later.jpg'));
  await d.stage({ width: 1000, height: 750 });
  await d.answer({ whole: true });
  await look('measured-anew');
  await d.go('#/catalogue');
  await d.page.locator('.cells').waitFor();
  await d.give(sample('photos/sheet.jpg'));
  await d.stage({ width: 1000, height: 750 });
  await d.click('.panel details.part summary');
  await d.page.locator('.panel textarea').fill('ink peat umber loam\nbark teak acorn moth\nhull oat fog frost');
  await d.box([150, 179, 450, 400]);
  await d.page.waitForFunction(() => document.querySelectorAll('#zone-list > li').length === 12);
  await look('measure');
}

for (const [width, height] of [[360, 740], [800, 1000], [1400, 900]])
  test(`nothing cut off, no axe-core violation, at ${width} px, light and dark`, options, async () => {
    const d = await desk.open(browser, { width, height });
    await walk(d, async state => {
      await d.page.evaluate(() => Promise.all([...document.images].map(image => image.decode().catch(() => {}))));
      for (const colorScheme of ['light', 'dark']) {
        await d.page.emulateMedia({ colorScheme });
        await screenshot(d.page, `desk-${width}-${colorScheme}-${state}`, { fullPage: width < 1000 || !state.startsWith('consultation') });
        await assertAccessible(d.page, `${state} at ${width}, ${colorScheme}`);
      }
      await assertFits(d.page, `${state} at ${width}`);
    });
    await d.done();
  });

test('a new salon is led, in German too, where it fits as well', options, async () => {
  const fresh = await Desk.start(), d = await fresh.open(browser, { width: 360, height: 740, language: 'de-DE' });
  assert.equal(await d.page.locator('html').getAttribute('lang'), 'de');
  await d.page.getByText('Drei Schritte zum ersten Ergebnis').waitFor();
  for (const hash of ['#/', '#/catalogue', '#/orders', '#/salon']) {
    await d.go(hash);
    await screenshot(d.page, `desk-new-de-${hash.slice(2) || 'today'}`, { fullPage: true });
    await assertFits(d.page, hash);
    await assertAccessible(d.page, hash);
  }
  await d.page.getByLabel('Diese Seite spricht').selectOption('en');
  await d.page.getByRole('heading', { name: 'Settings' }).waitFor();
  await d.done();
  await fresh.end();
});

test('in German no English sentence is left', options, async () => {
  const d = await desk.open(browser, { language: 'de-DE' });
  // Words that no German text has; names, codes and notes of this salon are none of them.
  const english = /(?<!\p{L})(the|and|of|is|are|with|her|not|to|for|from|this|that|be|by|no|your|or|at)(?!\p{L})/iu, left = new Set();
  await walk(d, async () => {
    await d.page.evaluate(() => document.querySelectorAll('details').forEach(each => { each.open = true; }));
    for (const line of (await d.$('body').innerText()).split('\n')) if (english.test(line.replace('Fern and Linen', ''))) left.add(line);
  });
  assert.deepEqual([...left], []);
  await d.done();
});

test('every warning has its German words, on the page and on the sheet', async () => {
  const text = readFileSync(new URL('../../lib/measure/warnings.c', import.meta.url), 'utf8');
  const said = [...text.slice(text.indexOf('WARNINGS['), text.indexOf('wm_warning_of')).matchAll(/"((?:[^"\\]|\\.)*)"/g)].map(m => m[1]).filter(each => each.includes(' '));
  const known = new Set((await sentences('de')).map(([english]) => english)), unknown = each => !known.has(each);
  assert.ok(said.length > 100);
  assert.deepEqual(said.filter(each => unknown(each) && each.split('; ').some(unknown)), []);
  const codes = [...readFileSync(new URL('../../lib/measure/warnings.c', import.meta.url), 'utf8').matchAll(/= \{ "(\w+)"/g)].map(m => m[1]), de = await table('de');
  assert.ok(codes.length > 25);
  assert.deepEqual(codes.filter(code => !(`warn.${code}` in de)), []);
});

test('by keyboard alone: from the address to the mid-length zone', options, async () => {
  const d = await desk.open(browser);
  await d.give(sample('client.jpg')); // the browser's own window of files is out of reach here
  await d.stage({ width: 1600, height: 1200 });
  await d.page.locator('#stage').focus();
  for (const key of ['1', 'Enter', ...Array(6).fill('ArrowRight'), ...Array(6).fill('ArrowDown'), 'Enter']) await d.page.keyboard.press(key);
  await settles(() => d.$('#zone-list > li').count(), 1);
  assert.match(await d.answer(), /How far this photo can be trusted/);
  await d.done();
});

// ---- words ----

const page = name => readFileSync(new URL(`../../cli/${name}`, import.meta.url), 'utf8');
const language = name => import(`data:text/javascript,${encodeURIComponent(page(`page/${name}.js`))}`);
const table = async name => (await language(name))[name.toUpperCase()];
const sentences = async name => (await language(name))[`${name.toUpperCase()}_SENTENCES`];
const sources = () => ['page', 'desk/page'].flatMap(folder => readdirSync(new URL(`../../cli/${folder}`, import.meta.url)).filter(f => /\.(js|html)$/.test(f) && !/^(en|de)\.js$/.test(f)).map(f => page(`${folder}/${f}`)));

test('German has every English word, and both fill in the same things', async () => {
  const [en, de] = await Promise.all([table('en'), table('de')]), forms = text => (typeof text === 'string' ? [text] : Object.values(text));
  const names = text => [...new Set(forms(text).flatMap(form => form.match(/\{\w+\}/g) ?? []))].sort();
  assert.deepEqual(Object.keys(en).filter(key => !(key in de)), []);
  for (const key of Object.keys(en)) assert.deepEqual(names(de[key]), names(en[key]), key);
});

/** Modules of the pages, which Node.js takes for modules only where a package says so. */
function pageModules(...names) {
  const folder = mkdtempSync(path.join(tmpdir(), 'weftmatch-pages-'));
  writeFileSync(path.join(folder, 'package.json'), '{"type":"module"}');
  for (const part of ['page', 'desk/page']) cpSync(new URL(`../../cli/${part}`, import.meta.url), path.join(folder, part), { recursive: true });
  return names.map(name => import(pathToFileURL(path.join(folder, name))));
}

test('a shade that is called like a word of the language keeps its name', async () => {
  const [{ keepNames, spokenFor }, { speak }] = await Promise.all(pageModules('desk/page/say.js', 'page/words.js'));
  speak('de', await table('de'), await sentences('de'));
  assert.equal(spokenFor('softer would do as well.'), 'blasser täte es auch.', 'a word');
  keepNames([{ code: 'softer', name: 'warmer' }]);
  assert.equal(spokenFor('softer would do as well.'), 'softer täte es auch.', 'a code');
  assert.equal(spokenFor('Farther from her hair than warmer.'), 'Ihrem Haar ferner als warmer.', 'a name');
});

test('every word that the pages ask for is in the table, and no other; markup says what the table says', async () => {
  const en = await table('en'), text = sources().join('\n');
  const asked = new Set([...text.matchAll(/(?<![\w.])t\((?:[^()'`]*\? )?'([\w. -]+)'(?: : '([\w. -]+)')?/g)].flatMap(m => [m[1], m[2]]).filter(Boolean));
  for (const m of text.matchAll(/data-t(?:-label)?="([\w.]+)"/g)) asked.add(m[1]);
  for (const m of text.matchAll(/'((?:say|step|where|warn|takes|sew|file|mark|kind|form|hold)\.[\w. ]+)'/g)) asked.add(m[1]);
  assert.deepEqual([...asked].filter(key => !(key in en)), []);
  for (const m of text.matchAll(/data-t="([\w.]+)">([^<{]+)</g)) assert.equal(m[2], en[m[1]], m[1]);
  const families = /^(kind|mode|place|claim|verdict|perhaps|gray|wish|warn|tone|column|setting|units|measure|where|orders|file\.want|answer|hold|noticed|after\.(down|up)|kind_of_visit|paper|card|sew|today|nav)\b|^(consult|after)\.start_/; // asked for by a name that is put together
  assert.deepEqual(Object.keys(en).filter(key => !asked.has(key) && !families.test(key)), []);
});
