// form: the details of the selected zone, in its row of the list. Every field edits at once; typing in one is one undo step.

import { labText } from './colour.js';
import { SwatchPicker } from './combobox.js';
import { el, field, setChip } from './dom.js';
import { bounds, rectOf, rectPoints } from './geometry.js';
import { t } from './words.js';
import { CARDS, KINDS, PLACES, canBeHair, changeKind, describe, heldAt, isClient, renameZone, replaceZone, titleOf, zoneName } from './zones.js';

export class ZoneForm {
  #inputs = {}; // key -> {input, read(zone) -> value shown}

  constructor(app, zone) {
    Object.assign(this, { app, id: zone.id, signature: ZoneForm.signatureOf(zone, app) });
    this.root = el('div', { class: 'form' }, ...this.#fields(zone));
    this.show(zone);
  }

  /** A form fits a zone as long as this stays the same. */
  static signatureOf(zone, app) { return `${zone.kind} ${zone.shape} ${zone.points.length === 4} ${app.doubted.has(zone.id)}`; }

  show(zone) {
    for (const { input, read } of Object.values(this.#inputs)) {
      const value = read(zone);
      if (input.type === 'checkbox') input.checked = value;
      else if (input !== document.activeElement && input.value !== String(value)) input.value = value;
    }
    if (this.at) this.#fillAt(zone);
    if (this.swatchNote) this.#noteSwatch(zone);
    if (this.near) this.#offerNear(zone);
  }

  focus(key) { (this.#inputs[key]?.input ?? this.root.querySelector('input, select'))?.focus(); }

  /** Swatches laid out, and no hair. */
  get #sheet() { return Boolean(this.app.facts.kinds); }

  get #zone() { return this.app.zones.find(zone => zone.id === this.id); }

  #edit(key, changes) {
    const zone = { ...this.#zone, ...changes };
    this.app.commit(replaceZone(this.app.zones, zone), t('step.changed', { zone: describe(zone) }), `${key} ${this.id}`);
  }

  #add(key, title, input, read, hint) {
    this.#inputs[key] = { input, read };
    return field(key, title, input, hint);
  }

  #text(key, title, hint) {
    const input = el('input', { type: 'text', autocomplete: 'off', maxlength: '200', oninput: () => this.#edit(key, { [key]: input.value }) });
    return this.#add(key, title, input, zone => zone[key], hint);
  }

  #number(key, title, read, write, attributes = {}) {
    const input = el('input', { type: 'number', inputmode: 'decimal', step: 'any', ...attributes, oninput: () => this.#edit(key, write(input.value === '' ? NaN : Number(input.value), this.#zone)) });
    return this.#add(key, title, input, zone => (Number.isFinite(read(zone)) ? read(zone) : ''));
  }

  #fields(zone) {
    const own = { swatch: () => [this.#code(), this.#sheet ? null : this.#at()], card: () => this.#lab(), target: () => this.#target() }[zone.kind];
    return [
      ...(own ? own() : []),
      this.#sheet ? null : this.#name(zone), this.#kind(zone),
      isClient(zone) ? this.#onHead() : null,
      zone.kind === 'mid' || zone.grayFree ? this.#grayFree() : null,
      canBeHair(zone) && (zone.isHair || this.app.doubted.has(zone.id)) ? this.#isHair() : null,
      zone.shape === 'rect' && !this.app.facts.plain ? this.#place() : null,
      el('div', { class: 'buttons' }, el('button', { type: 'button', onclick: () => this.#look() }, t('form.look')))
    ];
  }

  #look() {
    this.app.view.show(bounds(this.#zone.points));
    this.app.changed();
  }

  #name(zone) {
    const input = el('input', { type: 'text', autocomplete: 'off', maxlength: '80', onfocus: () => { held = heldAt(this.app.zones, this.id); }, oninput: () => this.#rename(input.value, held) });
    let held = []; // as it was before the first letter: half a name may be another zone's
    if (isClient(zone)) input.placeholder = zone.kind;
    return this.#add('name', t(isClient(zone) ? 'form.name' : 'form.name_optional'), input, z => z.name);
  }

  #rename(name, held) {
    const zones = renameZone(this.app.zones, this.id, name, held);
    this.app.commit(zones, t('step.renamed', { zone: describe(zones.find(z => z.id === this.id)) }), `name ${this.id}`);
  }

  #kind(zone) {
    const { kinds } = this.app.facts, fits = kind => (kind.id !== 'target' || zone.points.length === 4) && (!kinds || kinds.includes(kind.id));
    const input = el('select', { onchange: () => this.app.commit(changeKind(this.app.zones, this.id, input.value), t('step.kind', { zone: describe(this.#zone) })) },
      ...KINDS.filter(fits).map(kind => el('option', { value: kind.id }, titleOf(kind.id))));
    return this.#add('kind', t('form.kind'), input, z => z.kind);
  }

  #onHead() {
    const usual = { gray: 'side', root: 'crown' }[this.#zone.kind] ?? 'back';
    const input = el('select', { onchange: () => this.#edit('place', { place: input.value }) },
      el('option', { value: '' }, t('form.place_usual', { place: t(`place.${usual}`) })), ...PLACES.map(place => el('option', { value: place }, t(`place.${place}`))));
    return this.#add('place', t('form.place'), input, zone => zone.place ?? '');
  }

  #grayFree() {
    const input = el('input', { type: 'checkbox', onchange: () => this.#edit('gray-free', { grayFree: input.checked }) });
    this.#inputs.grayFree = { input, read: zone => Boolean(zone.grayFree) };
    input.dataset.field = 'grayFree';
    return el('label', { class: 'check' }, input, el('span', {}, t('form.gray_free')));
  }

  #isHair() {
    const input = el('input', { type: 'checkbox', onchange: () => this.#edit('is-hair', { isHair: input.checked }) });
    this.#inputs.isHair = { input, read: zone => Boolean(zone.isHair) };
    input.dataset.field = 'isHair';
    return el('label', { class: 'check' }, input, el('span', {}, t('form.is_hair')));
  }

  #code() {
    const { catalogue } = this.app.facts;
    const edit = code => this.#edit('code', { code });
    const input = el('input', { type: 'text', autocomplete: 'off', maxlength: '200' });
    const box = this.#add('code', t('form.code'), input, zone => zone.code, t(catalogue ? 'form.code_hint' : this.#sheet ? 'form.code_new' : 'form.code_free'));
    if (!catalogue) input.addEventListener('input', () => edit(input.value));
    else {
      const picker = new SwatchPicker(input, catalogue, edit);
      const holder = el('div', { class: 'picker' });
      input.before(holder);
      holder.append(input, picker.list);
      this.swatchNote = el('p', { class: 'picked' });
      this.near = el('div', { class: 'near', role: 'group', 'aria-label': t('form.code_near') });
      box.prepend(this.near); // above the keyboard's place: a phone shows little below the photo
      box.append(this.swatchNote);
    }
    return box;
  }

  // Until she has said which it is: the nearest in colour, to be confirmed by her with one tap.
  #offerNear(zone) {
    const codes = zone.code ? [] : this.app.suggestions.get(zone.id) ?? [], shows = codes.join();
    if (this.near.dataset.shows === shows) return;
    this.near.dataset.shows = shows;
    const pick = code => { this.#edit('code', { code }); this.#inputs.code.input.value = code; };
    this.near.replaceChildren(...(codes.length ? [el('p', { class: 'hint' }, t('form.code_near'))] : []), ...codes.map(code => {
      const swatch = this.app.facts.catalogue.find(s => s.code === code), chip = el('span', { class: 'chip', 'aria-hidden': 'true' });
      if (swatch) setChip(chip, [swatch.L, swatch.a, swatch.b]);
      return el('button', { type: 'button', onclick: () => pick(code) }, chip, code);
    }));
  }

  #noteSwatch(zone) {
    const swatch = this.app.facts.catalogue.find(s => s.code === zone.code);
    const chip = el('span', { class: 'chip', 'aria-hidden': 'true' });
    if (swatch) setChip(chip, [swatch.L, swatch.a, swatch.b]);
    this.swatchNote.replaceChildren(...(swatch ? [chip, this.app.facts.plain ? swatch.name : `${swatch.name ? `${swatch.name}, ` : ''}${labText([swatch.L, swatch.a, swatch.b])}`] : []));
  }

  #at() {
    const input = el('select', { onchange: () => this.#edit('at', { at: input.value }) });
    this.at = input;
    return this.#add('at', t('form.at'), input, zone => zone.at, t('form.at_hint'));
  }

  #fillAt(zone) {
    const names = this.app.zones.filter(isClient).map(zoneName);
    const choices = [...new Set([...names, ...(zone.at ? [zone.at] : [])])];
    this.at.replaceChildren(el('option', { value: '' }, t('form.at_none')),
      ...choices.map(name => el('option', { value: name }, names.includes(name) ? name : t('form.at_gone', { name }))));
    this.at.value = zone.at;
  }

  #lab() {
    const part = (index, title) => this.#number(`lab${index}`, title, zone => zone.lab[index], (value, zone) => ({ lab: zone.lab.map((v, i) => (i === index ? value : v)) }));
    const known = zone => Object.keys(CARDS).find(key => String(CARDS[key]) === String(zone.lab)) ?? 'other';
    const numbers = el('div', { class: 'row' }, part(0, 'L*'), part(1, 'a*'), part(2, 'b*'));
    const which = el('select', { onchange: () => (which.value === 'other' ? (numbers.hidden = false) : this.#edit('lab', { lab: CARDS[which.value] })) },
      ...[...Object.keys(CARDS), 'other'].map(key => el('option', { value: key }, t(`card.${key}`))));
    numbers.hidden = Boolean(this.app.facts.plain) && known(this.#zone) !== 'other';
    return [this.#add('card', t('form.card'), which, known), el('p', { class: 'hint' }, t(this.app.facts.plain ? 'form.card_check' : 'form.lab_hint')), numbers];
  }

  #target() {
    const count = (key, title) => this.#number(key, title, zone => zone[key], value => ({ [key]: value }), { inputmode: 'numeric', step: '1', min: '2', max: '100' });
    const turnCorners = () => this.#edit('turn', { points: [...this.#zone.points.slice(1), this.#zone.points[0]] });
    return [
      this.#text('reference', t('form.reference'), t('form.reference_hint')),
      el('div', { class: 'row' }, count('rows', t('form.rows')), count('columns', t('form.columns'))),
      el('p', { class: 'hint' }, t('form.target_hint')),
      el('div', { class: 'buttons' }, el('button', { type: 'button', onclick: turnCorners }, t('form.turn')))];
  }

  #place() {
    const { photo } = this.app;
    const part = (index, key, title, most) => this.#number(key, title, zone => rectOf(zone.points)[index],
      (value, zone) => (Number.isFinite(value) ? { points: rectPoints(rectOf(zone.points).map((v, i) => (i === index ? Math.round(value) : v))) } : {}), { inputmode: 'numeric', step: '1', min: index < 2 ? '0' : '1', max: String(most) });
    return el('div', { class: 'row' }, part(0, 'x', t('form.left'), photo.width), part(1, 'y', t('form.top'), photo.height), part(2, 'w', t('form.width'), photo.width), part(3, 'h', t('form.height'), photo.height));
  }
}
