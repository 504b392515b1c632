// dom: the few functions with which the panel is built. Text is always set as text, never as markup.

import { chipColour } from './colour.js';

export const byId = id => document.getElementById(id);

/** el('p', {class: 'x', onclick: f}, 'text', child ...) */
export function el(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith('on')) element.addEventListener(key.slice(2), value);
    else if (key in element && typeof value !== 'string') element[key] = value;
    else element.setAttribute(key, value);
  }
  element.append(...children.filter(child => child !== null));
  return element;
}

export const isTextField = element => element.matches('input:not([type=radio]):not([type=checkbox]), textarea, select');

/** Sets text only when it differs, so that nothing is announced twice. */
export function setText(element, text) {
  if (element.textContent !== text) element.textContent = text;
}

export function setChip(chip, lab) {
  chip.hidden = !lab;
  if (lab) chip.style.background = chipColour(lab);
}

let lastField = 0;

/** A label over its input; `key` finds the input again. */
export function field(key, title, input, hint = null) {
  input.id = `field-${++lastField}`;
  input.dataset.field = key;
  const note = hint ? el('span', { class: 'hint', id: `${input.id}-hint` }, hint) : null;
  if (note) input.setAttribute('aria-describedby', note.id);
  return el('div', { class: `field field-${key}` }, el('label', { for: input.id }, title), input, note);
}
