// The desk: from a photo to a saved visit and its papers, and a salon's first hour, by the page alone.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { after, before, test } from 'node:test';
import { startBrowser } from './harness.mjs';
import { Desk, PROGRAM, sample } from './desk.mjs';

let browser;
before(async () => { browser = await startBrowser(); });
after(async () => { Desk.endAll(); await browser.close(); });

const CLIENT = { width: 1600, height: 1200 };
const options = { skip: !PROGRAM && 'WEFTMATCH names no program' };

test('photo, marks, live answer, client, saved visit, report', options, async () => {
  const desk = await Desk.start({ catalogue: true }), d = await desk.open(browser);
  await d.give(sample('client.jpg'));
  await d.stage(CLIENT);
  assert.match(await d.answer(), /Mark hair in the photo/);
  await d.mark(sample('client.zones.json'));
  await d.fill('Row from ear to ear (cm)', '29');
  assert.match(await d.answer({ whole: true }), /what it is for \(assumed: gray coverage\)/);
  await d.click('.on-her summary');
  const drawn = d.page.locator('.held-up figcaption', { hasText: 'dE00' });
  await drawn.first().waitFor({ timeout: 120000 });
  assert.match((await drawn.allTextContents())[0], /^moth \(dE00 \d\.\d\)/);
  await d.click('.wishes label:has-text("volume")');
  await d.says(/^Was moth.*; now .*€|^That changes neither/);
  const answer = await d.answer({ whole: true });
  assert.doesNotMatch(answer, /what it is for/);
  assert.match(answer, /Good enough for/);
  assert.match(answer, /What to sew[^]*moth/);
  await d.fill('Client', 'Anna Berg');
  await d.press('Save visit');
  await d.says('Saved in Anna Berg’s file.');
  assert.match(await d.$('.odd').innerText(), /The photo was taken on 14 May 2025 and the visit is of/);
  const history = JSON.parse(desk.run('client', 'history', 'Anna Berg', '--json'));
  assert.equal(history.visits.length, 1);
  const [paper] = await Promise.all([d.context.waitForEvent('page'), d.follow('Your report')]);
  await paper.waitForLoadState();
  assert.match(await paper.title(), /Anna Berg/);
  await paper.close();
  const [page] = await Promise.all([d.context.waitForEvent('page'), d.page.getByRole('link', { name: 'Deutsch' }).click()]); // her page, in her language
  await page.getByRole('heading', { name: 'Was eingenäht wird' }).waitFor();
  assert.match((await page.pdf({ format: 'A4' })).toString('latin1', 0, 5), /%PDF/);
  await page.close();
  await d.follow('Open her file');
  await d.page.getByRole('heading', { name: 'Anna Berg' }).waitFor();
  await d.page.getByRole('heading', { name: 'Her hair' }).waitFor();
  await d.click('.record summary');
  await d.fill('Charged (EUR)', '540,50');
  await d.press('Save this');
  await d.page.getByText('Charged €540.50.').waitFor();
  await d.click('.record summary');
  await d.fill('Sewn in, front first', 'moth,frost,moth');
  await d.press('Save this');
  await d.page.getByText('Sewn in: moth / frost / moth.').waitFor();
  await d.tab('Orders');
  await d.press('Look through all visits');
  await d.says(/Nobody would be better served|instead of/);
  await d.tab('Today');
  await d.page.getByRole('link', { name: /Anna Berg/ }).first().waitFor();
  await d.tab('Salon');
  await d.page.getByText('There is no copy beside it yet.').waitFor();
  await d.press('Make a copy now');
  await d.says(/The last copy beside it is of/);
  await d.done();
  assert.equal(await desk.end(), 0);
});

test('a price far from her last is asked about before it is kept; her file goes out of one book and into another', options, async () => {
  const match = (photo, day) => ['match', `${photo}.jpg`, '--zones', `${photo}.zones.json`, '--client', 'Zoë Lindqvist', '--date', day], desk = await Desk.start({ catalogue: true, before: [['client', 'add', 'Zoë Lindqvist'],
    match('photos/target', '2026-01-20'), ['visit', 'set', '1', '--charged', '480'], match('client', '2026-08-02')] });
  const d = await desk.open(browser);
  await d.follow('Zoë Lindqvist');
  await d.click('.record summary');
  await d.fill('Charged (EUR)', '48');
  await d.press('Save this');
  await d.says('What is charged is far from her last price.');
  assert.equal(JSON.parse(desk.run('client', 'history', 'Zoë Lindqvist', '--json')).visits[1].charged_minor ?? null, null, 'nothing is kept yet');
  await d.fill('Charged (EUR)', '480');
  await d.press('Save this');
  await d.page.getByText('Charged €480.00.').waitFor();
  await d.click('.record summary');
  await d.fill('Charged (EUR)', '1500');
  await d.press('Save this');
  await d.press('It is right, save it');
  await d.page.getByText('Charged €1,500.00.').waitFor();
  await d.click('.care summary');
  const [download] = await Promise.all([d.page.waitForEvent('download'), d.follow('Export as a file')]), file = path.join(desk.folder, 'client.json');
  await download.saveAs(file);
  await d.tab('Today');
  await d.$('#client-file').setInputFiles(file);
  await d.says(/is in the book already|there already/); // the same client twice is refused
  const other = await Desk.start(), e = await other.open(browser);
  await e.$('#client-file').setInputFiles(file);
  await e.page.getByRole('heading', { name: 'Zoë Lindqvist' }).waitFor();
  assert.equal(JSON.parse(other.run('client', 'history', 'Zoë Lindqvist', '--json')).visits.length, 2);
  await e.done();
  await other.end();
  d.faults.length = 0; // the browser's own line about the refusal
  await d.done();
  await desk.end();
});

test('a price list with semicolons and decimal commas waits for the colours of its codes', options, async () => {
  const desk = await Desk.start(), d = await desk.open(browser);
  await d.tab('Catalogue');
  await d.$('#catalogue-file').setInputFiles({ name: 'prices.csv', mimeType: 'text/csv', buffer: Buffer.from('code;pack_price;stock\nmoth;148,50;3\noat;138,00;1\n') });
  await d.page.getByText('2 codes have no colour yet (moth, oat)').waitFor();
  await d.give(sample('photos/sheet.jpg'));
  await d.stage({ width: 1000, height: 750 });
  await d.kind('Card');
  await d.box([795, 413, 75, 75]);
  await d.kind('Swatch');
  await d.box([567, 323, 66, 112]);
  await d.code('moth');
  await d.press('Add to the catalogue');
  await d.says('1 shade is in the catalogue.');
  await d.tab('Catalogue');
  await d.page.getByText('1 code has no colour yet (oat)').waitFor();
  assert.equal(await d.page.getByLabel('Pack price of moth').inputValue(), '148.50');
  assert.match(readFileSync(path.join(desk.folder, 'swatches.csv'), 'utf8'), /148\.50/);
  await d.done();
  await desk.end();
});

test('the first hour of a new salon: swatches, fees, first client, by pages alone', options, async t => {
  const desk = await Desk.start(), d = await desk.open(browser), began = performance.now();
  await d.follow('Make the catalogue');
  await d.page.getByText('No shade yet').waitFor();
  await d.give(sample('photos/sheet.jpg'));
  await d.stage({ width: 1000, height: 750 });
  await d.kind('Card');
  await d.box([795, 413, 75, 75]);
  await d.kind('Swatch');
  await d.click('.panel summary:has-text("Swatches laid in rows")');
  await d.fill('Codes, one line for each row', 'ink peat umber loam\nbark teak acorn moth\nhull oat fog frost');
  await d.box([150, 179, 450, 400]); // from the middle of the first to the middle of the last
  await d.page.waitForFunction(() => document.querySelectorAll('#zone-list > li').length === 13);
  await d.press('Add to the catalogue');
  await d.says('12 shades are in the catalogue.');
  await d.tab('Salon');
  await d.fill('Name of the salon', 'Fern and Linen');
  await d.fill('Fee for sewing one row', '180');
  await d.press('Save settings');
  await d.page.getByText('The settings are saved.').waitFor();
  await d.tab('Today');
  await d.give(sample('client.jpg'));
  await d.stage(CLIENT);
  await d.mark(sample('client.zones.json'), { skip: ['thistle'] });
  assert.match(await d.answer(), /What to sew/);
  await d.fill('Client', 'Anna Berg');
  await d.press('Save visit');
  await d.says('Saved in Anna Berg’s file.');
  t.diagnostic(`first hour: ${d.clicks} presses, drags and fields, ${((performance.now() - began) / 1000).toFixed(1)} s of the machine's time`);
  await d.done();
  assert.equal(await desk.end(), 0);
});
