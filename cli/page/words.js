// words: every text that a person reads, by its key, in the language of the page; numbers as that language writes them. en.js is complete
// and stands in for what another language lacks.

import { EN } from './en.js';

let spoken = { language: 'en', words: EN, sentences: [], plural: new Intl.PluralRules('en') };

/** Changes the language: a BCP 47 tag and its tables: words of the pages, and sentences of the library, which writes English. */
export function speak(language, words, sentences = []) { spoken = { language, words, sentences, plural: new Intl.PluralRules(language) }; }

export const language = () => spoken.language;
/** [[English, spoken], ...] of what the library says. */
export const sentences = () => spoken.sentences;

/** The text of a key, {name} filled in from values. A text that counts has one form for each plural and is chosen by values.n. */
export function t(key, values = {}) {
  const entry = spoken.words[key] ?? EN[key] ?? key;
  const text = typeof entry === 'string' ? entry : entry[spoken.plural.select(values.n)] ?? entry.other;
  return text.replace(/\{(\w+)\}/g, (all, name) => (name in values ? (typeof values[name] === 'number' ? decimal(values[name]) : values[name]) : all));
}

const styles = new Map();

/** A style of numbers in the language of the page: made once, because making one takes longer than a hundred numbers. */
export function numberStyle(options) {
  const key = `${spoken.language} ${JSON.stringify(options)}`;
  if (!styles.has(key)) styles.set(key, new Intl.NumberFormat(spoken.language, options));
  return styles.get(key);
}

/** A number with so many digits behind the point, or as many as it has. */
export const decimal = (value, digits) => numberStyle({ useGrouping: false, minimumFractionDigits: digits ?? 0, maximumFractionDigits: digits ?? 3 }).format(value);

/** Puts the words of the language into markup: data-t is the key of an element's text, data-t-label of its aria-label. */
export function translate(root) {
  for (const element of root.querySelectorAll('[data-t]')) element.textContent = t(element.dataset.t);
  for (const element of root.querySelectorAll('[data-t-label]')) element.setAttribute('aria-label', t(element.dataset.tLabel));
}
