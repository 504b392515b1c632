// The pages of client show and client list: nothing cut off, no axe-core violation, found by typing, on paper. The salon is invented.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { rmSync } from 'node:fs';
import path from 'node:path';
import { after, before, test } from 'node:test';
import { OUT, assertAccessible, assertFits, openFile, screenshot, settles, startBrowser } from './harness.mjs';

const file = name => path.resolve(OUT, name), SAMPLES = process.env.SAMPLES_DIR;
const weftmatch = (...words) => execFileSync(process.env.WEFTMATCH, words, { cwd: SAMPLES, encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'],
  env: { ...process.env, WEFTMATCH_BOOK: file('pages.book'), WEFTMATCH_SWATCHES: path.join(SAMPLES, 'swatches.csv') } });
const match = (photo, ...words) => { try { weftmatch('match', `${photo}.jpg`, '--zones', `${photo}.zones.json`, ...words); } catch (e) { assert.equal(e.status, 1); } };
let browser;

before(async () => {
  browser = await startBrowser();
  for (const end of ['', '-wal', '-shm']) rmSync(file(`pages.book${end}`), { force: true });
  weftmatch('salon', 'set', 'salon_name=Fern and Linen');
  for (const name of ['Anna Berg', 'Zo\u00eb M\u00fcller', 'Bea Falk', 'Ines Stra\u00dfer']) weftmatch('client', 'add', name);
  weftmatch('client', 'note', 'anna', 'allergic to nickel: silicone-lined beads only, and no heat above the row');
  match('client', '--client', 'anna', '--arc', '29', '--date', '2025-02-03');
  match('photos/later', '--client', 'anna', '--arc', '29', '--date', '2025-12-09');
  match('photos/one-missing', '--client', 'bea', '--date', '2025-06-03');
  weftmatch('visit', 'set', '1', '--installed', 'loam,fog,loam', '--charged', '540', '--note', 'sat well', '--why', 'she wants it cooler', '--lot', 'A1',
    '--after', 'client.jpg', '--zones', 'client.zones.json');
  weftmatch('visit', 'set', '2', '--installed', 'moth,frost,moth', '--kind', 'move-up');
  weftmatch('visit', 'set', '3', '--installed', 'thistle');
  weftmatch('client', 'coming', 'bea', '2025-07-01');
  weftmatch('client', 'show', 'anna', '--html', file('anna.html'), '--force');
  weftmatch('client', 'show', 'zoe', '--html', file('zoe.html'), '--force');
  weftmatch('client', 'list', '--html', file('clients.html'), '--force', '--date', '2025-06-20');
  weftmatch('client', 'show', 'anna', '--html', file('anna-de.html'), '--force', '--language', 'de');
  weftmatch('client', 'list', '--html', file('clients-de.html'), '--force', '--language', 'de');
  weftmatch('compare', '--visits', '1', '2', '--html', file('compare-de.html'), '--force', '--language', 'de');
});
after(() => browser.close());

for (const width of [360, 800, 1400])
  for (const dark of [false, true])
    test(`${width} px, ${dark ? 'dark' : 'light'}: nothing cut off, no axe-core violation`, async () => {
      for (const name of width === 360 && !dark ? ['anna', 'clients', 'zoe'] : ['anna', 'clients']) {
        const { page, done } = await openFile(browser, file(`${name}.html`), { width, height: 900, dark });
        await screenshot(page, `${name}-${width}-${dark ? 'dark' : 'light'}`, { fullPage: true });
        await assertFits(page, name);
        await assertAccessible(page, name);
        await done();
      }
    });

test('a client is found as her name, note or shade is typed, with the keyboard alone', async () => {
  const { page, done } = await openFile(browser, file('clients.html'));
  const shown = () => page.$$eval('.gallery > li:not([hidden]) h2', titles => titles.map(title => title.textContent));
  assert.deepEqual(await shown(), ['Anna Berg', 'Bea Falk', 'Ines Stra\u00dfer', 'Zo\u00eb M\u00fcller']);
  await page.keyboard.press('/');
  for (const [typed, names] of [['zoe mul', ['Zo\u00eb M\u00fcller']], ['M\u00dcLLER', ['Zo\u00eb M\u00fcller']], ['mueller', ['Zo\u00eb M\u00fcller']],
    ['strasser', ['Ines Stra\u00dfer']], ['nickel', ['Anna Berg']], ['thistle', ['Bea Falk']], ['falk bea', ['Bea Falk']], ['nobody', []]]) {
    await page.keyboard.press('Control+A');
    await page.keyboard.type(typed);
    await settles(shown, names, typed);
    await settles(() => page.getByRole('status').textContent(), `${names.length} of 4`);
  }
  await page.keyboard.press('Escape');
  await settles(async () => (await shown()).length, 4);
  await page.getByLabel('In order of').selectOption('next visit');
  await settles(shown, ['Bea Falk', 'Anna Berg', 'Ines Stra\u00dfer', 'Zo\u00eb M\u00fcller']);
  await page.getByLabel('In order of').selectOption('last visit');
  await settles(async () => (await shown()).slice(0, 2), ['Anna Berg', 'Bea Falk']);
  await done();
});

test('in German they fit and are found by typing too', async () => {
  for (const name of ['clients-de', 'anna-de', 'compare-de']) {
    const { page, done } = await openFile(browser, file(`${name}.html`), { width: 360, height: 900 });
    assert.equal(await page.locator('html').getAttribute('lang'), 'de');
    await screenshot(page, `${name}-360`, { fullPage: true });
    await assertFits(page, name);
    await assertAccessible(page, name);
    if (name === 'clients-de') {
      await page.getByLabel('Kundin finden').pressSequentially('falk');
      await settles(() => page.getByRole('status').textContent(), '1 von 4');
    }
    await done();
  }
});

test('the page of a client tells her visits, newest first', async () => {
  const { page, done } = await openFile(browser, file('anna.html'));
  assert.deepEqual(await page.$$eval('section h2', titles => titles.map(title => title.textContent)), ['Her gray', '9 December 2025', '3 February 2025']);
  const first = page.locator('#visit-1');
  for (const words of ['sat well', '540.00 EUR', 'Because: she wants it cooler', 'lot A1', 'worn down, crown']) assert.ok((await first.textContent()).includes(words), words);
  assert.deepEqual(await first.locator('img').evaluateAll(images => images.map(image => image.naturalWidth > 100)), [true, true]);
  assert.equal(await page.locator('#gray svg').count(), 1);
  await page.getByRole('link', { name: '2025-02-03' }).click();
  await settles(() => first.evaluate(section => section.getBoundingClientRect().top), top => Math.abs(top) < 400, 'the link leads to the visit');
  await done();
});

test('on paper: no search field, every card and picture whole', async () => {
  for (const [name, most] of [['anna', 4], ['clients', 1]]) {
    const { page, done } = await openFile(browser, file(`${name}.html`), { width: 800 });
    await page.pdf({ path: file(`${name}.pdf`), preferCSSPageSize: true });
    await done();
    const text = execFileSync('pdftotext', ['-layout', file(`${name}.pdf`), '-'], { encoding: 'utf8' });
    assert.ok(text.split('\f').length - 1 <= most, `${name}: ${text.split('\f').length - 1} sheets`);
    assert.doesNotMatch(text, /Find a client|In order of/);
    assert.match(text, /Anna Berg/);
  }
});
