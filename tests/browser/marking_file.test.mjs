// The marking page: the zones file out and in, what it says is wrong, swatch codes, names, colours.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { copyFileSync, mkdirSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { after, before, test } from 'node:test';
import { OUT, openFile, settles, startBrowser, writeOut } from './harness.mjs';
import { CATALOGUE, Marking, SCENE, assertNear, openMarking } from './marking.mjs';

let browser;
before(async () => { browser = await startBrowser(); });
after(() => browser.close());

// One zone of each kind, and keys that this version does not know.
const FILE = `{
  "format": 1,
  "photo": "client.jpg",
  "shop": "Corner & Co",
  "zones": [
    {"kind":"root","name":"crown","rect":[520,150,90,60]},
    {"kind":"mid","rect":[500,600,100,120],"gray_free":true},
    {"kind":"gray","name":"left temple","polygon":[[330,330],[400,335],[405,440],[340,450]]},
    {"kind":"ends","rect":[500.5,780,120,60],"gray_free":true},
    {"kind":"swatch","code":"oat","at":"left temple","rect":[860,160,90,45],"mood":"sunny"},
    {"kind":"card","name":"white","rect":[990,160,80,80],"lab":[95.5,-0.3,1.2]},
    {"kind":"target","corners":[[60,620],[260,620],[260,740],[60,740]],"rows":4,"columns":6,"reference":"target.txt"}
  ]
}
`;

const give = (m, name, text) => m.$('#load-file').setInputFiles({ name, mimeType: 'application/json', buffer: Buffer.from(text) });
const note = m => m.settle().then(() => m.page.textContent('#saved'));

test('a zones file that was loaded is saved again byte for byte, what the page does not know included', async () => {
  const m = await openMarking(browser);
  await give(m, 'client.zones.json', FILE);
  await m.page.waitForFunction(() => document.querySelectorAll('#zone-list > li').length === 7);
  assert.match(await note(m), /^client\.zones\.json is loaded\. Kept as they are in zone 5: mood\. Kept as they are: shop\./);
  const { text } = await m.save({ notes: ['unknown_key', 'unknown_key'] });
  assert.equal(text, FILE);
  await m.done();
});

test('what is drawn, saved and loaded into a fresh page is the same file', async () => {
  const m = await openMarking(browser);
  await m.box(SCENE.mid);
  await m.$('.selected [data-field=grayFree]').check();
  await m.kind('Gray');
  await m.mode('polygon');
  for (const point of [[330, 330], [400, 335], [405, 440]]) await m.click(point);
  await m.keyboard.press('c');
  await m.kind('Swatch');
  await m.mode('rect');
  await m.box(SCENE.malt);
  await m.keyboard.type('rye');
  await m.field('at').selectOption('gray'); // the list of swatches is still open: it must not be in the way of Save
  const first = await m.save();
  assert.deepEqual(first.json.zones.map(({ rect, polygon, ...rest }) => rest), [{ kind: 'mid', gray_free: true }, { kind: 'gray' }, { kind: 'swatch', code: 'rye', at: 'gray' }]);
  assert.deepEqual([first.json.format, first.json.photo], [1, 'client.jpg']);
  await m.done();

  const again = await openMarking(browser);
  await again.$('#load-file').setInputFiles(first.file);
  assert.deepEqual(await again.page.waitForFunction(() => document.querySelectorAll('#zone-list > li').length === 3).then(() => again.titles()), ['Mid-length', 'Gray', 'Swatch rye']);
  assert.equal((await again.save()).text, first.text);
  await again.done();
});

test('a zones file given to the page is there from the start; dropping one replaces it; undo brings it back', async () => {
  const m = await openMarking(browser, { zones: FILE });
  assert.equal((await m.titles()).length, 7);
  assert.ok(await m.$('#undo').isDisabled());
  await m.page.evaluate(text => {
    const data = new DataTransfer();
    data.items.add(new File([text], 'other.zones.json'));
    document.getElementById('stage').dispatchEvent(new DragEvent('drop', { bubbles: true, cancelable: true, dataTransfer: data }));
  }, '{"format": 1, "photo": "other.jpg", "zones": [{"kind": "mid", "rect": [1, 2, 30, 40]}]}');
  await m.page.waitForFunction(() => document.querySelectorAll('#zone-list > li').length === 1);
  assert.match(await note(m), /The file was made for ‘other\.jpg’; check that every zone lies where it should\./);
  await m.$('#undo').click();
  assert.equal((await m.titles()).length, 7);
  await m.done();
});

test('a file that is no zones file changes nothing and is told in words', async () => {
  const m = await openMarking(browser);
  await m.box(SCENE.mid);
  const zone = fields => JSON.stringify({ format: 1, zones: [{ kind: 'mid', name: 'm', ...fields }] });
  for (const [text, words] of [
    ['hello', /^This is not a zones file: /],
    ['[]', /it has no list “zones”/],
    ['{"format": 2, "zones": []}', /has format 2; this page reads format 1/],
    [zone({ kind: 'fringe' }), /^Zone 1 \(‘m’\) in the file: unknown kind "fringe"\./],
    [zone({ rect: [1, 2, 3] }), /“rect” must be four numbers/],
    [zone({ rect: [1, 2, 3, '4'] }), /“rect” must be four numbers/],
    [zone({}), /it needs exactly one of “rect”, “polygon” and “corners”/],
    [zone({ polygon: [[1, 2], [3, 4]] }), /“polygon” must be three or more points/],
    [zone({ corners: [[1, 2], [3, 4], [5, 6], [7, 8]] }), /“corners” are for a target only/],
    [zone({ rect: [1, 2, 3, 4], gray_free: 'yes' }), /“gray_free” must be true or false/]]) {
    await m.page.evaluate(() => { document.getElementById('saved').textContent = ''; }); // what is said of the one before
    await give(m, 'x.json', text);
    await m.page.waitForFunction(() => document.getElementById('saved').classList.contains('bad'));
    await m.page.waitForFunction(source => new RegExp(source).test(document.getElementById('saved').textContent), words.source);
    assert.match(await note(m), /Nothing was changed\.$/);
    assert.deepEqual(await m.titles(), ['Mid-length']);
  }
  await m.done();
});

// Each: a file, what the page says, and what the program says of the very same file. They must agree that it is unusable.
const zones = (...list) => JSON.stringify({ format: 1, photo: 'client.jpg', zones: list });
const MID = { kind: 'mid', rect: [500, 600, 100, 120] };
const TARGET = { kind: 'target', corners: SCENE.target, rows: 4, columns: 6, reference: 't.txt' };
for (const [what, text, words] of [
  ['no client zone', zones({ kind: 'card', rect: [990, 160, 80, 80] }), /^No hair is marked yet/],
  ['two zones of one name', zones(MID, { ...MID, rect: [1, 1, 20, 20] }), /^Mid-length: another zone is called ‘mid’ too; rename one\.$/],
  ['a polygon that crosses itself', zones(MID, { kind: 'gray', polygon: [[10, 10], [90, 90], [90, 10], [10, 90]] }), /^Gray: its outline crosses itself/],
  ['a polygon that runs back over itself', zones(MID, { kind: 'gray', polygon: [[10, 10], [90, 10], [50, 10], [50, 60]] }), /^Gray: its outline crosses itself/],
  ['an empty rectangle', zones(MID, { kind: 'root', rect: [10, 10, 0, 30] }), /^Root: this shape is empty/],
  ['a polygon that is a line', zones(MID, { kind: 'root', polygon: [[10, 10], [20, 20], [30, 30]] }), /^Root: this shape is empty/],
  ['a polygon too thin for a pixel', zones(MID, { kind: 'root', polygon: [[10, 10.1], [60, 10.1], [60, 10.3], [10, 10.3]] }), /^Root: it is too thin to hold a pixel/],
  ['a zone outside the photo', zones(MID, { kind: 'root', rect: [1150, 10, 60, 30] }), /^Root: it reaches outside the photo/],
  ['a name that is too long', zones({ ...MID, name: 'ä'.repeat(33) }), /its name is too long/],
  ['a swatch without a code', zones(MID, { kind: 'swatch', rect: [10, 10, 30, 30] }), /^Swatch: it has no code; choose which swatch this is\.$/],
  ['a swatch held at nothing', zones(MID, { kind: 'swatch', code: 'oat', at: 'fringe', rect: [10, 10, 30, 30] }), /^Swatch oat: it is held at ‘fringe’, which is not marked/],
  ['a card of impossible colour', zones(MID, { kind: 'card', lab: [101, 0, 0], rect: [10, 10, 30, 30] }), /^Card: its colour needs L\* from 0 to 100/],
  ['a target without rows', zones(MID, { ...TARGET, rows: 1 }), /^Target: the numbers of rows and columns/],
  ['a target without a reference', zones(MID, { ...TARGET, reference: undefined }), /^Target: it has no reference/],
  ['a target with crossed corners', zones(MID, { ...TARGET, corners: [[60, 620], [260, 740], [260, 620], [60, 740]] }), /^Target: its corners cross or bend inwards/],
  ['a target whose patches hold no pixel', zones(MID, { ...TARGET, corners: [[60, 620], [160, 620], [160, 740], [60, 740]], columns: 100 }), /^Target: not every patch holds a pixel/]])
  test(`not saved, told in words: ${what}`, async () => {
    const m = await openMarking(browser, { zones: text });
    const problems = await m.problems();
    assert.ok(problems.some(problem => words.test(problem)), `${words} in ${JSON.stringify(problems)}`);
    let downloads = 0;
    m.page.on('download', () => downloads++);
    await m.$('#save').click();
    assert.match(await note(m), /^Not saved/);
    assert.equal(downloads, 0);
    assert.notEqual(m.check(writeOut('refused.zones.json', text)), 'ok', 'the program refuses it too');
    await m.done();
  });

test('nothing drawn: Save says what to do first', async () => {
  const m = await openMarking(browser);
  assert.deepEqual(await m.problems(), []);
  await m.$('#save').click();
  assert.equal(await note(m), 'Not saved. No hair is marked yet: mark at least one of mid-length, root, gray or ends.');
  await m.done();
});

test('a problem leads to its zone and goes away when it is mended', async () => {
  const m = await openMarking(browser);
  await m.box(SCENE.mid);
  await m.kind('Swatch');
  await m.box(SCENE.malt);
  await m.field('code').fill('oats');
  assert.deepEqual(await m.problems(), ['Swatch oats: ‘oats’ is not in the catalogue; choose one from the list.']);
  await m.openRow('Mid-length');
  await m.$('#problems button').click();
  assert.equal(await m.field('code').inputValue(), 'oats');
  await m.field('code').fill('oat');
  assert.deepEqual(await m.problems(), []);
  await m.row('Mid-length').getByRole('button', { name: 'Delete' }).click();
  assert.deepEqual(await m.problems(), ['No hair is marked yet: mark at least one of mid-length, root, gray or ends.', 'Swatch oat: it is held at ‘mid’, which is not marked; choose another zone.']);
  await m.$('#undo').click();
  await m.save();
  await m.done();
});

test('page and program agree about outlines: 200 random polygons', async () => {
  const source = readFileSync(new URL('../../cli/page/geometry.js', import.meta.url), 'utf8');
  const { crossesItself, area } = await import(`data:text/javascript,${encodeURIComponent(source)}`);
  let seed = 7;
  const random = n => (seed = (seed * 48271) % 2147483647) % n;
  const m = await openMarking(browser);
  const polygons = Array.from({ length: 200 }, () => Array.from({ length: 3 + random(4) }, () => [10 * random(8), 10 * random(8)]))
    .filter(points => points.every((p, i) => String(p) !== String(points[(i + 1) % points.length])));
  const files = polygons.map((polygon, i) => writeOut(`random-${i}.zones.json`, zones({ kind: 'mid', polygon })));
  const refused = m.check(...files).split('\n').map(line => line !== 'ok'), mine = polygons.map(points => area(points) < 0.5 || crossesItself(points));
  polygons.forEach((points, i) => assert.equal(mine[i], refused[i], JSON.stringify(points)));
  assert.ok(refused.filter(Boolean).length > 30 && refused.filter(no => !no).length > 30, 'both kinds occur');
  await m.done();
});

// ---- swatches and names ----

test('type-ahead: code first, then name; hair before beads; keys choose; case is mended', async () => {
  const m = await openMarking(browser);
  await m.box(SCENE.mid);
  await m.kind('Swatch');
  await m.box(SCENE.malt);
  const options = () => m.$('.options li').evaluateAll(list => list.filter(li => li.offsetParent).map(li => li.querySelector('.code')?.textContent ?? li.textContent));
  const code = m.field('code');
  await code.pressSequentially('ma');
  assert.deepEqual(await options(), ['Malt', 'umber'], 'a code that begins so, then a name; the bead last');
  assert.match(await m.$('.options li').first().textContent(), /Malt brownL\* 38\.2 {2}a\* 11\.3 {2}b\* 20\.5/);
  assert.equal(await m.$('.options .chip').first().evaluate(chip => getComputedStyle(chip).backgroundColor), 'lab(38.2 11.3 20.5)');
  assert.match(await m.$('.options li').last().textContent(), /Malt bead \(bead\)/);
  await code.fill('batch');
  assert.deepEqual(await options(), ['fog-2'], 'any word of the name');
  await code.fill('zzz');
  assert.deepEqual(await options(), ['No swatch of the catalogue fits.']);
  await code.press('Escape');
  assert.equal(await code.getAttribute('aria-expanded'), 'false');
  await code.press('ArrowDown');
  assert.deepEqual(await options(), CATALOGUE.map(swatch => swatch.code), 'all of them');
  await code.press('ArrowDown');
  const active = await code.getAttribute('aria-activedescendant');
  assert.equal(await m.page.locator(`#${active}`).getAttribute('aria-selected'), 'true');
  await code.press('Enter');
  assert.equal(await code.inputValue(), 'barley');
  await code.fill('MALT');
  await code.blur();
  assert.equal((await m.save()).zones[1].code, 'Malt');
  await code.click();
  await m.$('.options li', { hasText: 'Rye crust' }).filter({ hasText: 'Rye crust' }).click();
  assert.equal((await m.save()).zones[1].code, 'rye');
  assert.match(await m.page.textContent('.picked'), /^Rye crust, L\* 30\.0/);
  await m.done();
});

test('without a catalogue the code is typed freely', async () => {
  const m = await openMarking(browser, { catalogue: null });
  await m.box(SCENE.mid);
  await m.kind('Swatch');
  await m.box(SCENE.malt);
  await m.keyboard.type('my own 7');
  assert.equal((await m.save()).zones[1].code, 'my own 7');
  await m.done();
});

test('a swatch is held at the nearest zone by itself, and stays with it when that is renamed', async () => {
  const m = await openMarking(browser);
  await m.box(SCENE.mid);
  await m.kind('Root');
  await m.box(SCENE.root);
  await m.kind('Swatch');
  await m.box(SCENE.malt);
  await m.keyboard.type('oat');
  assert.equal(await m.field('at').inputValue(), 'root');
  await m.openRow('Root');
  await m.field('name').pressSequentially('mid crown'); // passes through ‘mid’, another zone's name
  let { zones } = await m.save();
  assert.deepEqual([zones[1].name, zones[2].at], ['mid crown', 'mid crown']);
  await m.openRow('Swatch oat');
  await m.field('at').selectOption('');
  zones = (await m.save()).zones;
  assert.ok(!('at' in zones[2]));
  await m.done();
});

test('card, kind and place are edited in the form', async () => {
  const m = await openMarking(browser);
  await m.box(SCENE.mid);
  await m.kind('Card');
  await m.box([990, 160, 80, 80]);
  await m.field('lab0').fill('81.3');
  await m.field('lab2').fill('-1.5');
  for (const [key, value] of Object.entries({ x: 985, y: 155, w: 100, h: 90 })) await m.field(key).fill(String(value));
  let { zones } = await m.save();
  assert.deepEqual(zones[1], { kind: 'card', rect: [985, 155, 100, 90], lab: [81.3, 0, -1.5] });
  await m.field('lab0').fill('');
  assert.deepEqual(await m.problems(), ['Card: its colour needs L* from 0 to 100 and a*, b* from −128 to 127.']);
  await m.field('kind').selectOption('target');
  await m.field('reference').fill('t.txt');
  assert.ok((await m.save()).zones[1].corners);
  await m.field('kind').selectOption('gray');
  zones = (await m.save()).zones;
  assert.deepEqual(Object.keys(zones[1]), ['kind', 'polygon'], 'nothing of the other kinds is left');
  await m.done();
});

// ---- colours ----

test('the chip shows the average, with words for blown out, black, mixed and skin (G1)', async () => {
  const m = await openMarking(browser);
  const facts = async rect => {
    await m.box(rect);
    await m.settle();
    const row = m.$('#zone-list .selected');
    const lab = (await row.locator('.numbers').textContent()).replaceAll('−', '-').match(/L\* (\S+) +a\* (\S+) +b\* (\S+)/).slice(1).map(Number);
    const colour = await row.locator('.chip').first().evaluate(chip => getComputedStyle(chip).backgroundColor);
    assertNear(colour.match(/lab\((\S+) (\S+) (\S+)\)/).slice(1).map(Number), lab, 0.06, 'the chip is of the colour that is written');
    const warnings = await row.locator('.warnings li').allTextContents();
    await m.$('#undo').click();
    return { lab, warnings };
  };
  await m.kind('Card');
  const card = await facts([990, 160, 100, 100]);
  assertNear(card.lab, [50.03, 0, 0], 0.6, 'byte 119 is L* 50.03 (IEC 61966-2-1, CIE 15)');
  assert.deepEqual(card.warnings, []);
  assert.match((await facts([950, 160, 100, 100])).warnings.join(), /^Uneven light on the card: .*Mixed: lightness varies by ±/);
  await m.kind('Swatch');
  const swatch = await facts(SCENE.malt);
  assertNear(swatch.lab, [39.6, 13, 22], 0.8, 'bytes 121, 85, 58: LittleCMS gives 39.6, 13, 22 to the whole number in a* and b*');
  await m.kind('Mid-length');
  assert.deepEqual((await facts(SCENE.mid)).warnings, []);
  assert.deepEqual((await facts(SCENE.burnt)).warnings, ['Too bright: 100 % is blown out. Choose a spot without shine.']);
  assert.deepEqual((await facts(SCENE.black)).warnings, ['Too dark: 100 % is black. Choose a lit spot.']);
  assert.match((await facts(SCENE.chin)).warnings[0], /^Mixed: \d+ % looks like skin\. Keep to hair\.$/);
  assert.match((await facts([250, 400, 120, 60])).warnings.join(), /Mixed: lightness varies by ±/);
  await m.done();
});

test('the average is live while a box is dragged', async () => {
  const m = await openMarking(browser);
  const [x, y] = await m.at([45, 65]);
  await m.mouse.move(x, y);
  await m.mouse.down();
  await m.mouse.move(x + 30, y + 30);
  await m.settle();
  const [first] = await m.$('#readout').allTextContents();
  assert.match(first, /^8\d, 10\d3\d × 3\d.*L\* 100\.0.*Too bright: 100 % is blown out/);
  await m.mouse.move(...await m.at([300, 290]));
  await m.settle();
  assert.match((await m.$('#readout').allTextContents())[0], /2\d\d × 2\d\dL\* .*Too bright: \d\d %/);
  await m.mouse.up();
  await m.done();
});

test('advice: small zones, gray without a gray-free reference, nothing of known colour, a swatch over the hair', async () => {
  const m = await openMarking(browser);
  await m.box([500, 600, 20, 20]);
  const hints = await m.hints();
  assert.match(hints[0], /^Mid-length is small: under 1000 pixels no gray share can be told\.$/);
  assert.match(hints[1], /^Nothing of known colour is marked/);
  await m.kind('Gray');
  await m.box(SCENE.temple);
  assert.match((await m.hints())[1], /tick that in its details/);
  await m.openRow('Mid-length');
  await m.$('.selected [data-field=grayFree]').check();
  await m.kind('Card');
  await m.box([990, 160, 80, 80]);
  assert.equal((await m.hints()).length, 1);
  await m.$('#zoom-fit').click(); // choosing a small zone zooms in on it
  await m.kind('Swatch');
  await m.box([300, 300, 60, 60]);
  await m.field('code').fill('oat');
  assert.match((await m.hints())[1], /^Swatch oat covers part of Gray and would count as hair/);
  await m.save({ notes: ['zones_overlap'] });
  await m.done();
});

// ---- the page itself ----

test('hostile names and catalogues stay text', async () => {
  const hostile = '</script><script>document.title="caught"</script>\u2028<!--';
  const m = await openMarking(browser, {
    facts: { photo: `a"&'<b>${hostile}.jpg`, command: `weftmatch match 'a ${hostile}' --zones x` },
    catalogue: [{ code: hostile, name: '<img src=x onerror=alert(1)>', kind: 'hair', L: 50, a: 0, b: 0 }],
    zones: JSON.stringify({ format: 1, photo: hostile, zones: [{ ...MID, name: 'a </script> b' }] })
  });
  assert.equal(await m.page.title(), `Mark a"&'<b>${hostile}.jpg`);
  assert.equal(await m.page.textContent('#photo-name'), `a"&'<b>${hostile}.jpg`);
  assert.equal(await m.page.textContent('#command'), `weftmatch match 'a ${hostile}' --zones x`);
  assert.deepEqual(await m.titles(), ['Mid-length ‘a </script> b’']);
  await m.kind('Swatch');
  await m.box(SCENE.malt);
  await m.field('code').press('ArrowDown');
  assert.equal(await m.page.textContent('.options .code'), hostile);
  await m.field('code').press('Enter');
  const { zones } = await m.save();
  assert.equal(zones[1].code, hostile);
  await m.done();
});

test('the next command is shown exactly and copied', async () => {
  const command = 'weftmatch match client.jpg --zones client.zones.json';
  const m = await openMarking(browser);
  assert.equal(await m.page.textContent('#command'), command);
  await m.$('#copy').click();
  await settles(() => note(m), 'Command copied.');
  assert.equal(await m.page.evaluate(() => navigator.clipboard.readText()), command);
  await m.done();
});

test('leaving with unsaved zones asks first, after saving it does not', async () => {
  const m = await openMarking(browser);
  const asks = () => m.page.evaluate(() => { const e = new Event('beforeunload', { cancelable: true }); window.dispatchEvent(e); return e.defaultPrevented; });
  assert.equal(await asks(), false);
  await m.box(SCENE.mid);
  assert.equal(await asks(), true);
  await m.save();
  assert.equal(await asks(), false);
  await m.done();
});

test('the page may ask the network for nothing', async () => {
  const m = await openMarking(browser);
  const blocked = await m.page.evaluate(() => new Promise(resolve => {
    document.addEventListener('securitypolicyviolation', e => resolve(e.effectiveDirective));
    fetch('http://127.0.0.1:9/').catch(() => {});
  }));
  assert.equal(blocked, 'connect-src');
  m.faults.length = 0; // the console told of it, as it should
  await m.done();
});

const PROGRAM = process.env.WEFTMATCH, SAMPLES = process.env.SAMPLES_DIR;
test('mark, draw, save, and the command that the page shows', { skip: !PROGRAM && 'WEFTMATCH names no program' }, async () => {
  const folder = path.resolve(OUT, 'first steps'), page = path.join(folder, 'page.html');
  mkdirSync(folder, { recursive: true });
  for (const name of ['client.jpg', 'swatches.csv']) copyFileSync(path.join(SAMPLES, name), path.join(folder, name));
  const sh = command => {
    try {
      return { status: 0, out: execFileSync('sh', ['-c', command], { cwd: folder, encoding: 'utf8', env: { ...process.env, HOME: folder, PATH: `${path.dirname(PROGRAM)}:${process.env.PATH}` }, stdio: ['ignore', 'pipe', 'pipe'] }) };
    } catch (error) {
      return { status: error.status, out: error.stdout + error.stderr };
    }
  };
  const made = sh('weftmatch mark client.jpg -o page.html --swatches swatches.csv --force');
  assert.equal(made.status, 0, made.out);

  const opened = await openFile(browser, page);
  await opened.page.waitForSelector('#opening', { state: 'detached' });
  const m = new Marking(opened, { width: 1600, height: 1200, photo: 'client.jpg', name: 'first-steps' });
  await m.box([708, 600, 102, 132]);
  await m.$('.selected [data-field=grayFree]').check();
  await m.kind('Root');
  await m.box([702, 168, 108, 72]);
  await m.kind('Swatch');
  await m.box([828, 600, 48, 102]);
  await m.keyboard.type('moth');
  await m.keyboard.press('Enter');
  const { file } = await m.save();
  const command = await m.page.textContent('#command');
  await m.done();

  mkdirSync(path.join(folder, 'Downloads'), { recursive: true });
  copyFileSync(file, path.join(folder, 'Downloads', 'client.zones.json'));
  assert.match(command, /--html client\.report\.html$/);
  const matched = sh(`${command} --force`);
  assert.ok([0, 1].includes(matched.status), `${command}: ${matched.status} ${matched.out}`);
  assert.match(matched.out, /moth/);
});
