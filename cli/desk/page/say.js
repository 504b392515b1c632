// say: what the library says, in the language of the page. It writes English; a language brings its sentences (the end of de.js). The papers are
// said by the same rows in the same way (lib/report/spoken.c).

import { decimal, language, sentences } from '../../page/words.js';

const compiled = new Map();

/** [expression, letters of what stays, text] for each sentence; what stays never goes on into the next sentence. */
function rowsOf(table) {
  const row = ([pattern, text]) => {
    const holes = [...pattern.matchAll(/\{(\w)\}/g)].map(m => m[1]);
    return [new RegExp(`^${pattern.replace(/[.*+?^$()|[\]\\]/g, '\\$&').replace(/\{[a-z]\}/g, '((?:(?!\\. ).)+?)').replace(/\{[A-Z]\}/g, '(\\S*[^\\s,;:])')}$`, 'i'), holes, text];
  };
  if (!compiled.has(table)) compiled.set(table, table.map(row));
  return compiled.get(table);
}

let names = new Set();

/** Shades that stay as they are inside a sentence, even where one is called like a word of the language. */
export function keepNames(shades) { names = new Set(shades.flatMap(({ code, name }) => [code, name].filter(Boolean))); }

const JOINS = ['. ', '; ', ': ', ', '];

const part = (text, rows) => (names.has(text) ? text : said(text, rows));

function said(text, rows) {
  const end = /[.]$/.test(text) ? '.' : '', plain = text.slice(0, text.length - end.length);
  for (const [expression, holes, words] of rows) {
    const found = plain.match(expression);
    if (found) return words.replace(/\{(\w)\}/g, (all, hole) => part(found[holes.indexOf(hole) + 1], rows)) + end;
  }
  for (const join of JOINS) {
    const parts = plain.split(join);
    if (parts.length === 1) continue;
    const spoken = parts.map(each => part(each, rows));
    if (spoken.some((part, i) => part !== parts[i])) return spoken.join(join) + end;
  }
  return text;
}

const asDate = day => new Intl.DateTimeFormat(language(), { day: 'numeric', month: 'short', year: 'numeric' }).format(new Date(`${day}T12:00:00`));

export function spokenFor(text) {
  const days = said(text, rowsOf(sentences())).replace(/\b\d{4}-\d\d-\d\d\b/g, asDate);
  return days.replace(/(?<![\w.,])\d+\.\d+(?![\w.]*\d)/g, number => decimal(Number(number), number.split('.')[1].length));
}
