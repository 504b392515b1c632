// Shared by all browser tests: starts Chromium, opens a page from a file, and holds what every page must keep to.
import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import assert from 'node:assert/strict';
import path from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';

/** Where the build put these tests' programs; meson says it, by hand it is build/. */
export const BUILD = process.env.BROWSER_OUT ?? fileURLToPath(new URL('../../build/tests/browser', import.meta.url));
/** Pages, files and screenshots that the tests leave. */
export const OUT = path.join(BUILD, 'browser-out');
mkdirSync(OUT, { recursive: true });

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

export function startBrowser() {
  return chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-background-networking', '--disable-component-update', '--disable-sync', '--no-first-run',
      '--disable-gpu', '--disable-quic']
  });
}

/** BROWSER_SLOW=6: each page has a processor six times slower, its frames and the answers it asks for come late. What a test reads before it is
 *  there then shows on any machine. */
const SLOW = Number(process.env.BROWSER_SLOW ?? 1), LATE_MS = 25;

/** A page of its own context, slowed down where that is asked for. */
export async function newPage(context) {
  const page = await context.newPage();
  if (SLOW <= 1) return page;
  await (await context.newCDPSession(page)).send('Emulation.setCPUThrottlingRate', { rate: SLOW });
  await page.addInitScript(late => {
    const frame = window.requestAnimationFrame.bind(window), ask = window.fetch.bind(window), pause = () => new Promise(done => setTimeout(done, late));
    window.requestAnimationFrame = draw => frame(() => setTimeout(() => draw(performance.now()), late));
    window.fetch = async (...question) => { await pause(); return ask(...question).finally(pause); };
  }, SLOW * LATE_MS);
  return page;
}

/** What a slow machine may take for anything: an instrumented build beside other work. */
export const PATIENCE_MS = 120000;

/** After that a test is given up: far beyond what any takes on its slowest machine. */
export const TEST_MS = 900000;

/** Reads again until it is as wanted (a value, a pattern, or a function that says so); the reading. What a press does is seen a frame, an
 *  answer or a slow machine later: whatever was not waited for otherwise is read with this. */
export async function settles(read, wanted, what) {
  const check = got => {
    if (wanted instanceof RegExp) assert.match(got, wanted, what);
    else if (typeof wanted === 'function') assert.ok(wanted(got), `${what ?? wanted}: ${JSON.stringify(got)}`);
    else assert.deepEqual(got, wanted, what);
  };
  for (const until = performance.now() + PATIENCE_MS;;) {
    const got = await read();
    try {
      check(got);
      return got;
    } catch (error) { if (performance.now() > until) throw error; }
    await new Promise(done => setTimeout(done, 50));
  }
}

/** Writes a file beside the screenshots and returns its path. */
export function writeOut(name, text) {
  const file = path.join(OUT, name);
  writeFileSync(file, text);
  return file;
}

/** Runs a program of the build; its standard output. */
export const run = (program, args) => execFileSync(program, args, { encoding: 'utf8' });

/** Opens a file in a context of its own. `faults` collects console errors, uncaught errors and requests beyond the file itself;
 *  `done()` asserts that there were none and closes. */
export async function openFile(browser, file, { width = 1400, height = 900, dark = false, touch = false, scale = 1 } = {}) {
  const context = await browser.newContext({
    viewport: { width, height }, colorScheme: dark ? 'dark' : 'light', hasTouch: touch, deviceScaleFactor: scale, acceptDownloads: true
  });
  await context.grantPermissions(['clipboard-read', 'clipboard-write']);
  const page = await newPage(context), faults = [], url = pathToFileURL(file).href;
  page.setDefaultTimeout(PATIENCE_MS);
  page.on('console', message => { if (['error', 'warning'].includes(message.type())) faults.push(`console: ${message.text()}`); });
  page.on('pageerror', error => faults.push(`uncaught: ${error.message}`));
  page.on('request', request => { if (!/^(data|blob):/.test(request.url()) && request.url() !== url) faults.push(`request: ${request.url()}`); });
  await page.goto(url);
  const done = async () => {
    await context.close();
    assert.deepEqual(faults, []);
  };
  return { page, context, faults, done };
}

export const screenshot = (page, name, options = {}) => page.screenshot({ path: path.join(OUT, `${name}.png`), ...options });

/** No violation of any axe-core rule. Evaluated by the debugger, so the page's own policy is neither loosened nor in the way. */
export async function assertAccessible(page, what) {
  await page.evaluate(AXE);
  const { violations } = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ['violations'] }));
  const found = violations.map(v => `${v.id}: ${v.help}: ${v.nodes.map(node => node.target.join(' ')).join(', ')}`);
  assert.deepEqual(found, [], `axe-core on ${what}`);
}

/** Nothing wider than the window, no text cut off by its own box; a wide table may have a box of its own to be moved in. */
export async function assertFits(page, what) {
  const wide = await page.evaluate(() => {
    const width = document.documentElement.clientWidth, found = [];
    if (document.documentElement.scrollWidth > width) found.push(`page is ${document.documentElement.scrollWidth} wide`);
    for (const element of document.body.querySelectorAll('*')) {
      const box = element.getBoundingClientRect();
      if (box.width === 0 || element.ownerSVGElement || element.closest('.scroll') || getComputedStyle(element).clipPath !== 'none') continue;
      const name = `${element.tagName.toLowerCase()}#${element.id}.${element.className}`;
      if (box.right > width + 0.5 || box.left < -0.5) found.push(`${name} reaches ${Math.round(box.left)}..${Math.round(box.right)}`);
      else if (element.scrollWidth > element.clientWidth + 1 && element.clientWidth > 0 && !['INPUT', 'SELECT'].includes(element.tagName)) found.push(`${name} cuts its content`);
    }
    return found;
  });
  assert.deepEqual(wide, [], what);
}
