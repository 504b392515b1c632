// zones: the model. A zone is never changed in place: an edit makes a new one, so that undo keeps the old for nothing.
//   {id, kind, shape: rect|polygon|corners, points, name, grayFree, code, at, lab, rows, columns, reference, extra}

import { area, bounds, clamp, crossesItself, holdsPixel, overlap, patchShapes, rectBetween, rectOf, rectPoints, turn } from './geometry.js';
import { t } from './words.js';

export const KINDS = [
  { id: 'mid', client: true }, { id: 'root', client: true }, { id: 'gray', client: true }, { id: 'ends', client: true },
  { id: 'swatch' }, { id: 'card' }, { id: 'target' }];
export const titleOf = kind => t(`kind.${kind}`);
export const helpOf = kind => t(`kind.${kind}.help`);
export const kindOf = id => KINDS.find(kind => kind.id === id);
/** Whether the program may doubt that it is hair, and be told. */
export const canBeHair = zone => isClient(zone) || zone.kind === 'swatch';
export const isClient = zone => Boolean(kindOf(zone.kind).client);

/** Cards that need no number typed: the 18.4 % gray card; white paper, whose brightener all swatches of the photo share (C29). */
export const CARDS = { gray: [50, 0, 0], paper: [94.3, 0, 0] };
const GRAY_CARD = CARDS.gray;

let lastId = 0;

const WHITE_FROM_L = 72; // an 18 % card is hardly seen so light: the card is taken for white paper until she says otherwise

/** A new zone with what its kind needs; seen: its colour in the picture. */
export function makeZone(kind, shape, points, zones, seen = null) {
  const zone = { id: ++lastId, kind, shape, points, name: '', extra: {} };
  if (kind === 'card' && seen?.[0] > WHITE_FROM_L) zone.lab = CARDS.paper;
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
export const zoneName = zone => zone.name.trim() || (isClient(zone) ? zone.kind : '');

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
export function describe(zone) {
  const title = titleOf(zone.kind);
  if (zone.kind === 'swatch') return `${title} ${zone.code || zone.name}`.trim();
  return zone.name && zone.name !== zone.kind ? t('zone.named', { title, name: zone.name }) : title;
}

// ---- edits: zones in, zones out ----

export const replaceZone = (zones, zone) => zones.map(z => (z.id === zone.id ? zone : z));
export const removeZone = (zones, id) => zones.filter(z => z.id !== id);

/** Ids of the swatches held at a zone, as long as its name is its own. */
export function heldAt(zones, id) {
  const name = zoneName(zones.find(z => z.id === id));
  const sole = zones.filter(z => isClient(z) && zoneName(z) === name).length === 1;
  return sole ? zones.filter(z => z.kind === 'swatch' && z.at === name).map(z => z.id) : [];
}

/** A renamed client zone takes the swatches `held` at it along. */
export function renameZone(zones, id, name, held) {
  const at = zoneName({ ...zones.find(z => z.id === id), name });
  return zones.map(z => (z.id === id ? { ...z, name } : held.includes(z.id) ? { ...z, at } : z));
}

export function changeKind(zones, id, kind) {
  const zone = zones.find(z => z.id === id);
  const plain = { ...zone, kind, shape: zone.shape === 'corners' ? 'polygon' : zone.shape, name: zone.name === zoneName({ ...zone, name: '' }) ? '' : zone.name };
  return replaceZone(zones, { ...plain, ...kindDefaults(plain, zones) });
}

/** Moved by a vector, kept inside the photo. */
export function movePoints(points, dx, dy, photo) {
  const b = bounds(points);
  const mx = clamp(dx, -b.x, photo.width - b.x - b.width), my = clamp(dy, -b.y, photo.height - b.y - b.height);
  return points.map(([x, y]) => [Math.round(x + mx), Math.round(y + my)]);
}

/** With corner `index` at p: a rectangle stays one, the others bend. */
export function moveCorner(zone, index, p) {
  if (zone.shape === 'rect') return rectPoints(rectBetween(zone.points[(index + 2) % 4], p));
  return zone.points.map((q, i) => (i === index ? [Math.round(p[0]), Math.round(p[1])] : q));
}

// ---- what the program would refuse, and what it would rather have ----

/** [{id, text}]: faults that keep `match` from taking the file. id is the zone's, or null. */
export function findProblems(zones, facts) {
  const problems = [];
  if (!zones.some(isClient) && !facts.kinds) problems.push({ id: null, text: t('problem.no_hair') });
  for (const zone of zones) for (const text of zoneProblems(zone, zones, facts)) problems.push({ id: zone.id, text: `${describe(zone)}: ${text}` });
  return problems;
}

function zoneProblems(zone, zones, facts) {
  return [...shapeProblems(zone, facts), ...nameFaults(zone), ...(isClient(zone) ? twinProblems(zone, zones) : aidProblems(zone, zones, facts))];
}

const MOST_PIXELS = 16e6; // the program's limit for one zone

function shapeProblems(zone, photo) {
  if (zone.points.length < 3 || isLine(zone.points)) return [t('problem.empty')];
  const texts = [], corners = zone.shape === 'corners', b = bounds(zone.points);
  if (!isInside(zone.points, photo)) texts.push(t('problem.outside'));
  if (b.width * b.height > MOST_PIXELS) return [...texts, t('problem.large')];
  if (corners && !isConvex(zone.points)) texts.push(t('problem.corners'));
  else if (crossesItself(zone.points)) texts.push(t('problem.crosses'));
  else if (corners) texts.push(...patchProblems(zone, photo));
  else if (!holdsPixel(zone.points, photo)) texts.push(t('problem.thin'));
  return texts;
}

const isInside = (points, { width, height }) => points.every(([x, y]) => x >= 0 && y >= 0 && x <= width && y <= height);
export const hasGrid = zone => [zone.rows, zone.columns].every(n => Number.isInteger(n) && n >= 2 && n <= 100);

function patchProblems(zone, photo) {
  const patches = hasGrid(zone) && isInside(zone.points, photo) ? patchShapes(zone.points, zone.rows, zone.columns) : [];
  return patches.every(patch => holdsPixel(patch, photo)) ? [] : [t('problem.patches')];
}

const turnsOf = points => points.map((p, i) => turn(p, points[(i + 1) % points.length], points[(i + 2) % points.length]));
const isLine = points => turnsOf(points).every(t => t === 0);

export function isConvex(points) {
  const turns = turnsOf(points);
  return Math.abs(turns.reduce((sum, t) => sum + t, 0)) === points.length;
}

const LONGEST_NAME = 64; // bytes, the program's limit

function nameFaults({ name }) {
  const texts = [];
  if (new TextEncoder().encode(name.trim()).length > LONGEST_NAME) texts.push(t('problem.name_long'));
  if (/[\u0000-\u001f\u007f]/.test(name.trim())) texts.push(t('problem.name_control'));
  return texts;
}

function twinProblems(zone, zones) {
  const name = zoneName(zone);
  const twin = zones.find(z => isClient(z) && zoneName(z) === name);
  return twin !== zone ? [t('problem.twin', { name })] : [];
}

function aidProblems(zone, zones, facts) {
  if (zone.kind === 'swatch') return swatchProblems(zone, zones, facts);
  if (zone.kind === 'card') return labProblems(zone.lab);
  const texts = [];
  if (!hasGrid(zone)) texts.push(t('problem.grid'));
  if (!zone.reference.trim()) texts.push(t('problem.reference'));
  return texts;
}

function swatchProblems(zone, zones, { catalogue }) {
  const texts = [];
  if (!zone.code.trim()) texts.push(t('problem.no_code'));
  else if (catalogue && !catalogue.some(s => s.code === zone.code)) texts.push(t('problem.unknown_code', { code: zone.code }));
  if (zone.at && !zones.some(z => isClient(z) && zoneName(z) === zone.at)) texts.push(t('problem.at', { at: zone.at }));
  return texts;
}

function labProblems(lab) {
  const good = lab.length === 3 && lab.every(Number.isFinite) && lab[0] >= 0 && lab[0] <= 100 && lab.slice(1).every(v => v >= -128 && v <= 127);
  return good ? [] : [t('problem.lab')];
}

/** Advice that does not keep the file from being used. */
export function findHints(zones) {
  const hints = [];
  const has = kind => zones.some(z => z.kind === kind);
  for (const zone of zones)
    if (isClient(zone) && area(zone.points) < 1000) hints.push({ id: zone.id, text: t('hint.small', { zone: describe(zone) }) });
  for (const aid of zones.filter(z => !isClient(z))) {
    const covered = zones.find(z => isClient(z) && overlap(aid.points, z.points));
    if (covered) hints.push({ id: aid.id, text: t('hint.covers', { aid: describe(aid), zone: describe(covered) }) });
  }
  const mid = zones.find(z => z.kind === 'mid');
  if (has('gray') && !mid) hints.push({ id: null, text: t('hint.no_mid') });
  else if (has('gray') && !zones.some(z => z.kind === 'mid' && z.grayFree))
    hints.push({ id: mid.id, text: t('hint.gray_free') });
  if (zones.some(isClient) && !has('swatch') && !has('card') && !has('target'))
    hints.push({ id: null, text: t('hint.no_aid') });
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
  if (canBeHair(zone) && zone.isHair) out.hair = true;
  if (zone.kind === 'card') out.lab = zone.lab;
  if (zone.kind === 'target') Object.assign(out, { rows: zone.rows, columns: zone.columns, reference: zone.reference.trim() });
  return { ...out, ...zone.extra };
}

/** One zone a line: easy to read, easy to compare. */
export function zonesFileText(zones, facts, extra) {
  const head = { format: 1, photo: facts.photo, ...extra };
  const members = Object.entries(head).map(([key, value]) => `  ${JSON.stringify(key)}: ${JSON.stringify(value)}`);
  const lines = zones.map(zone => `    ${JSON.stringify(zoneToFile(zone))}`);
  return `{\n${members.join(',\n')},\n  "zones": [\n${lines.join(',\n')}\n  ]\n}\n`;
}

const isNumber = value => typeof value === 'number' && Number.isFinite(value);
const isPoints = value => Array.isArray(value) && value.every(p => Array.isArray(p) && p.length === 2 && p.every(isNumber));

/** Where on the head a client zone lies; none: its kind decides. */
export const PLACES = ['side', 'back', 'crown', 'nape'];

const FIELDS = {
  name: { ok: v => typeof v === 'string', want: 'text' },
  code: { ok: v => typeof v === 'string', want: 'text' },
  at: { ok: v => typeof v === 'string', want: 'text' },
  reference: { ok: v => typeof v === 'string', want: 'text' },
  place: { ok: v => PLACES.includes(v), want: 'place' },
  hair: { ok: v => typeof v === 'boolean', want: 'boolean' },
  gray_free: { ok: v => typeof v === 'boolean', want: 'boolean' },
  rows: { ok: isNumber, want: 'number' },
  columns: { ok: isNumber, want: 'number' },
  lab: { ok: v => Array.isArray(v) && v.length === 3 && v.every(isNumber), want: 'lab' },
  rect: { ok: v => Array.isArray(v) && v.length === 4 && v.every(isNumber), want: 'rect' },
  polygon: { ok: v => isPoints(v) && v.length >= 3, want: 'polygon' },
  corners: { ok: v => isPoints(v) && v.length === 4, want: 'corners' }
};

/** A zones file's text to {zones, extra, notes}; throws an Error whose message says what is wrong. Faults that can be mended on
 *  the page (names, codes, places) are let in: findProblems tells of them. */
export function readZonesFile(text, facts) {
  let file;
  try { file = JSON.parse(text.replace(/^\uFEFF/, '')); } catch (error) { throw new Error(t('file.broken', { why: error.message })); }
  if (typeof file !== 'object' || file === null || !Array.isArray(file.zones)) throw new Error(t('file.no_zones'));
  if (file.format !== 1) throw new Error(t('file.format', { format: JSON.stringify(file.format ?? null) }));
  const { format, photo, zones: list, ...extra } = file, notes = [];
  if (typeof photo === 'string' && photo !== facts.photo) notes.push(t('file.other_photo', { photo }));
  const zones = list.map((item, i) => readZone(item, i, notes));
  if (Object.keys(extra).length) notes.push(t('file.kept', { keys: Object.keys(extra).join(', ') }));
  return { zones, extra, notes };
}

function readZone(item, index, notes) {
  const fail = text => { throw new Error(typeof item?.name === 'string' ? t('file.zone_named', { n: index + 1, name: item.name, text }) : t('file.zone', { n: index + 1, text })); };
  if (typeof item !== 'object' || item === null || !kindOf(item.kind)) fail(t('file.kind', { kind: JSON.stringify(item?.kind ?? null) }));
  for (const [key, { ok, want }] of Object.entries(FIELDS)) if (key in item && !ok(item[key])) fail(t('file.field', { key, want: t(`file.want.${want}`) }));
  const shapes = ['rect', 'polygon', 'corners'].filter(key => key in item);
  if (shapes.length !== 1) fail(t('file.shapes'));
  const shape = shapes[0];
  if ((shape === 'corners') !== (item.kind === 'target')) fail(t(item.kind === 'target' ? 'file.target' : 'file.corners'));
  const { kind, name = '', rect, polygon, corners, ...own } = item;
  const zone = { id: ++lastId, kind, shape, points: rect ? rectPoints(rect) : polygon ?? corners, name, ...readOwn(kind, own) };
  zone.extra = Object.fromEntries(Object.entries(own).filter(([key]) => !OWN_KEYS[kind].includes(key)));
  if (Object.keys(zone.extra).length) notes.push(t('file.kept_in', { n: index + 1, keys: Object.keys(zone.extra).join(', ') }));
  return zone;
}

const CLIENT_KEYS = ['gray_free', 'place', 'hair'];
const OWN_KEYS = { mid: CLIENT_KEYS, root: CLIENT_KEYS, gray: CLIENT_KEYS, ends: CLIENT_KEYS, swatch: ['code', 'at', 'hair'], card: ['lab'], target: ['rows', 'columns', 'reference'] };

function readOwn(kind, { gray_free: grayFree = false, place = '', hair: isHair = false, code = '', at = '', lab = GRAY_CARD, rows = 0, columns = 0, reference = '' }) {
  return { swatch: { code, at, isHair }, card: { lab }, target: { rows, columns, reference } }[kind] ?? { grayFree, place, isHair };
}
