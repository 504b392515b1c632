// catalogue: her shades by depth and tone, stock and prices changed in place, measured from a photo, CSV in and out.

import { el } from '../../page/dom.js';
import { t } from '../../page/words.js';
import { hasColours, importCsv, mergeList, readCsv, writeCsv } from './csv.js';
import * as engine from './engine.js';
import { typedNumber } from './format.js';
import { busy, chip, empty, errorText, notice, photoDrop } from './parts.js';

const EDITED = ['stock', 'pack_price', 'name', 'length_cm', 'pieces_per_pack', 'piece_width_cm', 'pack_weight_g', 'supplier']; // columns changed in place, what changes often first
const DEPTH = 10, TONE = ['cool', 'neutral', 'warm', 'golden'];

export async function catalogueScreen(desk, place, { signal }) {
  let { csv, base, lch } = await engine.catalogue();
  if (signal.aborted) return;
  const told = el('div', { class: 'told' }), body = el('div', { class: 'sections' });
  const out = exportButton(() => csv);
  const show = answer => {
    ({ csv, base, lch } = answer);
    out.hidden = csv === null;
    body.replaceChildren(...(csv === null ? [empty(t('catalogue.none'), t('catalogue.none_text'))] : filled(desk, csv, lch, put)));
  };
  // What was changed in its cell stays as it is on the page: she is typing into the next one.
  const keep = answer => {
    ({ csv, base, lch } = answer);
    const { range, labels } = aroundTable(csv, lch);
    body.querySelector('.range-part')?.replaceWith(range);
    body.querySelector('.labels-part').replaceWith(labels);
  };
  let before = Promise.resolve(); // one after the other: each says which version it changes
  const atTop = text => told.replaceChildren(notice(text, true));
  const put = (table, { done, inPlace = false, refused = atTop } = {}) => (before = before.then(() => save(table, done, inPlace ? keep : show, refused)));
  async function save(table, done, shown, refused) {
    try {
      shown(await engine.saveCatalogue(writeCsv(table), base));
      told.replaceChildren();
      desk.tell(done ?? t('catalogue.saved'));
      return true;
    } catch (error) {
      refused(errorText(error));
      return false;
    }
  }
  const takeFile = async file => {
    if (!file) return;
    const table = importCsv(await file.text());
    if (!hasColours(table) && table.names.includes('code')) return takeList(table);
    if (await put(table)) told.replaceChildren(notice(t('catalogue.imported', { n: table.rows.length })));
  };
  // A price list: what it says goes to the codes that have a colour; the others wait until they are measured.
  async function takeList(list) {
    const { table, rest } = mergeList(csv === null ? { names: [], rows: [] } : readCsv(csv), list);
    waiting.keep(rest);
    if (csv !== null && !await put(table)) return;
    told.replaceChildren(notice(rest.rows.length ? t('catalogue.waiting', { n: rest.rows.length, codes: rest.rows.slice(0, 8).map(row => row.code).join(', ') }) : t('catalogue.imported', { n: list.rows.length })));
  }
  const openPhoto = async file => {
    told.replaceChildren(notice(t('today.opening')));
    try {
      const facts = await engine.openPhoto(file);
      desk.work.set(facts.id, { facts });
      if (!signal.aborted) desk.go(`/catalogue/photo/${facts.id}`);
    } catch (error) { told.replaceChildren(notice(errorText(error), true)); }
  };
  place.append(el('div', { class: 'head-line' }, el('h1', {}, t('nav.catalogue'))),
    el('div', { class: 'two ways' },
      el('section', {}, el('h2', {}, t('catalogue.photo')), el('p', { class: 'soft' }, t('catalogue.photo_text')), photoDrop(t('catalogue.drop'), t('today.drop_hint'), openPhoto)),
      el('section', {}, el('h2', {}, t('catalogue.file')), el('p', { class: 'soft' }, t('catalogue.file_text')), fileButton(takeFile), out)),
    told, body);
  show({ csv, base, lch });
  const list = waiting.list();
  if (csv !== null && list && mergeList(readCsv(csv), list).rest.rows.length < list.rows.length) await takeList(list);
}

/** Rows of a price list whose shades have no colour yet: kept in this browser. */
const waiting = {
  list: () => JSON.parse(localStorage.getItem('weftmatch.waiting') ?? 'null'),
  keep: list => (list.rows.length ? localStorage.setItem('weftmatch.waiting', JSON.stringify(list)) : localStorage.removeItem('weftmatch.waiting'))
};

function fileButton(take) {
  const input = el('input', { type: 'file', accept: '.csv,text/csv,text/plain', class: 'unseen', id: 'catalogue-file', onchange: () => { take(input.files[0]); input.value = ''; } });
  return el('p', {}, el('label', { class: 'button', for: 'catalogue-file' }, input, t('catalogue.import')));
}

function exportButton(text) {
  return el('p', {}, el('button', { type: 'button', class: 'quiet', onclick: () => {
    if (text() === null) return;
    const url = URL.createObjectURL(new Blob([text()], { type: 'text/csv' }));
    el('a', { href: url, download: 'swatches.csv' }).click();
    setTimeout(() => URL.revokeObjectURL(url), 10000);
  } }, t('catalogue.export')));
}

function filled(desk, csv, lch, put) {
  const table = readCsv(csv);
  const { range, labels } = aroundTable(csv, lch);
  return [...(hasHair(table) ? [range] : []), tableOf(desk, table, put), labels];
}

function aroundTable(csv, lch) {
  const table = readCsv(csv);
  return { range: hasHair(table) ? rangeOf(table, lch) : '', labels: labelsOf(table) };
}

// ---- the range: where she has shades and where not ----

const hasHair = ({ rows }) => rows.some(row => row.kind !== 'bead');
const labOf = row => [Number(row.L), Number(row.a), Number(row.b)];

/** In which column a chip is put, by chroma and hue: nothing is judged by it. */
const toneOf = ([, chroma, hue]) => (chroma < 8 ? 'cool' : hue > 74 && hue < 180 ? 'golden' : hue < 58 || hue > 180 ? 'warm' : 'neutral');

function rangeOf({ rows }, lch) {
  const hair = [...new Map(rows.map((row, i) => [row.code, { ...row, lch: lch[i] }])).values()].filter(row => row.kind !== 'bead');
  const depthOf = row => Math.floor(row.lch[0] / DEPTH), depths = [...new Set(hair.map(depthOf))], lines = [];
  for (let depth = Math.max(...depths); depth >= Math.min(...depths); depth--) {
    const cell = tone => {
      const here = hair.filter(row => depthOf(row) === depth && toneOf(row.lch) === tone);
      return el('td', {}, here.length ? el('ul', { class: 'chips' }, ...here.map(row => el('li', { title: [row.code, row.name].filter(Boolean).join(', ') }, chip(labOf(row)), el('span', { class: 'code' }, row.code)))) : el('span', { class: 'gap' }, t('catalogue.gap')));
    };
    lines.push(el('tr', {}, el('th', { scope: 'row' }, `${depth * DEPTH}–${depth * DEPTH + DEPTH}`), ...TONE.map(cell)));
  }
  return el('section', { class: 'range-part', 'aria-labelledby': 'range-title' }, el('h2', { id: 'range-title' }, t('catalogue.range', { n: hair.length })),
    el('div', { class: 'scroll', tabindex: '0', role: 'group', 'aria-labelledby': 'range-title' }, el('table', { class: 'range' },
      el('thead', {}, el('tr', {}, el('th', { scope: 'col' }, t('catalogue.depth')), ...TONE.map(tone => el('th', { scope: 'col' }, t(`tone.${tone}`))))), el('tbody', {}, ...lines))));
}

// ---- every row, changed in place ----

function tableOf(desk, table, put) {
  const names = EDITED.filter(name => table.names.includes(name) || ['name', 'pack_price', 'stock', 'supplier'].includes(name));
  const isText = name => ['name', 'supplier'].includes(name);
  const input = (row, name) => {
    const field = el('input', { type: 'text', value: row[name] ?? '', autocomplete: 'off', 'aria-label': t('catalogue.cell', { code: row.code, column: t(`column.${name}`) }), inputmode: isText(name) ? 'text' : 'decimal',
      onchange: async () => {
        const before = row[name] ?? '', value = isText(name) ? field.value : typedNumber(field.value);
        if (value === before) return;
        if (!isText(name) && !/^[\d.,]*$/.test(value)) return refused(t('catalogue.no_number', { text: field.value }));
        row[name] = value;
        if (!table.names.includes(name)) table.names.push(name);
        field.classList.remove('bad');
        trouble.replaceChildren();
        if (!await put(table, { inPlace: true, refused })) { row[name] = before; field.classList.add('bad'); field.focus(); }
      } });
    const trouble = el('div', { class: 'trouble' }), refused = text => { field.classList.add('bad'); trouble.replaceChildren(notice(text, true)); };
    return el('td', { class: isText(name) ? 'wide' : 'number' }, field, trouble);
  };
  const remove = row => el('td', {}, el('button', { type: 'button', class: 'quiet', 'aria-label': t('catalogue.remove_code', { code: row.code }), onclick: () => put({ ...table, rows: table.rows.filter(r => r !== row) }, { done: t('catalogue.removed', { code: row.code }) }) }, t('catalogue.remove')));
  return el('section', { 'aria-labelledby': 'rows-title' }, el('h2', { id: 'rows-title' }, t('catalogue.rows')), el('p', { class: 'soft' }, t('catalogue.rows_text')),
    el('div', { class: 'scroll', tabindex: '0', role: 'group', 'aria-labelledby': 'rows-title' }, el('table', { class: 'cells' },
      el('thead', {}, el('tr', {}, el('th', { scope: 'col' }, t('column.code')), ...names.map(name => el('th', { scope: 'col', class: isText(name) ? '' : 'number' }, t(`column.${name}`))), el('th', {}, el('span', { class: 'unseen' }, t('catalogue.remove'))))),
      el('tbody', {}, ...table.rows.map(row => el('tr', {}, el('th', { scope: 'row' }, chip(labOf(row)), el('span', {}, row.code)), ...names.map(name => input(row, name)), remove(row)))))));
}

// ---- labels for the swatches: printed alone ----

function labelsOf({ rows }) {
  const shades = [...new Map(rows.map(row => [row.code, row])).values()];
  const print = el('button', { type: 'button', onclick: () => {
    document.documentElement.classList.add('print-labels');
    window.addEventListener('afterprint', () => document.documentElement.classList.remove('print-labels'), { once: true });
    window.print();
  } }, t('catalogue.labels'));
  return el('section', { class: 'labels-part' }, el('p', {}, print), el('ul', { class: 'labels', 'aria-hidden': 'true' }, ...shades.map(row => el('li', {}, chip(labOf(row)), el('strong', {}, row.code), el('span', {}, row.name ?? '')))));
}
