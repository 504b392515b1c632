// The marking page: how it looks and feels. Widths, dark and light, axe-core, focus, large photos. Screenshots are left beside.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { TEST_MS, assertAccessible, assertFits, screenshot, startBrowser } from './harness.mjs';
import { SCENE, openMarking } from './marking.mjs';

let browser;
before(async () => { browser = await startBrowser(); });
after(() => browser.close());

/** Walks through the states in which a stylist sees the page; calls look(state) in each. */
async function walk(m, look) {
  await look('empty');
  await m.box(SCENE.mid);
  await m.kind('Root');
  await m.box(SCENE.root);
  await look('two zones');
  await m.kind('Gray');
  await m.mode('polygon');
  for (const point of [[330, 330], [400, 335], [405, 440]]) await m.click(point);
  await m.mouse.move(...await m.at([340, 450]));
  await look('polygon under way');
  await m.keyboard.press('c');
  await m.mode('rect');
  await m.kind('Swatch');
  await m.box(SCENE.malt);
  await m.keyboard.type('a');
  await m.settle();
  await look('swatch list open');
  await m.keyboard.press('Enter');
  await m.kind('Card');
  await m.box([990, 160, 100, 100]);
  await m.kind('Target');
  await m.drag(SCENE.target[0], SCENE.target[2]);
  await look('target');
  await m.kind('Ends');
  await m.box(SCENE.burnt);
  await m.$('#save').click();
  await look('not saved');
  await m.$('#keys summary').click();
  await look('keys');
}

for (const [width, height] of [[360, 740], [800, 1000], [1400, 900]])
  for (const dark of [false, true])
    test(`nothing cut off, no axe-core violation, at ${width} px, ${dark ? 'dark' : 'light'}`, async () => {
      const m = await openMarking(browser, { width, height, dark });
      await walk(m, async state => {
        const name = `marking-${width}-${dark ? 'dark' : 'light'}-${state.replaceAll(' ', '-')}`;
        await m.settle();
        await screenshot(m.page, name);
        await assertFits(m.page, `${state} at ${width}`);
        await assertAccessible(m.page, `${state} at ${width}`);
      });
      await m.done();
    });

test('a short window and doubled text still fit', async () => {
  const m = await openMarking(browser, { width: 640, height: 360 });
  await m.page.addStyleTag({ content: 'html { font-size: 200% }' });
  await m.box(SCENE.mid);
  await m.settle();
  await screenshot(m.page, 'marking-short-large-text');
  await assertFits(m.page, 'large text');
  await m.done();
});

test('the focus is always seen and never under the photo', async () => {
  const m = await openMarking(browser, { width: 360, height: 740 });
  await m.box(SCENE.mid);
  await m.page.evaluate(() => { document.activeElement.blur(); scrollTo(0, 0); });
  const seen = new Set();
  for (let i = 0; i < 40; i++) {
    await m.keyboard.press('Tab');
    const at = await m.page.evaluate(() => {
      const element = document.activeElement, shown = element.matches('[type=radio]') ? element.nextElementSibling : element;
      const style = getComputedStyle(shown), box = shown.getBoundingClientRect(), work = document.querySelector('.work').getBoundingClientRect();
      return { end: element === document.body, name: element.id || element.dataset.field || element.textContent || element.name, outline: parseFloat(style.outlineWidth), style: style.outlineStyle, inWork: document.querySelector('.work').contains(element), top: box.top, bottom: box.bottom, edge: work.bottom };
    });
    if (at.end || seen.has(at.name)) break;
    seen.add(at.name);
    assert.ok(at.outline >= 3 && at.style !== 'none', `${at.name} shows its focus`);
    assert.ok(at.inWork || (at.top >= at.edge - 1 && at.top < 740), `${at.name} lies at ${at.top}, under the photo's edge at ${at.edge}`);
  }
  assert.ok(seen.size >= 15, [...seen].join(', '));
  await m.done();
});

test('what happens is said once, politely', async () => {
  const m = await openMarking(browser);
  for (const id of ['status', 'saved']) assert.equal(await m.$(`#${id}`).getAttribute('aria-live'), 'polite');
  assert.match(await m.status(), /^Mid-length: Even hair half-way down/);
  await m.box(SCENE.mid);
  assert.match(await m.status(), /^Mid-length added, \d+ by \d+ pixels\. Next: Root\.$/);
  await m.kind('Ends');
  await m.box(SCENE.burnt);
  assert.match(await m.status(), /^Ends added, \d+ by \d+ pixels\. Too bright: 100 % is blown out/);
  await m.done();
});

// Times are printed, not asserted: they are the machine's as much as ours.
test('a photo of 48 megapixels stays usable', { timeout: TEST_MS }, async t => {
  const started = Date.now();
  const m = await openMarking(browser, { facts: { size: '8000x6000', grain: 24 } });
  const { opened, bytes } = await m.page.evaluate(() => ({ opened: performance.now(), bytes: document.getElementById('source').src.length }));
  t.diagnostic(`page of ${(bytes / 2 ** 20).toFixed(1)} MiB: picture on the screen ${(opened / 1000).toFixed(2)} s after opening (${((Date.now() - started) / 1000).toFixed(1)} s with making it)`);
  await m.page.evaluate(() => {
    window.frames48 = [];
    let last = performance.now();
    (function frame() { const now = performance.now(); window.frames48.push(now - last); last = now; requestAnimationFrame(frame); })();
  });
  const report = async what => {
    const times = (await m.page.evaluate(() => window.frames48.splice(0))).slice(1).sort((a, b) => a - b);
    t.diagnostic(`${what}: ${times.length} frames, median ${times[times.length >> 1].toFixed(1)} ms, 95 % under ${times[Math.floor(times.length * 0.95)].toFixed(1)} ms, worst ${times[times.length - 1].toFixed(1)} ms`);
  };
  const [cx, cy] = await m.at([6930, 1400]); // the card
  await m.mouse.move(cx, cy);
  for (let i = 0; i < 30; i++) {
    await m.mouse.wheel(0, -40);
    await m.page.waitForTimeout(16);
  }
  await report('zooming');
  await m.mouse.down({ button: 'middle' });
  for (let i = 0; i < 60; i++) {
    await m.mouse.move(cx - i * 6, cy + i * 2);
    await m.page.waitForTimeout(10);
  }
  await m.mouse.up({ button: 'middle' });
  await report('moving');
  await m.mouse.move(300, 300);
  await m.mouse.down();
  for (let i = 0; i < 60; i++) {
    await m.mouse.move(300 + i * 8, 300 + i * 6);
    await m.page.waitForTimeout(10);
  }
  await m.mouse.up();
  await report('dragging a box with its live average');
  await m.$('#zoom-fit').click();
  await m.kind('Root');
  await m.drag([2000, 1000], [6000, 4000]);
  await report('a box of 12 megapixels');
  const { zones } = await m.save();
  assert.equal(zones.length, 2);
  await m.done();
});
