// A driver for the desk: starts the program on a folder of its own, opens its page, and does what a stylist does there.
import { execFileSync, spawn } from 'node:child_process';
import assert from 'node:assert/strict';
import { copyFileSync, mkdtempSync, readFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { PATIENCE_MS, newPage, settles } from './harness.mjs';

export const PROGRAM = process.env.WEFTMATCH, RENDER = process.env.WM_RENDER, SAMPLES = process.env.SAMPLES_DIR;
/** The names of the kinds on the page. */
const KINDS = { mid: 'Mid-length', root: 'Root', gray: 'Gray', ends: 'Ends', swatch: 'Swatch', card: 'Card' };

export const sample = name => path.join(SAMPLES, name);

export class Desk {
  static #running = new Set();

  /** After a test that failed half way: nothing is left running. */
  static endAll() { for (const desk of Desk.#running) desk.process.kill('SIGKILL'); }

  /** words: more of the command line. catalogue: the sample one is there already. */
  static async start({ catalogue = false, words = [], before = [], folder = mkdtempSync(path.join(tmpdir(), 'weftmatch-desk-')) } = {}) {
    const desk = new Desk();
    desk.folder = folder;
    desk.env = { ...process.env, HOME: folder, WEFTMATCH_BOOK: path.join(folder, 'salon.book'), WEFTMATCH_SWATCHES: path.join(folder, 'swatches.csv'), SOURCE_DATE_EPOCH: '' };
    if (catalogue) copyFileSync(sample('swatches.csv'), path.join(folder, 'swatches.csv'));
    for (const line of before) desk.run(...line);
    desk.process = spawn(PROGRAM, ['desk', '--no-open', ...words], { env: desk.env, cwd: folder, stdio: ['ignore', 'pipe', 'pipe'] });
    Desk.#running.add(desk);
    desk.process.once('exit', () => Desk.#running.delete(desk));
    desk.said = '';
    desk.process.stderr.on('data', data => { desk.said += data; });
    desk.address = await new Promise((done, fail) => {
      desk.process.stdout.once('data', data => done(String(data).trim()));
      desk.process.once('exit', code => fail(new Error(`the desk ended with ${code}: ${desk.said}`)));
    });
    return desk;
  }

  run(...words) {
    try {
      return execFileSync(PROGRAM, words, { env: this.env, cwd: SAMPLES, encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] });
    } catch (error) {
      assert.equal(error.status, 1, `${words.join(' ')}: ${error.stderr}`);
      return error.stdout;
    }
  }

  /** A page of the desk. `done()` asserts that the console was silent and nothing was asked of anybody else. */
  async open(browser, { width = 1400, height = 900, dark = false, language = 'en-GB', touch = false } = {}) {
    const context = await browser.newContext({ viewport: { width, height }, colorScheme: dark ? 'dark' : 'light', locale: language, hasTouch: touch, acceptDownloads: true });
    const page = await newPage(context), faults = [], own = new URL(this.address).origin;
    page.setDefaultTimeout(PATIENCE_MS);
    page.on('console', message => { if (['error', 'warning'].includes(message.type())) faults.push(`console: ${message.text()}`); });
    page.on('pageerror', error => faults.push(`uncaught: ${error.message}`));
    page.on('request', request => { if (!/^(data|blob):/.test(request.url()) && !request.url().startsWith(`${own}/`)) faults.push(`request: ${request.url()}`); });
    await page.goto(this.address);
    await page.waitForSelector('#screen h1');
    return new DeskPage(page, context, faults);
  }

  async end(signal = 'SIGTERM') {
    const ended = new Promise(done => this.process.once('exit', done));
    this.process.kill(signal);
    const code = await ended;
    assert.doesNotMatch(this.said, /Sanitizer|runtime error/);
    return code;
  }
}

export class DeskPage {
  clicks = 0; // presses, drags, drops and fields filled in: what her hand does

  constructor(page, context, faults) { Object.assign(this, { page, context, faults }); }

  $(selector) { return this.page.locator(selector); }

  async done() {
    await this.context.close();
    assert.deepEqual(this.faults, []);
  }

  /** The browser's own line about a refusal, which a test provoked: it comes, and is no fault. */
  async refused() {
    await settles(() => this.faults.length, n => n > 0, 'the browser tells of a refusal');
    for (const fault of this.faults.splice(0)) assert.match(fault, /^console: Failed to load resource/);
  }

  async click(selector) { this.clicks++; await this.$(selector).first().click(); }
  async press(name) { this.clicks++; await this.page.getByRole('button', { name, exact: true }).first().click(); }
  async follow(name) { this.clicks++; await this.page.getByRole('link', { name }).first().click(); }
  async fill(label, value) { this.clicks++; await this.page.getByLabel(label).first().fill(value); }
  async give(file) { this.clicks++; await this.$('#screen input[type=file][accept*=jpeg]').first().setInputFiles(file); }

  async tab(name) {
    this.clicks++;
    await this.page.locator('nav').getByRole('link', { name }).click();
    await this.page.waitForFunction(text => document.querySelector('#screen h1')?.textContent === text, name);
    await this.ready();
  }

  /** Another screen by its address, once all of it is there. */
  async go(hash) {
    await this.page.evaluate(to => new Promise(done => {
      if (location.hash === to) return done();
      addEventListener('hashchange', done, { once: true });
      location.hash = to;
    }), hash);
    await this.ready();
  }

  /** The screen that was asked for is there. */
  ready() { return this.$('#screen:not([aria-busy])').waitFor(); }

  /** Lets the page draw what is due. */
  settle() { return this.page.evaluate(() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))); }

  // ---- marking ----

  /** The stage once its photo is shown. */
  async stage({ width, height }) {
    await this.page.waitForFunction(() => document.getElementById('opening')?.hidden && document.getElementById('zoom-level').textContent !== '100 %', null, { timeout: PATIENCE_MS });
    this.photo = { width, height };
  }

  async at([x, y]) {
    const box = await this.$('#stage').boundingBox(), { width, height } = this.photo;
    const fit = Math.min(box.width / width, box.height / height);
    return [box.x + (box.width - width * fit) / 2 + x * fit, box.y + (box.height - height * fit) / 2 + y * fit];
  }

  async box([x, y, w, h]) {
    this.clicks++;
    await this.page.mouse.move(...await this.at([x, y]));
    await this.page.mouse.down();
    await this.page.mouse.move(...await this.at([x + w / 2, y + h / 2]));
    await this.page.mouse.move(...await this.at([x + w, y + h]));
    await this.page.mouse.up();
  }

  /** A finger from corner to corner of the box; `held` runs before it is lifted. */
  async touchBox([x, y, w, h], held = async () => {}) {
    this.clicks++;
    this.debug ??= await this.context.newCDPSession(this.page);
    const send = (type, ...points) => this.debug.send('Input.dispatchTouchEvent', { type, touchPoints: points.map(([px, py]) => ({ x: px, y: py, id: 0 })) });
    await send('touchStart', await this.at([x, y]));
    for (const part of [0.3, 0.6, 1]) await send('touchMove', await this.at([x + part * w, y + part * h]));
    await held();
    await send('touchEnd');
  }

  async tap(locator) { this.clicks++; await locator.first().tap(); }

  async kind(title) { this.clicks++; await this.$(`#kinds label:has-text("${title}")`).click(); }

  /** Types the code of the swatch just drawn. */
  async code(text) {
    this.clicks++;
    await this.$('.selected [data-field=code]').fill(text);
    await this.page.keyboard.press('Escape');
  }

  /** Zones of a file marked by hand: client zones, then swatches. */
  async mark(file, { skip = [], titles = KINDS } = {}) {
    let last = null;
    for (const zone of JSON.parse(readFileSync(file, 'utf8')).zones.filter(z => z.rect && !skip.includes(z.code))) {
      if (zone.kind !== last) await this.kind(titles[zone.kind]);
      last = zone.kind;
      await this.box(zone.rect);
      if (zone.code) await this.code(zone.code);
      if (zone.gray_free) await this.click('.selected [data-field=grayFree]');
    }
  }

  /** The answer to the marks as they are, once it is there; whole: once the page has come to rest and it can be saved. */
  async answer({ whole = false } = {}) {
    await this.page.waitForSelector(`.answer${whole ? '[data-state="whole"]' : ':not([data-state="asking"])'}`, { timeout: PATIENCE_MS });
    return this.$('.answer').innerText();
  }

  /** A line that the page says once the desk has worked for it. */
  async says(text) { await this.page.getByText(text).first().waitFor({ timeout: PATIENCE_MS }); }
}
