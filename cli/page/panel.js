// panel: everything beside the photo, brought up to date from the app's state. Rows are kept, so that the focus stays where it is.

import { areaWarnings, labText } from './colour.js';
import { byId, el, setChip, setText } from './dom.js';
import { ZoneForm } from './form.js';
import { bounds } from './geometry.js';
import { decimal, t } from './words.js';
import { KINDS, describe, findHints, findProblems, titleOf } from './zones.js';

export class Panel {
  #checked = null; // the zones that problems and hints are shown of
  #rows = new Map(); // zone id -> {root, button, chip, title, numbers, warnings, form}

  constructor(app) {
    this.app = app;
    byId('kinds').append(...KINDS.filter(kind => !app.facts.kinds || app.facts.kinds.includes(kind.id)).map((kind, i) => this.#kindChoice(kind, i)));
    for (const radio of document.querySelectorAll('[name=mode]')) radio.addEventListener('change', () => app.setMode(radio.value));
  }

  #kindChoice(kind, i) {
    const input = el('input', { type: 'radio', name: 'kind', value: kind.id, onchange: () => this.app.setKind(kind.id) });
    return el('label', {}, input, el('span', { class: 'choice' },
      el('span', { class: 'order', 'aria-hidden': 'true' }, String(i + 1)), el('span', { class: 'kind' }, titleOf(kind.id)), el('span', { class: 'count' })));
  }

  update() {
    const { app } = this, { state } = app;
    for (const radio of document.querySelectorAll('[name=mode]')) radio.checked = radio.value === state.mode;
    this.#updateKinds();
    this.#updateList();
    this.#updateChecks();
    byId('undo').disabled = !app.history.canUndo;
    byId('redo').disabled = !app.history.canRedo;
    byId('draft-bar').hidden = state.draft?.shape !== 'polygon';
    setText(byId('zoom-level'), `${decimal(Number((100 * app.view.scale).toPrecision(app.view.scale < 0.0995 ? 2 : 3)))} %`);
  }

  #updateKinds() {
    const { zones, state } = this.app;
    for (const radio of document.querySelectorAll('[name=kind]')) {
      radio.checked = radio.value === state.kind;
      const n = zones.filter(zone => zone.kind === radio.value).length, count = radio.nextSibling.querySelector('.count');
      if (count.dataset.shows === String(n)) continue;
      count.dataset.shows = n;
      count.replaceChildren(...(n ? [`✓ ${n}`, el('span', { class: 'unseen' }, t('list.count'))] : []));
    }
  }

  // ---- the list ----

  #updateList() {
    const { zones } = this.app, list = byId('zone-list');
    for (const [id, row] of this.#rows)
      if (!zones.some(zone => zone.id === id)) {
        row.root.remove();
        this.#rows.delete(id);
      }
    zones.forEach((zone, i) => {
      if (!this.#rows.has(zone.id)) this.#rows.set(zone.id, this.#makeRow(zone.id));
      const row = this.#rows.get(zone.id);
      if (list.children[i] !== row.root) list.insertBefore(row.root, list.children[i] ?? null);
      this.#updateRow(row, zone);
    });
    byId('zone-none').hidden = zones.length > 0;
    setText(byId('zone-count'), zones.length ? `(${zones.length})` : '');
  }

  #makeRow(id) {
    const chip = el('span', { class: 'chip', 'aria-hidden': 'true' }), title = el('span', { class: 'title' }), numbers = el('span', { class: 'numbers' });
    const button = el('button', { type: 'button', class: 'zone', 'aria-expanded': 'false', onclick: () => this.#toggle(id) }, chip, el('span', { class: 'words' }, title, numbers));
    const remove = el('button', { type: 'button', class: 'quiet', onclick: () => this.#remove(id) }, t('list.delete'));
    const warnings = el('ul', { class: 'warnings' });
    return { root: el('li', {}, el('div', { class: 'head' }, button, remove), warnings), button, remove, chip, title, numbers, warnings, form: null };
  }

  #updateRow(row, zone) {
    const selected = zone.id === this.app.state.selected, summary = this.app.photo.summary(zone.points);
    row.root.classList.toggle('selected', selected);
    row.button.setAttribute('aria-expanded', String(selected));
    row.remove.setAttribute('aria-label', t('list.delete_zone', { zone: describe(zone) }));
    setText(row.title, describe(zone));
    setChip(row.chip, zone.shape === 'corners' ? null : summary?.lab);
    setText(row.numbers, numbersOf(zone, summary, this.app.facts.plain));
    const texts = summary ? areaWarnings(zone.kind, summary) : [];
    if (row.warnings.dataset.shows !== texts.join('\n')) {
      row.warnings.dataset.shows = texts.join('\n');
      row.warnings.replaceChildren(...texts.map(text => el('li', {}, text)));
    }
    this.#updateForm(row, zone, selected);
  }

  #updateForm(row, zone, selected) {
    if (row.form && (!selected || row.form.signature !== ZoneForm.signatureOf(zone, this.app))) {
      const focused = row.form.root.contains(document.activeElement) ? document.activeElement.dataset.field : null;
      row.form.root.remove();
      row.form = null;
      if (selected && focused) queueMicrotask(() => row.form?.focus(focused));
    }
    if (!selected) return;
    if (row.form) return row.form.show(zone);
    row.form = new ZoneForm(this.app, zone);
    row.root.append(row.form.root);
  }

  #toggle(id) {
    const { app } = this;
    app.select(app.state.selected === id ? null : id);
    if (app.state.selected === id) this.#reveal(app.selectedZone);
  }

  #reveal(zone) {
    const b = bounds(zone.points), { view } = this.app;
    const [left, top] = view.toScreen([b.x, b.y]), [right, bottom] = view.toScreen([b.x + b.width, b.y + b.height]);
    const hidden = left < 0 || top < 0 || right > view.width || bottom > view.height;
    if (hidden || right - left < 24 || bottom - top < 24) view.show(b);
    this.app.changed();
  }

  // The focus goes to the row that takes the place, not to nowhere.
  #remove(id) {
    const at = this.app.zones.findIndex(zone => zone.id === id);
    this.app.remove(id);
    const left = this.app.zones[Math.min(at, this.app.zones.length - 1)];
    if (left) this.#rows.get(left.id)?.button.focus();
    else byId('stage').focus();
  }

  /** Opens a zone's row and puts the focus into it: on a field, or on the row itself. */
  open(id, fieldKey) {
    this.app.select(id);
    this.update();
    const row = this.#rows.get(id);
    if (fieldKey) row.form.focus(fieldKey);
    else row.button.focus();
    row.root.scrollIntoView({ block: 'start' });
  }

  // ---- what is missing ----

  #updateChecks() {
    const { zones, facts } = this.app;
    if (zones === this.#checked) return;
    this.#checked = zones;
    this.#fill(byId('problems'), zones.length ? findProblems(zones, facts) : []); // nothing to mend before anything is drawn
    this.#fill(byId('hints'), findHints(zones));
  }

  #fill(list, items) {
    const shows = JSON.stringify(items);
    if (list.dataset.shows === shows) return;
    list.dataset.shows = shows;
    list.hidden = items.length === 0;
    list.replaceChildren(...items.map(({ id, text }) => el('li', {}, id === null ? text : el('button', { type: 'button', class: 'link', onclick: () => this.open(id) }, text))));
  }
}

/** plain: for a page that shows measured colours elsewhere. */
function numbersOf(zone, summary, plain) {
  if (zone.shape === 'corners') return t('list.patches', { rows: zone.rows || '?', columns: zone.columns || '?' });
  if (!summary) return t('list.outside');
  if (plain) return zone.at ? t('list.held', { at: zone.at }) : '';
  return `${labText(summary.lab)}  ${t('list.spread', { spread: decimal(summary.spread, 0) })}${zone.at ? `\n${t('list.held', { at: zone.at })}` : ''}`;
}

/** The line at the edge of the stage: where the pointer is, and what the shape under way looks like so far. */
export function showReadout(app, screen) {
  const { state, view, photo } = app, readout = byId('readout');
  const points = state.draft ? (state.draft.points.length >= 3 ? state.draft.points : null) : app.previewed ? app.selectedZone?.points : null;
  const parts = [];
  let warning = null;
  if (screen) {
    const [x, y] = view.toPhoto(screen).map(Math.floor);
    if (x >= 0 && y >= 0 && x < photo.width && y < photo.height) parts.push(el('span', {}, `${x}, ${y}`));
  }
  if (points) {
    const b = bounds(points), summary = photo.summary(points), kind = app.selectedZone && app.previewed ? app.selectedZone.kind : state.kind;
    parts.push(el('span', {}, `${Math.round(b.width)} × ${Math.round(b.height)}`));
    if (summary && kind !== 'target') {
      const chip = el('span', { class: 'chip' });
      setChip(chip, summary.lab);
      parts.push(chip, el('span', {}, labText(summary.lab)));
      warning = areaWarnings(kind, summary)[0] ?? null;
    }
  }
  readout.hidden = parts.length === 0;
  readout.replaceChildren(el('div', { class: 'line' }, ...parts), ...(warning ? [el('div', { class: 'warn' }, warning)] : []));
}
