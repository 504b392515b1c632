// say: what the library says, in the language of the page. It writes English; a language brings its sentences (the end of de.js). The papers are
// said by the same rows in the same way (lib/report/spoken.c).

import { decimal, language, sentences } from '../../page/words.js';

const compiled = new Map();

/** [expression, names of what stays, text] for each sentence; what stays never goes on into the next sentence. */
function rowsOf(table) {
  const row = ([pattern, text]) => {
    const names = [...pattern.matchAll(/\{(\w)\}/g)].map(m => m[1]);
    return [new RegExp(`^${pattern.replace(/[.*+?^$()|[\]\\]/g, '\\$&').replace(/\{[a-z]\}/g, '((?:(?!\\. ).)+?)').replace(/\{[A-Z]\}/g, '(\\S+)')}$`, 'i'), names, text];
  };
  if (!compiled.has(table)) compiled.set(table, table.map(row));
  return compiled.get(table);
}

const JOINS = ['. ', '; ', ': ', ', '];

function said(text, rows) {
  const end = /[.]$/.test(text) ? '.' : '', plain = text.slice(0, text.length - end.length);
  for (const [expression, names, words] of rows) {
    const found = plain.match(expression);
    if (found) return words.replace(/\{(\w)\}/g, (all, name) => said(found[names.indexOf(name) + 1], rows)) + end;
  }
  for (const join of JOINS) {
    const parts = plain.split(join);
    if (parts.length === 1) continue;
    const spoken = parts.map(part => said(part, rows));
    if (spoken.some((part, i) => part !== parts[i])) return spoken.join(join) + end;
  }
  return text;
}

const asDate = day => new Intl.DateTimeFormat(language(), { day: 'numeric', month: 'short', year: 'numeric' }).format(new Date(`${day}T12:00:00`));

export function spokenFor(text) {
  const days = said(text, rowsOf(sentences())).replace(/\b\d{4}-\d\d-\d\d\b/g, asDate);
  return days.replace(/(?<![\w.,])\d+\.\d+(?![\w.]*\d)/g, number => decimal(Number(number), number.split('.')[1].length));
}
