// zones: the model. A zone is never changed in place: an edit makes a new one, so that undo keeps the old for nothing.
//   {id, kind, shape: rect|polygon|corners, points, name, grayFree, code, at, lab, rows, columns, reference, extra}

const KINDS = [
  { id: 'mid', title: 'Mid-length', client: true, help: 'Even hair half-way down, without shine or gaps. Start here: the rest leans on it.' },
  { id: 'root', title: 'Root', client: true, help: 'The first centimetres at the scalp, away from the parting’s skin.' },
  { id: 'gray', title: 'Gray', client: true, help: 'Where gray shows most, for example a temple. One zone for each place.' },
  { id: 'ends', title: 'Ends', client: true, help: 'The last part of the lengths, where the wefts must blend.' },
  { id: 'swatch', title: 'Swatch', help: 'A swatch of yours held in the photo, best touching a zone. Two or three help most.' },
  { id: 'card', title: 'Card', help: 'A flat card of known colour, such as a gray card, in the same light.' },
  { id: 'target', title: 'Target', help: 'Drag from its first patch to the opposite one, then pull the corners onto the centres of the corner patches.' }];
const kindOf = id => KINDS.find(kind => kind.id === id);
const isClient = zone => Boolean(kindOf(zone.kind).client);

const GRAY_CARD = [50, 0, 0]; // the 18.4 % gray card

let lastId = 0;

/** A new zone with what its kind needs. */
function makeZone(kind, shape, points, zones) {
  const zone = { id: ++lastId, kind, shape, points, name: '', extra: {} };
  return { ...zone, ...kindDefaults(zone, zones) };
}

/** What changing to a kind adds; values already there are kept. */
function kindDefaults(zone, zones) {
  const others = zones.filter(z => z.id !== zone.id);
  switch (zone.kind) {
    case 'swatch': return { code: zone.code ?? '', at: zone.at ?? nearestClient(zone.points, others) };
    case 'card': return { lab: zone.lab ?? GRAY_CARD };
    case 'target': return { shape: 'corners', rows: zone.rows ?? 4, columns: zone.columns ?? 6, reference: zone.reference ?? '' };
    default: return { name: zone.name || freeName(zone.kind, others) };
  }
}

/** The name by which the program knows a client zone: its own, else the kind. */
const zoneName = zone => zone.name.trim() || (isClient(zone) ? zone.kind : '');

/** '' when the kind itself is still free (it is the default name), else the kind and a number. */
function freeName(kind, zones) {
  const taken = new Set(zones.filter(isClient).map(zoneName));
  if (!taken.has(kind)) return '';
  for (let n = 2; ; n++) if (!taken.has(`${kind} ${n}`)) return `${kind} ${n}`;
}

function nearestClient(points, zones) {
  const b = bounds(points);
  const gap = zone => {
    const z = bounds(zone.points);
    return Math.hypot(Math.max(0, z.x - b.x - b.width, b.x - z.x - z.width), Math.max(0, z.y - b.y - b.height, b.y - z.y - z.height));
  };
  const near = zones.filter(isClient).map(zone => [gap(zone), zoneName(zone)]).sort((p, q) => p[0] - q[0]);
  return near.length ? near[0][1] : '';
}

/** For people: "gray ‘left temple’", "swatch oat", "card". */
function describe(zone) {
  const { title } = kindOf(zone.kind);
  if (zone.kind === 'swatch') return `${title} ${zone.code || zone.name}`.trim();
  return zone.name && zone.name !== zone.kind ? `${title} ‘${zone.name}’` : title;
}

// ---- edits: zones in, zones out ----

const replaceZone = (zones, zone) => zones.map(z => (z.id === zone.id ? zone : z));
const removeZone = (zones, id) => zones.filter(z => z.id !== id);

/** Ids of the swatches held at a zone, as long as its name is its own. */
function heldAt(zones, id) {
  const name = zoneName(zones.find(z => z.id === id));
  const sole = zones.filter(z => isClient(z) && zoneName(z) === name).length === 1;
  return sole ? zones.filter(z => z.kind === 'swatch' && z.at === name).map(z => z.id) : [];
}

/** A renamed client zone takes the swatches `held` at it along. */
function renameZone(zones, id, name, held) {
  const at = zoneName({ ...zones.find(z => z.id === id), name });
  return zones.map(z => (z.id === id ? { ...z, name } : held.includes(z.id) ? { ...z, at } : z));
}

function changeKind(zones, id, kind) {
  const zone = zones.find(z => z.id === id);
  const plain = { ...zone, kind, shape: zone.shape === 'corners' ? 'polygon' : zone.shape, name: zone.name === zoneName({ ...zone, name: '' }) ? '' : zone.name };
  return replaceZone(zones, { ...plain, ...kindDefaults(plain, zones) });
}

/** Moved by a vector, kept inside the photo. */
function movePoints(points, dx, dy, photo) {
  const b = bounds(points);
  const mx = clamp(dx, -b.x, photo.width - b.x - b.width), my = clamp(dy, -b.y, photo.height - b.y - b.height);
  return points.map(([x, y]) => [Math.round(x + mx), Math.round(y + my)]);
}

/** With corner `index` at p: a rectangle stays one, the others bend. */
function moveCorner(zone, index, p) {
  if (zone.shape === 'rect') return rectPoints(rectBetween(zone.points[(index + 2) % 4], p));
  return zone.points.map((q, i) => (i === index ? [Math.round(p[0]), Math.round(p[1])] : q));
}

// ---- what the program would refuse, and what it would rather have ----

/** [{id, text}]: faults that keep `match` from taking the file. id is the zone's, or null. */
function findProblems(zones, facts) {
  const problems = [];
  if (!zones.some(isClient)) problems.push({ id: null, text: 'No hair is marked yet: mark at least one of mid-length, root, gray or ends.' });
  for (const zone of zones) for (const text of zoneProblems(zone, zones, facts)) problems.push({ id: zone.id, text: `${describe(zone)}: ${text}` });
  return problems;
}

function zoneProblems(zone, zones, facts) {
  return [...shapeProblems(zone, facts), ...nameFaults(zone), ...(isClient(zone) ? twinProblems(zone, zones) : aidProblems(zone, zones, facts))];
}

const MOST_PIXELS = 16e6; // the program's limit for one zone

function shapeProblems(zone, photo) {
  if (zone.points.length < 3 || isLine(zone.points)) return ['this shape is empty; draw it again.'];
  const texts = [], corners = zone.shape === 'corners', b = bounds(zone.points);
  if (!isInside(zone.points, photo)) texts.push('it reaches outside the photo; move it inside.');
  if (b.width * b.height > MOST_PIXELS) return [...texts, 'it spans more than 16 megapixels; draw it smaller.'];
  if (corners && !isConvex(zone.points)) texts.push('its corners cross or bend inwards; pull each onto its corner patch.');
  else if (crossesItself(zone.points)) texts.push('its outline crosses itself; move a corner or draw it again.');
  else if (corners) texts.push(...patchProblems(zone, photo));
  else if (!holdsPixel(zone.points, photo)) texts.push('it is too thin to hold a pixel; draw it larger.');
  return texts;
}

const isInside = (points, { width, height }) => points.every(([x, y]) => x >= 0 && y >= 0 && x <= width && y <= height);
const hasGrid = zone => [zone.rows, zone.columns].every(n => Number.isInteger(n) && n >= 2 && n <= 100);

function patchProblems(zone, photo) {
  const patches = hasGrid(zone) && isInside(zone.points, photo) ? patchShapes(zone.points, zone.rows, zone.columns) : [];
  return patches.every(patch => holdsPixel(patch, photo)) ? [] : ['not every patch holds a pixel of the photo; check corners, rows and columns.'];
}

const turnsOf = points => points.map((p, i) => turn(p, points[(i + 1) % points.length], points[(i + 2) % points.length]));
const isLine = points => turnsOf(points).every(t => t === 0);

function isConvex(points) {
  const turns = turnsOf(points);
  return Math.abs(turns.reduce((sum, t) => sum + t, 0)) === points.length;
}

const LONGEST_NAME = 64; // bytes, the program's limit

function nameFaults({ name }) {
  const texts = [];
  if (new TextEncoder().encode(name.trim()).length > LONGEST_NAME) texts.push('its name is too long; shorten it.');
  if (/[\u0000-\u001f\u007f]/.test(name.trim())) texts.push('its name holds a control character; type it anew.');
  return texts;
}

function twinProblems(zone, zones) {
  const name = zoneName(zone);
  const twin = zones.find(z => isClient(z) && zoneName(z) === name);
  return twin !== zone ? [`another zone is called ‘${name}’ too; rename one.`] : [];
}

function aidProblems(zone, zones, facts) {
  if (zone.kind === 'swatch') return swatchProblems(zone, zones, facts);
  if (zone.kind === 'card') return labProblems(zone.lab);
  const texts = [];
  if (!hasGrid(zone)) texts.push('the numbers of rows and columns must be whole, from 2 to 100.');
  if (!zone.reference.trim()) texts.push('it has no reference; type the name of its reference file.');
  return texts;
}

function swatchProblems(zone, zones, { catalogue }) {
  const texts = [];
  if (!zone.code.trim()) texts.push('it has no code; choose which swatch this is.');
  else if (catalogue && !catalogue.some(s => s.code === zone.code)) texts.push(`‘${zone.code}’ is not in the catalogue; choose one from the list.`);
  if (zone.at && !zones.some(z => isClient(z) && zoneName(z) === zone.at)) texts.push(`it is held at ‘${zone.at}’, which is not marked; choose another zone.`);
  return texts;
}

function labProblems(lab) {
  const good = lab.length === 3 && lab.every(Number.isFinite) && lab[0] >= 0 && lab[0] <= 100 && lab.slice(1).every(v => v >= -128 && v <= 127);
  return good ? [] : ['its colour needs L* from 0 to 100 and a*, b* from −128 to 127.'];
}

/** Advice that does not keep the file from being used. */
function findHints(zones) {
  const hints = [];
  const has = kind => zones.some(z => z.kind === kind);
  for (const zone of zones)
    if (isClient(zone) && area(zone.points) < 1000) hints.push({ id: zone.id, text: `${describe(zone)} is small: under 1000 pixels no gray share can be told.` });
  for (const aid of zones.filter(z => !isClient(z))) {
    const covered = zones.find(z => isClient(z) && overlap(aid.points, z.points));
    if (covered) hints.push({ id: aid.id, text: `${describe(aid)} covers part of ${describe(covered)} and would count as hair: draw the two apart.` });
  }
  const mid = zones.find(z => z.kind === 'mid');
  if (has('gray') && !mid) hints.push({ id: null, text: 'Mark a mid-length zone without gray too: gray is told against it.' });
  else if (has('gray') && !zones.some(z => z.kind === 'mid' && z.grayFree))
    hints.push({ id: mid.id, text: 'If a mid-length zone has no gray hair, tick that in its details: the gray share gets surer.' });
  if (zones.some(isClient) && !has('swatch') && !has('card') && !has('target'))
    hints.push({ id: null, text: 'Nothing of known colour is marked: the colours will be rough. A swatch held at the hair helps most.' });
  return hints;
}

// ---- the zones file ----

function zoneToFile(zone) {
  const out = { kind: zone.kind };
  if (zone.kind === 'swatch') out.code = zone.code.trim();
  if (zone.name.trim()) out.name = zone.name.trim();
  if (zone.kind === 'swatch' && zone.at) out.at = zone.at;
  if (zone.shape === 'rect') out.rect = rectOf(zone.points);
  else out[zone.shape] = zone.points;
  if (isClient(zone) && zone.grayFree) out.gray_free = true;
  if (isClient(zone) && zone.place) out.place = zone.place;
  if (zone.kind === 'card') out.lab = zone.lab;
  if (zone.kind === 'target') Object.assign(out, { rows: zone.rows, columns: zone.columns, reference: zone.reference.trim() });
  return { ...out, ...zone.extra };
}

/** One zone a line: easy to read, easy to compare. */
function zonesFileText(zones, facts, extra) {
  const head = { format: 1, photo: facts.photo, ...extra };
  const members = Object.entries(head).map(([key, value]) => `  ${JSON.stringify(key)}: ${JSON.stringify(value)}`);
  const lines = zones.map(zone => `    ${JSON.stringify(zoneToFile(zone))}`);
  return `{\n${members.join(',\n')},\n  "zones": [\n${lines.join(',\n')}\n  ]\n}\n`;
}

const isNumber = value => typeof value === 'number' && Number.isFinite(value);
const isPoints = value => Array.isArray(value) && value.every(p => Array.isArray(p) && p.length === 2 && p.every(isNumber));

/** Where on the head a client zone lies; none: its kind decides. */
const PLACES = ['side', 'back', 'crown', 'nape'];

const FIELDS = {
  name: { ok: v => typeof v === 'string', want: 'text' },
  code: { ok: v => typeof v === 'string', want: 'text' },
  at: { ok: v => typeof v === 'string', want: 'text' },
  reference: { ok: v => typeof v === 'string', want: 'text' },
  place: { ok: v => PLACES.includes(v), want: 'side, back, crown or nape' },
  gray_free: { ok: v => typeof v === 'boolean', want: 'true or false' },
  rows: { ok: isNumber, want: 'a number' },
  columns: { ok: isNumber, want: 'a number' },
  lab: { ok: v => Array.isArray(v) && v.length === 3 && v.every(isNumber), want: 'three numbers' },
  rect: { ok: v => Array.isArray(v) && v.length === 4 && v.every(isNumber), want: 'four numbers: x, y, width, height' },
  polygon: { ok: v => isPoints(v) && v.length >= 3, want: 'three or more points [x, y]' },
  corners: { ok: v => isPoints(v) && v.length === 4, want: 'four points [x, y]' }
};

/** A zones file's text to {zones, extra, notes}; throws an Error whose message says what is wrong. Faults that can be mended on
 *  the page (names, codes, places) are let in: findProblems tells of them. */
function readZonesFile(text, facts) {
  let file;
  try { file = JSON.parse(text.replace(/^\uFEFF/, '')); } catch (error) { throw new Error(`This is not a zones file: ${error.message}.`); }
  if (typeof file !== 'object' || file === null || !Array.isArray(file.zones)) throw new Error('This is not a zones file: it has no list “zones”.');
  if (file.format !== 1) throw new Error(`This zones file has format ${JSON.stringify(file.format ?? null)}; this page reads format 1.`);
  const { format, photo, zones: list, ...extra } = file, notes = [];
  if (typeof photo === 'string' && photo !== facts.photo) notes.push(`The file was made for ‘${photo}’; check that every zone lies where it should.`);
  const zones = list.map((item, i) => readZone(item, i, notes));
  if (Object.keys(extra).length) notes.push(`Kept as they are: ${Object.keys(extra).join(', ')}.`);
  return { zones, extra, notes };
}

function readZone(item, index, notes) {
  const fail = text => { throw new Error(`Zone ${index + 1}${typeof item?.name === 'string' ? ` (‘${item.name}’)` : ''} in the file: ${text}`); };
  if (typeof item !== 'object' || item === null || !kindOf(item.kind)) fail(`unknown kind ${JSON.stringify(item?.kind ?? null)}.`);
  for (const [key, { ok, want }] of Object.entries(FIELDS)) if (key in item && !ok(item[key])) fail(`“${key}” must be ${want}.`);
  const shapes = ['rect', 'polygon', 'corners'].filter(key => key in item);
  if (shapes.length !== 1) fail('it needs exactly one of “rect”, “polygon” and “corners”.');
  const shape = shapes[0];
  if ((shape === 'corners') !== (item.kind === 'target')) fail(item.kind === 'target' ? 'a target needs “corners”.' : '“corners” are for a target only.');
  const { kind, name = '', rect, polygon, corners, ...own } = item;
  const zone = { id: ++lastId, kind, shape, points: rect ? rectPoints(rect) : polygon ?? corners, name, ...readOwn(kind, own) };
  zone.extra = Object.fromEntries(Object.entries(own).filter(([key]) => !OWN_KEYS[kind].includes(key)));
  if (Object.keys(zone.extra).length) notes.push(`Kept as they are in zone ${index + 1}: ${Object.keys(zone.extra).join(', ')}.`);
  return zone;
}

const CLIENT_KEYS = ['gray_free', 'place'];
const OWN_KEYS = { mid: CLIENT_KEYS, root: CLIENT_KEYS, gray: CLIENT_KEYS, ends: CLIENT_KEYS, swatch: ['code', 'at'], card: ['lab'], target: ['rows', 'columns', 'reference'] };

function readOwn(kind, { gray_free: grayFree = false, place = '', code = '', at = '', lab = GRAY_CARD, rows = 0, columns = 0, reference = '' }) {
  return { swatch: { code, at }, card: { lab }, target: { rows, columns, reference } }[kind] ?? { grayFree, place };
}
