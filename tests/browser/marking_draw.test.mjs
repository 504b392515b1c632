// The marking page: drawing by mouse, touch and keyboard, at every zoom.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { startBrowser } from './harness.mjs';
import { SCENE, assertNear, openMarking } from './marking.mjs';

let browser;
before(async () => { browser = await startBrowser(); });
after(() => browser.close());

// One CSS pixel is 1200 / 996 photo pixels or so at 1400 by 900: a drag cannot be more exact than that.
const AT_FIT = 2;

test('rectangles are dragged for every kind but the target', async () => {
  const m = await openMarking(browser);
  const drawn = { mid: ['Mid-length', SCENE.mid], root: ['Root', SCENE.root], gray: ['Gray', SCENE.temple], ends: ['Ends', SCENE.ends], swatch: ['Swatch', SCENE.malt], card: ['Card', [990, 160, 100, 100]] };
  for (const [title, rect] of Object.values(drawn)) {
    await m.kind(title);
    await m.box(rect);
    if (title === 'Swatch') await m.keyboard.type('malt');
  }
  const { zones } = await m.save();
  assert.deepEqual(zones.map(zone => zone.kind), Object.keys(drawn));
  for (const zone of zones) {
    assertNear(zone.rect, drawn[zone.kind][1], AT_FIT, zone.kind);
    assert.ok(zone.rect.every(Number.isInteger), 'whole pixels');
  }
  assert.equal(zones[4].code, 'Malt', 'in the catalogue’s own spelling');
  assert.deepEqual(zones[5].lab, [50, 0, 0]);
  await m.done();
});

test('a drag in any direction and beyond the edge stays a box inside the photo', async () => {
  const m = await openMarking(browser);
  await m.drag([700, 760], [600, 640]);
  await m.kind('Root');
  const [x, y] = await m.at([1200, 900]);
  await m.dragScreen(await m.at([1100, 850]), [x + 40, y + 40]);
  const { zones } = await m.save();
  assertNear(zones[0].rect, [600, 640, 100, 120], AT_FIT, 'backwards');
  assertNear(zones[1].rect, [1100, 850, 100, 50], AT_FIT, 'over the edge');
  await m.done();
});

test('polygons: point by point, closed on the first point, by double click and by button', async () => {
  const m = await openMarking(browser), shape = [[330, 330], [400, 335], [405, 440], [340, 450]];
  await m.kind('Gray');
  await m.mode('polygon');
  for (const point of [...shape, shape[0]]) await m.click(point);
  for (const point of shape.map(([x, y]) => [x + 170, y + 260])) await m.click(point);
  await m.mouse.dblclick(...await m.at([505, 640]));
  for (const point of shape.slice(0, 3).map(([x, y]) => [x + 500, y + 100])) await m.click(point);
  assert.equal(await m.status(), 'Point 3 set.');
  await m.$('#draft-finish').click();
  const { zones } = await m.save();
  assertNear(zones[0].polygon, shape, AT_FIT, 'on the first point');
  assert.equal(zones[1].polygon.length, 5);
  assert.equal(zones[2].polygon.length, 3);
  assert.deepEqual(zones.map(zone => zone.name), [undefined, 'gray 2', 'gray 3']);
  await m.done();
});

test('a polygon under way: last point back, cancel, and a word when it is too short', async () => {
  const m = await openMarking(browser);
  await m.mode('polygon');
  for (const point of [[500, 600], [600, 600], [620, 700]]) await m.click(point);
  await m.$('#draft-back').click();
  assert.equal(await m.status(), '2 points left.');
  await m.$('#draft-finish').click();
  assert.equal(await m.status(), '3 points are needed; 2 set so far.');
  await m.$('#draft-cancel').click();
  assert.equal(await m.status(), 'Drawing cancelled.');
  assert.deepEqual(await m.titles(), []);
  await m.done();
});

test('a polygon is drawn around the hair in one go', async () => {
  const m = await openMarking(browser);
  await m.mode('polygon');
  const ring = Array.from({ length: 49 }, (_, i) => [560 + 60 * Math.cos(i * Math.PI / 24), 660 + 50 * Math.sin(i * Math.PI / 24)]);
  await m.mouse.move(...await m.at(ring[0]));
  await m.mouse.down();
  for (const point of ring.slice(1, 48)) await m.mouse.move(...await m.at(point));
  await m.mouse.up();
  const { zones } = await m.save();
  const { polygon } = zones[0];
  assert.ok(polygon.length >= 8 && polygon.length <= 48, `${polygon.length} points`);
  for (const [x, y] of polygon) assertNear([Math.hypot((x - 560) / 60, (y - 660) / 50)], [1], 0.06, 'on the ring');
  await m.done();
});

test('a target is dragged and each of its corners pulled', async () => {
  const m = await openMarking(browser);
  await m.box(SCENE.mid);
  await m.kind('Target');
  await m.drag([70, 640], [240, 720]);
  await m.keyboard.type('target.txt'); // the focus is in the reference field
  for (const [from, to] of [[[70, 640], SCENE.target[0]], [[240, 640], SCENE.target[1]], [[240, 720], SCENE.target[2]], [[70, 720], SCENE.target[3]]]) await m.drag(from, to);
  let { zones } = await m.save();
  assertNear(zones[1].corners, SCENE.target, AT_FIT, 'corners');
  assert.deepEqual([zones[1].rows, zones[1].columns, zones[1].reference], [4, 6, 'target.txt']);
  await m.field('rows').fill('5');
  await m.page.getByText('Start at the next corner').click();
  zones = (await m.save()).zones;
  assert.equal(zones[1].rows, 5);
  assertNear(zones[1].corners, [...SCENE.target.slice(1), SCENE.target[0]], AT_FIT, 'turned');
  await m.done();
});

test('four clicks make a target too', async () => {
  const m = await openMarking(browser);
  await m.box(SCENE.mid);
  await m.kind('Target');
  await m.mode('polygon');
  for (const corner of SCENE.target) await m.click(corner);
  await m.field('reference').fill('target.txt');
  assertNear((await m.save()).zones[1].corners, SCENE.target, AT_FIT, 'corners');
  await m.done();
});

test('zones are moved, and pulled by their corners', async () => {
  const m = await openMarking(browser);
  await m.box([500, 600, 100, 100]);
  await m.drag([550, 650], [570, 680]);      // inside the selected zone: moves it
  await m.drag([620, 730], [660, 780]);      // its lower right corner
  assertNear((await m.save()).zones[0].rect, [520, 630, 140, 150], AT_FIT + 1, 'moved and pulled');
  await m.mode('move');
  await m.click([100, 500]);                 // nothing there: deselects
  await m.drag([560, 700], [-200, 700]);     // selects, moves, stops at the edge
  const { zones } = await m.save();
  assert.equal(zones[0].rect[0], 0);
  assertNear(zones[0].rect.slice(2), [140, 150], AT_FIT + 1, 'size kept');
  await m.done();
});

for (const [what, options, tolerance] of [
  ['the picture at full size', {}, 1],
  ['a smaller picture inside the page', { facts: { size: '4800x3600', picture: 1200 } }, 6],
  ['a dense screen', { scale: 2 }, 1]])
  test(`zoomed and moved, saved places are the places drawn: ${what}`, async () => {
    const m = await openMarking(browser, options), unit = m.facts.width / 1200;
    const [, , ...size] = SCENE.card, card = SCENE.card.map(v => v * unit);
    await m.kind('Card');
    const middle = await m.at([card[0] + card[2] / 2, card[1] + card[3] / 2]);
    await m.mouse.move(...middle);
    await m.wheelTo(320 / unit);
    await m.dragScreen(middle, [middle[0] - 300, middle[1] + 100], { button: 'middle' });
    const shown = await m.shownPatch([middle[0] - 300, middle[1] + 100]);
    assert.ok(shown.right - shown.left > 3 * size[0], 'zoomed in');
    await m.dragScreen([shown.left, shown.top], [shown.right, shown.bottom]);
    await m.$('#zoom-fit').click();
    await m.kind('Mid-length');
    await m.box(SCENE.mid.map(v => v * unit));
    const { zones } = await m.save();
    assertNear(zones[0].rect, card, tolerance, 'card');
    assertNear(zones[1].rect, SCENE.mid.map(v => v * unit), AT_FIT * unit, 'after Fit');
    await m.done();
  });

test('zoom: wheel keeps the place under the pointer, buttons and keys agree, limits hold', async () => {
  const m = await openMarking(browser), level = async () => parseFloat(await m.level());
  const start = await level();
  await m.mouse.move(...await m.at([1100, 270])); // lower right corner of the card
  await m.wheelTo(150); // while the picture is smaller than the stage it is centred and can't follow the pointer
  const corner = await m.at([1100, 270]);
  await m.mouse.move(...corner);
  await m.wheelTo(300);
  const shown = await m.shownPatch([corner[0] - 10, corner[1] - 10]);
  const wheeled = await level(), pixel = wheeled / 100; // of the photo, on the screen
  assertNear(await m.at([1100, 270]), corner, 0.01, 'the place stays under the pointer');
  assertNear([shown.right, shown.bottom], corner, pixel + 1, 'and so does what is shown, as far as a smoothed edge can be read');
  assert.ok(wheeled > 2 * start);
  await m.$('#zoom-out').click();
  assertNear([await level()], [wheeled * 0.8], 1, 'button');
  await m.$('#stage').focus();
  await m.keyboard.press('+');
  assertNear([await level()], [wheeled], 1, 'key');
  await m.keyboard.press('0');
  assert.equal(await level(), start);
  for (let i = 0; i < 40; i++) await m.keyboard.press('-');
  assert.equal(await level(), start, 'never smaller than the whole photo');
  for (let i = 0; i < 60; i++) await m.keyboard.press('+');
  assert.equal(await level(), 1600);
  await m.done();
});

// ---- touch ----

async function touches(m) {
  const client = await m.context.newCDPSession(m.page);
  const send = (type, ...points) => client.send('Input.dispatchTouchEvent', { type, touchPoints: points.map(([x, y], id) => ({ x, y, id })) });
  return {
    async drag(from, to) {
      await send('touchStart', from);
      for (const t of [0.25, 0.5, 0.75, 1]) await send('touchMove', [from[0] + t * (to[0] - from[0]), from[1] + t * (to[1] - from[1])]);
      await send('touchEnd');
    },
    async tap(point) {
      await send('touchStart', point);
      await send('touchEnd');
    },
    async two(fromA, fromB, toA, toB, firstAlone = null) {
      await send('touchStart', fromA);
      if (firstAlone) await send('touchMove', firstAlone);
      await send('touchStart', firstAlone ?? fromA, fromB);
      const part = (p, q, t) => [p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])];
      for (const t of [0.2, 0.4, 0.6, 0.8, 1]) await send('touchMove', part(fromA, toA, t), part(fromB, toB, t));
      await send('touchEnd', toA);
      await send('touchEnd');
    }
  };
}

const PHONE = { width: 360, height: 740, touch: true, scale: 2 };

test('touch: one finger draws, taps make a polygon', async () => {
  const m = await openMarking(browser, PHONE), touch = await touches(m);
  await touch.drag(await m.at([480, 580]), await m.at([640, 740]));
  await m.kind('Gray');
  await m.mode('polygon');
  for (const point of [[300, 300], [460, 310], [450, 480]]) await touch.tap(await m.at(point));
  await m.$('#draft-finish').click();
  const { zones } = await m.save();
  assertNear(zones[0].rect, [480, 580, 160, 160], 4, 'rectangle');
  assertNear(zones[1].polygon, [[300, 300], [460, 310], [450, 480]], 4, 'polygon');
  await m.done();
});

test('touch: two fingers zoom and move, what is drawn then lies where it was drawn', async () => {
  const m = await openMarking(browser, PHONE), touch = await touches(m);
  const [cx, cy] = await m.at([1040, 210]); // middle of the card
  await touch.two([cx - 15, cy], [cx + 15, cy], [cx - 190, cy + 60], [cx - 40, cy + 60]);
  assert.deepEqual(await m.titles(), [], 'nothing was drawn meanwhile');
  const shown = await m.shownPatch([cx - 115, cy + 60]);
  assertNear([(shown.left + shown.right) / 2, (shown.top + shown.bottom) / 2], [cx - 115, cy + 60], 2, 'the card’s middle stays between the fingers');
  assertNear([shown.right - shown.left], [120 * 0.3 * 5], 4, 'fingers five times as far apart: five times as large');
  await m.kind('Card');
  await touch.drag([shown.left, shown.top], [shown.right, shown.bottom]);
  await m.$('#zoom-fit').click();
  await m.kind('Root');
  await touch.drag(await m.at(SCENE.root.slice(0, 2)), await m.at([610, 210]));
  assertNear((await m.save()).zones[0].rect, SCENE.card, 2, 'card');
  await m.done();
});

test('touch: a second finger gives up the box that the first one began', async () => {
  const m = await openMarking(browser, PHONE), touch = await touches(m);
  const from = await m.at([300, 300]), on = await m.at([500, 500]);
  await touch.two(from, [on[0] + 60, on[1]], on, [on[0] + 90, on[1]], on);
  assert.deepEqual(await m.titles(), []);
  await m.$('#zoom-fit').click();
  await touch.drag(await m.at([480, 580]), await m.at([640, 740]));
  assertNear((await m.save()).zones[0].rect, [480, 580, 160, 160], 4, 'the next box is a new one');
  await m.done();
});

test('touch: a finger finds a corner that is near, and a swatch drawn by touch opens no keyboard', async () => {
  const m = await openMarking(browser, PHONE), touch = await touches(m);
  await m.kind('Swatch');
  await touch.drag(await m.at([500, 600]), await m.at([700, 800]));
  assert.equal(await m.page.evaluate(() => document.activeElement.id), 'stage');
  const [x, y] = await m.at([700, 800]);
  await touch.drag([x + 12, y + 12], [x + 42, y + 27]);
  await m.settle();
  const width = Number(await m.field('w').inputValue()), height = Number(await m.field('h').inputValue());
  assertNear([width, height], [200 + 42 / 0.3, Math.min(300, 200 + 27 / 0.3)], 6, 'pulled');
  await m.done();
});

// ---- keyboard ----

test('keyboard only: from the first Tab to the saved file', async () => {
  const m = await openMarking(browser), press = async (...keys) => { for (const key of keys) await m.keyboard.press(key); };
  const times = (key, n) => Array(n).fill(key);
  await press('Tab', 'Tab');
  assert.equal(await m.page.evaluate(() => document.activeElement.id), 'stage', 'kinds, then the photo');
  await press('1', 'Enter');
  assert.match(await m.status(), /^First corner at 600, 450\./);
  await press(...times('Shift+ArrowRight', 90), ...times('Shift+ArrowDown', 60), 'Enter');
  assert.match(await m.status(), /^Mid-length added, 90 by 60 pixels\./);
  await press('3', 'p', ...times('ArrowLeft', 5), 'Enter', ...times('ArrowLeft', 4), 'Enter', ...times('ArrowUp', 3), 'Enter', 'c');
  assert.match(await m.status(), /^Gray added/);
  await press('5', 'r', ...times('ArrowUp', 3), 'Enter', ...times('ArrowRight', 4), ...times('ArrowDown', 2), 'Enter');
  assert.equal(await m.page.evaluate(() => document.activeElement.dataset.field), 'code', 'a swatch asks for its code');
  await m.keyboard.type('ba');
  await press('ArrowDown', 'Enter', 'Escape');
  assert.equal(await m.page.evaluate(() => document.activeElement.id), 'stage', 'Escape leads back to the photo');
  for (let i = 0; i < 60 && await m.page.evaluate(() => document.activeElement.id) !== 'save'; i++) await press('Tab');
  const [download] = await Promise.all([m.page.waitForEvent('download'), press('Enter')]);
  const { zones } = await m.saved(download);
  assert.deepEqual(zones[0].rect, [600, 450, 90, 60]);
  assert.equal(zones[1].polygon.length, 3);
  assert.equal(zones[2].code, 'barley');
  await m.done();
});

test('keyboard: select, push, pull a corner, delete, undo', async () => {
  const m = await openMarking(browser), press = async (...keys) => { for (const key of keys) await m.keyboard.press(key); };
  await m.box([500, 600, 100, 100]);
  const [before] = (await m.save()).zones;
  await m.$('#stage').focus();
  await press('v', 'Shift+ArrowRight', 'Shift+ArrowRight', 'Shift+ArrowDown');
  let [zone] = (await m.save()).zones;
  assert.deepEqual(zone.rect, [before.rect[0] + 2, before.rect[1] + 1, before.rect[2], before.rect[3]]);
  await m.$('#stage').focus();
  await press(']', ']', ']');
  assert.match(await m.status(), /^Corner 3 of 4/);
  await press('Shift+ArrowLeft', 'Shift+ArrowUp');
  [zone] = (await m.save()).zones;
  assert.deepEqual(zone.rect.slice(2), [before.rect[2] - 1, before.rect[3] - 1]);
  await m.$('#stage').focus();
  await press('Delete');
  assert.deepEqual(await m.titles(), []);
  await press('Control+z', 'Control+z');
  [zone] = (await m.save()).zones;
  assert.deepEqual(zone.rect.slice(2), before.rect.slice(2), 'pulling the corner was a step');
  await m.$('#stage').focus();
  await press('Control+z');
  [zone] = (await m.save()).zones;
  assert.deepEqual(zone.rect, before.rect, 'three pushes in a row were one');
  await m.done();
});

test('undo and redo walk through everything that was done', async () => {
  const m = await openMarking(browser);
  const seen = [await m.titles()];
  await m.box(SCENE.mid);
  seen.push(await m.titles());
  await m.kind('Gray');
  await m.box(SCENE.temple);
  seen.push(await m.titles());
  await m.field('name').pressSequentially('left temple');
  seen.push(await m.titles());
  await m.field('kind').selectOption('root');
  seen.push(await m.titles());
  await m.row('Mid-length').getByRole('button', { name: 'Delete Mid-length' }).click();
  seen.push(await m.titles());
  assert.deepEqual(seen[3], ['Mid-length', 'Gray ‘left temple’']);
  assert.deepEqual(seen[5], ['Root ‘left temple’']);
  for (const titles of seen.slice(0, -1).reverse()) {
    await m.$('#undo').click();
    assert.deepEqual(await m.titles(), titles);
  }
  assert.ok(await m.$('#undo').isDisabled());
  assert.equal(await m.status(), 'Undone: Mid-length added.');
  for (const titles of seen.slice(1)) {
    await m.$('#redo').click();
    assert.deepEqual(await m.titles(), titles);
  }
  assert.ok(await m.$('#redo').isDisabled());
  await m.$('#undo').click();
  await m.kind('Ends');
  await m.box(SCENE.ends);
  assert.deepEqual(await m.titles(), ['Mid-length', 'Root ‘left temple’', 'Ends']);
  assert.ok(await m.$('#redo').isDisabled(), 'a new step ends what could be done again');
  await m.done();
});
