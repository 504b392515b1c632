// parts: small things that several screens show.

import { chipColour, labText } from '../../page/colour.js';
import { el } from '../../page/dom.js';
import { t } from '../../page/words.js';
import { readCsv, shadesOf } from './csv.js';
import { EngineError, undo } from './engine.js';
import { keepNames, spokenFor } from './say.js';

/** A patch of colour; decorative unless it is labelled. */
export function chip(lab, attributes = {}) {
  const element = el('span', { class: 'chip', 'aria-hidden': 'true', ...attributes });
  if (lab) element.style.background = chipColour(lab);
  else element.classList.add('unknown');
  return element;
}

/** Two colours edge to edge, as held against each other. */
export function heldChip(own, shade) {
  const pair = el('span', { class: 'held', 'aria-hidden': 'true' }, el('span'), el('span'));
  [own, shade].forEach((lab, i) => { if (lab) pair.children[i].style.background = chipColour(lab); });
  return pair;
}

/** The shades of the catalogue; from here on they are names in what the library says. */
export function knownShades(csv) {
  const shades = shadesOf(readCsv(csv));
  keepNames(shades);
  return shades;
}

export const shade = (code, catalogue) => catalogue.find(s => s.code === code) ?? null;
export const labOfShade = s => (s ? [s.L, s.a, s.b] : null);
export const labTitle = lab => (lab ? labText(lab) : '');

/** What went wrong, in the library's own words or the page's. */
export function errorText(error) {
  if (error instanceof EngineError) return error.status === 0 ? t('desk.gone') : say(error.message);
  console.error(error);
  return t('desk.bug');
}

export const sentence = text => (text ? text[0].toUpperCase() + text.slice(1) + (/[.!?]$/.test(text) ? '' : '.') : '');

/** What the library says, in the language of the page as far as that has it. */
export const say = text => sentence(spokenFor(text));

/** A line that is told to a screen reader too. bad: something to mend. */
export function notice(text, bad = false) {
  return el('p', { class: `notice${bad ? ' bad' : ''}`, role: bad ? 'alert' : 'status' }, text);
}

/** What went wrong with an answer, and another try: her marks are still there. */
export const failed = (error, again) => el('div', { class: 'notice bad', role: 'alert' }, el('p', {}, errorText(error)), el('button', { type: 'button', onclick: again }, t('desk.again')));

/** Runs a job of a button: it can't be pressed twice, and a refusal is shown beside it. */
export async function busy(button, place, job) {
  button.disabled = true;
  button.setAttribute('aria-busy', 'true');
  place.replaceChildren();
  try {
    return await job();
  } catch (error) {
    if (error.name !== 'AbortError') place.replaceChildren(notice(errorText(error), true));
    return null;
  } finally {
    button.disabled = false;
    button.removeAttribute('aria-busy');
  }
}

/** What was done, and the way back; again() shows what is there then. */
export const undoNotice = (text, again) => el('div', { class: 'notice', role: 'status' }, el('p', {}, text), el('button', { type: 'button', onclick: async e => {
  const told = e.target.parentElement;
  if (await busy(e.target, el('div'), () => undo())) again();
  else told.append(notice(t('visit.no_undo'), true));
} }, t('visit.undo')));

/** Asks before something that can't be taken back. Resolves to true or false. */
export function confirm({ title, text, action }) {
  return new Promise(resolve => {
    const no = el('button', { type: 'button', onclick: () => dialog.close('no') }, t('desk.cancel'));
    const yes = el('button', { type: 'button', class: 'danger', onclick: () => dialog.close('yes') }, action);
    const dialog = el('dialog', { 'aria-labelledby': 'confirm-title' }, el('h2', { id: 'confirm-title' }, title), el('p', {}, text), el('div', { class: 'buttons' }, yes, no));
    dialog.addEventListener('close', () => { dialog.remove(); resolve(dialog.returnValue === 'yes'); });
    document.body.append(dialog);
    dialog.showModal();
    no.focus();
  });
}

/** An empty place with what to do about it. */
export const empty = (title, text, ...more) => el('div', { class: 'empty' }, el('h3', {}, title), el('p', {}, text), ...more);

let fields = 0;

/** A label over its input, with a hint and a place for what is wrong. */
export function labelled(title, input, hint = null) {
  input.id ||= `f${++fields}`;
  const note = hint ? el('span', { class: 'hint', id: `${input.id}-hint` }, hint) : null;
  if (note) input.setAttribute('aria-describedby', note.id);
  return el('div', { class: 'field' }, el('label', { for: input.id }, title), input, note);
}

/** Photos given by a button, by the camera of a phone or dropped. */
export function photoDrop(title, text, take) {
  const input = el('input', { type: 'file', accept: 'image/jpeg,image/png,image/heic,image/heif,.heic,.heif', class: 'unseen', id: `f${++fields}`,
    onchange: () => { if (input.files[0]) take(input.files[0]); input.value = ''; } });
  const area = el('label', { class: 'drop', for: input.id }, input, el('span', { class: 'drop-title' }, title), el('span', { class: 'hint' }, text));
  const over = on => e => { e.preventDefault(); area.classList.toggle('over', on); };
  area.addEventListener('dragover', over(true));
  area.addEventListener('dragleave', over(false));
  area.addEventListener('drop', e => { over(false)(e); e.stopPropagation(); if (e.dataTransfer.files[0]) take(e.dataTransfer.files[0]); });
  return area;
}
