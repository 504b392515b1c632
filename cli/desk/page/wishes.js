// wishes: what the client wants and the stylist sees, as plain questions. Their names and values are the options of `match`.

import { el } from '../../page/dom.js';
import { t } from '../../page/words.js';
import { typedNumber } from './format.js';
import { labelled } from './parts.js';

const picture = d => {
  const svg = document.createElementNS('http://www.w3.org/2000/svg', 'svg');
  svg.setAttribute('viewBox', '0 0 24 24');
  svg.setAttribute('aria-hidden', 'true');
  const path = document.createElementNS('http://www.w3.org/2000/svg', 'path');
  path.setAttribute('d', d);
  svg.append(path);
  return svg;
};

// A head from behind, with hair that is fuller, longer, down, up ...; single hairs; a parting with little or much hair.
const HEAD = 'M 12 3a6 6 0 0 1 6 6v3a6 6 0 0 1-12 0V9a6 6 0 0 1 6-6z';
const PICTURES = {
  coverage: `${HEAD}M 6 9c2-5 10-5 12 0M 7 7l3 3M 10 5l3 4M 14 5l2 4`, volume: `${HEAD}M 5 9c-2 4-2 8-1 11h16c1-3 1-7-1-11`, length: `${HEAD}M 6 10v12h12V10M 9 18v4M 12 18v4M 15 18v4`,
  both: `${HEAD}M 6 10v8h5M 15 3c3-2 5 0 3 2`, down: `${HEAD}M 6 10v11h12V10`, up: `${HEAD}M 8 4c0-4 8-4 8 0`,
  fine: 'M 8 3v18M 12 3v18M 16 3v18', medium: 'M 7.500 3v18M 8.500 3v18M 12 3v18M 13 3v18M 16.500 3v18M 17.500 3v18', coarse: 'M 7 3v18M 8 3v18M 9 3v18M 12 3v18M 13 3v18M 14 3v18M 17 3v18M 18 3v18M 19 3v18',
  thin: 'M 12 3v6M 6 9c2-2 4-3 6-3s4 1 6 3M 8 9v10M 16 9v10', average: 'M 12 3v5M 5 9c2-3 4-4 7-4s5 1 7 4M 7 9v10M 10 8v11M 14 8v11M 17 9v10', thick: 'M 12 3v4M 4 9c2-4 5-5 8-5s6 1 8 5M 5 9v11M 8 8v12M 11 7v13M 13 7v13M 16 8v12M 19 9v11'
};

let groups = 0;

/** A question with a few answers. usual: what counts when nothing is said; without one nothing is chosen until it is, and the answer says what
 *  it assumes. */
export function choice(key, values, state, changed, usual = null) {
  const name = `wish-${key}-${++groups}`;
  const chosen = state[key] ?? usual;
  return el('fieldset', { class: 'wish' }, el('legend', {}, t(`wish.${key}`)), el('div', { class: 'segments pictured' }, ...values.map(value =>
    el('label', {}, el('input', { type: 'radio', name, value, checked: value === chosen, onchange: () => { state[key] = value; changed(); } }),
      el('span', {}, picture(PICTURES[value]), el('span', {}, t(`wish.${key}.${value}`)))))));
}

function number(key, state, changed, { unit, hint = null, list = false }) {
  const shown = list ? (state[key] ?? []).join('; ') : state[key] ?? '';
  const input = el('input', { type: 'text', inputmode: 'decimal', autocomplete: 'off', value: shown, oninput: () => {
    const parts = list ? input.value.split(/[;\s]+/).filter(Boolean).map(typedNumber) : typedNumber(input.value);
    state[key] = parts.length ? parts : null;
    changed();
  } });
  return labelled(`${t(`wish.${key}`)} (${unit})`, input, hint);
}

function tick(key, state, changed) {
  const input = el('input', { type: 'checkbox', checked: Boolean(state[key]), onchange: () => { state[key] = input.checked || null; changed(); } });
  return el('label', { class: 'check' }, input, el('span', {}, t(`wish.${key}`)));
}

/** The questions as one element; `state` is filled with the wishes. */
export function wishesForm(state, changed, { units, currency }) {
  return el('section', { class: 'wishes', 'aria-labelledby': 'wishes-title' }, el('h2', { id: 'wishes-title' }, t('wish.title')),
    choice('goal', ['volume', 'length', 'coverage'], state, changed), choice('worn', ['both', 'down', 'up'], state, changed, 'both'),
    el('div', { class: 'row' }, number('arc', state, changed, { unit: units, hint: t('wish.arc_hint'), list: true })),
    el('div', { class: 'row' }, number('natural-length', state, changed, { unit: units }), number('to-length', state, changed, { unit: units })),
    choice('hair', ['fine', 'medium', 'coarse'], state, changed), choice('amount', ['thin', 'average', 'thick'], state, changed),
    tick('shedding', state, changed), tick('in-stock', state, changed),
    el('details', {}, el('summary', {}, t('wish.more')), el('div', { class: 'form' },
      number('max-price', state, changed, { unit: currency }), number('color-line', state, changed, { unit: units }), number('cover', state, changed, { unit: units }))));
}

/** Only what was said. */
export const saidOf = state => Object.fromEntries(Object.entries(state).filter(([, value]) => value !== null && value !== undefined));
