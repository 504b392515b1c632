// combobox: type-ahead over the catalogue, after the ARIA editable combobox with list: focus stays in the field.

import { labText } from './colour.js';
import { el, setChip } from './dom.js';
import { t } from './words.js';

const MOST_OPTIONS = 60;

/** Swatches for what was typed: code first, then name; hair before beads; the catalogue's order otherwise. */
function findSwatches(catalogue, typed) {
  const text = typed.trim().toLowerCase();
  const rank = ({ code, name, kind }) => {
    const c = code.toLowerCase(), n = (name ?? '').toLowerCase();
    const place = c.startsWith(text) ? 0 : c.includes(text) ? 1 : n.split(/\s+/).some(word => word.startsWith(text)) ? 2 : n.includes(text) ? 3 : null;
    return place === null ? null : 2 * place + (kind === 'bead' ? 1 : 0);
  };
  return catalogue.map(swatch => [rank(swatch), swatch]).filter(([r]) => r !== null).sort((a, b) => a[0] - b[0]).map(([, swatch]) => swatch);
}

export class SwatchPicker {
  #found = [];
  #active = -1;

  /** onpick(code) is called with every code typed or chosen. */
  constructor(input, catalogue, onpick) {
    Object.assign(this, { input, catalogue, onpick });
    // Laid over what follows: were it in the flow, its closing would move a button away from under the pointer.
    this.list = el('ul', { role: 'listbox', class: 'options', id: `${input.id}-list`, 'aria-label': t('picker.label'), hidden: true });
    for (const [key, value] of Object.entries({ role: 'combobox', 'aria-autocomplete': 'list', 'aria-expanded': 'false', 'aria-controls': this.list.id, autocomplete: 'off', autocapitalize: 'none', spellcheck: 'false' }))
      input.setAttribute(key, value);
    input.addEventListener('input', () => { this.onpick(this.#exact(input.value)); this.#open(input.value); });
    input.addEventListener('click', () => this.#open(''));
    input.addEventListener('keydown', e => this.#key(e));
    input.addEventListener('blur', () => this.#close());
    this.list.addEventListener('pointerdown', e => e.preventDefault()); // the field keeps the focus
    this.list.addEventListener('click', e => this.#pick(this.#found[[...this.list.children].indexOf(e.target.closest('li'))]));
  }

  // The catalogue's own spelling when only the case differs.
  #exact(typed) {
    const same = this.catalogue.filter(s => s.code.toLowerCase() === typed.trim().toLowerCase());
    return same.length === 1 ? same[0].code : typed.trim();
  }

  #open(typed) {
    this.#found = findSwatches(this.catalogue, typed).slice(0, MOST_OPTIONS);
    this.list.replaceChildren(...this.#found.map((swatch, i) => this.#option(swatch, i)));
    if (this.#found.length === 0) this.list.replaceChildren(el('li', { class: 'none', role: 'option', 'aria-disabled': 'true', 'aria-selected': 'false' }, t('picker.none')));
    this.list.hidden = false;
    this.input.setAttribute('aria-expanded', 'true');
    for (const part of [this.list, this.input]) part.scrollIntoView({ block: 'nearest' });
    this.#activate(-1);
  }

  #option({ code, name, kind, L, a, b }, i) {
    const chip = el('span', { class: 'chip', 'aria-hidden': 'true' });
    setChip(chip, [L, a, b]);
    return el('li', { role: 'option', id: `${this.list.id}-${i}`, 'aria-selected': 'false' }, chip,
      el('span', { class: 'code' }, code), el('span', { class: 'name' }, [name, kind === 'bead' ? t('picker.bead') : ''].filter(Boolean).join(' ')),
      el('span', { class: 'numbers' }, labText([L, a, b])));
  }

  #close() {
    this.list.hidden = true;
    this.input.setAttribute('aria-expanded', 'false');
    this.input.removeAttribute('aria-activedescendant');
  }

  #activate(index) {
    this.#active = index;
    [...this.list.children].forEach((option, i) => option.setAttribute('aria-selected', String(i === index)));
    if (index < 0 || this.#found.length === 0) return this.input.removeAttribute('aria-activedescendant');
    this.input.setAttribute('aria-activedescendant', this.list.children[index].id);
    this.list.children[index].scrollIntoView({ block: 'nearest' });
  }

  #pick(swatch) {
    if (!swatch) return;
    this.input.value = swatch.code;
    this.#close();
    this.onpick(swatch.code);
  }

  #key(e) {
    const open = !this.list.hidden, step = { ArrowDown: 1, ArrowUp: -1 }[e.key];
    if (step && !open) this.#open('');
    const n = this.#found.length;
    if (step && n) this.#activate(this.#active < 0 ? (step > 0 ? 0 : n - 1) : (this.#active + step + n) % n);
    else if (e.key === 'Enter' && open) this.#pick(this.#found[Math.max(0, this.#active)]);
    else if (e.key === 'Escape' && open) this.#close();
    else return;
    e.preventDefault();
    e.stopPropagation(); // an Escape that closed the list does not leave the field as well
  }
}
