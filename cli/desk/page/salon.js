// salon: the settings in words; language; a copy of the book.

import { el } from '../../page/dom.js';
import { t } from '../../page/words.js';
import * as engine from './engine.js';
import { longDate, typedNumber } from './format.js';
import { busy, labelled, notice, say } from './parts.js';

/** The usual ones first; the rest is there for who wants it. */
const USUAL = ['salon_name', 'currency', 'units', 'row_fee', 'tax_percent', 'moveup_weeks'];
const TEXTS = new Set(['salon_name', 'currency', 'units', 'avoided_shades']);

export async function salonScreen(desk, place, { signal }) {
  const salon = await desk.loadSalon();
  if (signal.aborted) return;
  const told = el('div', { class: 'told' });
  const known = key => { const words = t(`setting.${key}`); return words === `setting.${key}` ? null : words; };
  const inputs = new Map();
  const labelledError = error => Object.assign(error, { message: error.message.replace(/^[a-z_]+(?= can't)/, key => known(key) ?? key) });
  const setting = ({ key, value, help }) => {
    const input = key === 'units' ? el('select', {}, ...['cm', 'in'].map(unit => el('option', { value: unit, selected: unit === value }, t(`units.${unit}`))))
      : el('input', { type: 'text', value: value === 'none' ? '' : value, autocomplete: 'off', inputmode: TEXTS.has(key) ? 'text' : 'decimal', placeholder: value === 'none' ? t('salon.none') : '' });
    inputs.set(key, { input, value });
    return labelled(known(key) ?? say(help).replace(/[.]$/, ''), input, known(key) ? t(`setting.${key}.hint`) === `setting.${key}.hint` ? null : t(`setting.${key}.hint`) : key);
  };
  const usual = USUAL.map(key => salon.list.find(s => s.key === key)).filter(Boolean), rest = salon.list.filter(s => !USUAL.includes(s.key));
  const save = el('button', { type: 'submit', class: 'main' }, t('salon.save'));
  const form = el('form', { class: 'form narrow', onsubmit: async e => {
    e.preventDefault();
    const changes = {};
    for (const [key, { input, value }] of inputs) {
      const now = (TEXTS.has(key) ? input.value.trim() : key.includes('_weights') || key.includes('widths') || key === 'verdict' ? input.value.trim() : typedNumber(input.value)) || (value === 'none' ? 'none' : input.value.trim());
      if (now !== value) changes[key] = now;
    }
    const got = Object.keys(changes).length ? await busy(save, told, () => engine.saveSalon(changes).catch(error => { throw labelledError(error); })) : salon;
    if (!got) return;
    await desk.loadSalon();
    for (const s of got.list) if (inputs.has(s.key)) inputs.get(s.key).value = s.value;
    if (!salon.book) { // now there is one
      place.replaceChildren();
      await salonScreen(desk, place, { signal });
    }
    place.querySelector('.told').replaceChildren(notice(t('salon.saved')));
  } }, ...usual.map(setting), el('details', {}, el('summary', {}, t('salon.more')), el('div', { class: 'form' }, ...rest.map(setting))), el('div', { class: 'buttons' }, save), told);
  const language = el('select', { onchange: () => desk.setLanguage(language.value) }, ...Object.entries(desk.languages).map(([key, [name]]) => el('option', { value: key, selected: key === desk.language() }, name)));
  const lastWords = day => (day ? t('salon.last_copy', { date: longDate(day) }) : t('salon.no_copy')), last = el('p', { class: 'soft' }, lastWords(salon.backup));
  const copyTold = el('div'), copy = el('button', { type: 'button', onclick: async () => {
    const got = await busy(copy, copyTold, () => engine.backup());
    if (!got) return;
    copyTold.replaceChildren(notice(t('salon.copied', { file: got.file })));
    last.textContent = lastWords((await desk.loadSalon()).backup);
  } }, t('salon.copy'));
  place.append(el('div', { class: 'head-line' }, el('h1', {}, t('nav.salon'))),
    el('div', { class: 'two' }, el('section', {}, el('h2', {}, t('salon.settings')), form),
      el('div', { class: 'sections' }, el('section', {}, el('h2', {}, t('salon.language')), el('div', { class: 'form narrow' }, labelled(t('salon.language_label'), language, t('salon.language_hint')))),
        el('section', {}, el('h2', {}, t('salon.book')), el('p', { class: 'soft' }, salon.book ? t('salon.book_at', { file: salon.book }) : t('salon.no_book')), ...(salon.book ? [last, el('p', {}, copy)] : []), copyTold),
        el('p', { class: 'soft' }, t('salon.version', { version: salon.version })))));
}
