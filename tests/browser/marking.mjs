// A driver for the marking page: what a stylist does, in her words, on the scene of make_page.c (1200 by 900 units).
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { BUILD, OUT, openFile, run, writeOut } from './harness.mjs';

const MAKE_PAGE = process.env.MAKE_PAGE ?? path.join(BUILD, 'make_page');
const CHECK_ZONES = process.env.CHECK_ZONES ?? path.join(BUILD, 'check_zones');

/** Invented swatches of our own salon. */
export const CATALOGUE = [
  { code: 'oat', name: 'Oat straw', kind: 'hair', L: 62.1, a: 6.2, b: 22.4 },
  { code: 'barley', name: 'Barley', kind: 'hair', L: 54, a: 8.1, b: 23 },
  { code: 'Malt', name: 'Malt brown', kind: 'hair', L: 38.2, a: 11.3, b: 20.5 },
  { code: 'rye', name: 'Rye crust', kind: 'hair', L: 30, a: 9, b: 14.2 },
  { code: 'fog-2', name: 'Fog, second batch', kind: 'hair', L: 70, a: 0.2, b: 3.1 },
  { code: 'umber', name: 'Malt bead', kind: 'bead', L: 28, a: 8, b: 12 }];

let pages = 0;

/** Where things are in the scene: [x, y, width, height]. */
export const SCENE = {
  mid: [500, 600, 100, 120], root: [520, 150, 90, 60], temple: [330, 330, 80, 110], ends: [500, 780, 120, 60],
  malt: [860, 160, 90, 45], card: [980, 150, 120, 120], burnt: [50, 70, 60, 60], black: [50, 210, 60, 60],
  chin: [540, 460, 120, 200], target: [[60, 620], [260, 620], [260, 740], [60, 740]]
};

/** Builds a page with make_page's key=value arguments and opens it. */
export async function openMarking(browser, { facts = {}, catalogue = CATALOGUE, zones = null, ...options } = {}) {
  const name = `page-${process.pid}-${++pages}`, file = path.join(path.resolve(OUT), `${name}.html`);
  const args = [file, ...Object.entries(facts).map(([key, value]) => `${key}=${value}`)];
  if (catalogue) args.push(`catalogue=${writeOut(`${name}.catalogue.json`, JSON.stringify(catalogue))}`);
  if (zones !== null) args.push(`zones=${writeOut(`${name}.given.json`, zones)}`);
  run(MAKE_PAGE, args);
  const opened = await openFile(browser, file, options);
  await opened.page.waitForSelector('#opening', { state: 'detached' });
  const [width, height] = (facts.size ?? '1200x900').split('x').map(Number);
  return new Marking(opened, { width, height, photo: facts.photo ?? 'client.jpg', name });
}

export class Marking {
  constructor(opened, facts) {
    Object.assign(this, opened, { facts });
    this.mouse = opened.page.mouse;
    this.keyboard = opened.page.keyboard;
  }

  $(selector) { return this.page.locator(selector); }

  /** Screen place of a photo point while the whole photo is shown, found without asking the page's own arithmetic. */
  async at([x, y]) {
    const box = await this.$('#stage').boundingBox();
    const fit = Math.min(box.width / this.facts.width, box.height / this.facts.height);
    return [box.x + (box.width - this.facts.width * fit) / 2 + x * fit, box.y + (box.height - this.facts.height * fit) / 2 + y * fit];
  }

  kind(title) { return this.$(`#kinds label:has-text("${title}")`).click(); }
  mode(value) { return this.$(`label:has([name=mode][value=${value}]) > span`).click(); }

  async dragScreen(from, to, { button = 'left' } = {}) {
    await this.mouse.move(...from);
    await this.mouse.down({ button });
    for (const t of [0.3, 0.7, 1]) await this.mouse.move(from[0] + t * (to[0] - from[0]), from[1] + t * (to[1] - from[1]));
    await this.mouse.up({ button });
  }

  async drag(from, to) { await this.dragScreen(await this.at(from), await this.at(to)); }
  async box([x, y, w, h]) { await this.drag([x, y], [x + w, y + h]); }
  async click(point) { await this.mouse.click(...await this.at(point)); }

  /** Turns the wheel notch by notch until the photo is shown at least so large, in percent; each notch is seen before the next. */
  async wheelTo(percent) {
    for (let shown = await this.level(); parseFloat(shown) < percent; shown = await this.level()) {
      await this.mouse.wheel(0, -120);
      await this.page.waitForFunction(text => document.getElementById('zoom-level').textContent !== text, shown);
    }
  }

  level() { return this.settle().then(() => this.page.textContent('#zoom-level')); }

  /** Lets the page draw what is due. */
  settle() { return this.page.evaluate(() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))); }

  status() { return this.settle().then(() => this.page.textContent('#status')); }
  problems() { return this.settle().then(() => this.$('#problems li').allTextContents()); }
  hints() { return this.settle().then(() => this.$('#hints li').allTextContents()); }
  titles() { return this.settle().then(() => this.$('#zone-list .title').allTextContents()); }
  field(key) { return this.$(`#zone-list .selected [data-field="${key}"]`); }
  async openRow(title) {
    await this.row(title).locator('.zone').click();
    await this.settle();
  }
  row(title) { return this.$('#zone-list > li').filter({ has: this.page.locator('.title', { hasText: title }) }); }

  /** Presses Save; {file, text, zones} of the download. The program itself must take the file, with these notes. */
  async save({ notes = [] } = {}) {
    assert.deepEqual(await this.problems(), []);
    const [download] = await Promise.all([this.page.waitForEvent('download'), this.$('#save').click()]);
    return this.saved(download, notes);
  }

  async saved(download, notes = []) {
    assert.equal(download.suggestedFilename(), 'client.zones.json');
    const file = path.join(OUT, `${this.facts.name}-${Date.now()}.zones.json`);
    await download.saveAs(file);
    const text = readFileSync(file, 'utf8'), json = JSON.parse(text);
    assert.equal(this.check(file), ['ok', ...notes].join(' '));
    return { file, text, json, zones: json.zones };
  }

  /** What the program says of a zones file: "ok" and notes, or the refusal. */
  check(...files) {
    try {
      return run(CHECK_ZONES, [this.facts.photo, `${this.facts.width}x${this.facts.height}`, ...files]).trim();
    } catch (error) {
      return error.stdout.trim();
    }
  }

  /** Screen box of an even patch of the scene, read off the pixels that are shown: for checking places at any zoom. Colour r, g, b;
   *  search starts at a screen point inside the patch. */
  async shownPatch([sx, sy]) {
    await this.settle();
    return this.page.evaluate(([sx, sy]) => {
      const canvas = document.getElementById('picture'), box = canvas.getBoundingClientRect(), ratio = canvas.width / box.width;
      const { data, width, height } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
      const green = (x, y) => data[4 * (y * width + x) + 1];
      const [x0, y0] = [Math.round((sx - box.left) * ratio), Math.round((sy - box.top) * ratio)], here = green(x0, y0);
      const edge = (dx, dy) => {
        let [x, y] = [x0, y0];
        while (x >= 0 && y >= 0 && x < width && y < height && Math.abs(green(x, y) - here) < 30) [x, y] = [x + dx, y + dy];
        return dx + dy > 0 ? x * Math.abs(dx) + y * Math.abs(dy) : (x + 1) * Math.abs(dx) + (y + 1) * Math.abs(dy);
      };
      const [left, right, top, bottom] = [edge(-1, 0), edge(1, 0), edge(0, -1), edge(0, 1)];
      return { left: box.left + left / ratio, right: box.left + right / ratio, top: box.top + top / ratio, bottom: box.top + bottom / ratio };
    }, [sx, sy]);
  }
}

export function assertNear(got, want, tolerance, what) {
  got.flat().forEach((value, i) => assert.ok(Math.abs(value - want.flat()[i]) <= tolerance, `${what}: got ${JSON.stringify(got)}, want ${JSON.stringify(want)} within ${tolerance}`));
}
