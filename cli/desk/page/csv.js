// csv: the catalogue as rows of text (RFC 4180). What the cells mean is the library's business.

/** Text to {names, rows: [{name: cell}]}. */
export function readCsv(text, separator = ',') {
  const lines = [[]];
  let cell = '', quoted = false, any = false;
  const push = () => { lines.at(-1).push(cell); cell = ''; };
  for (let i = 0; i < text.length; i++) {
    const c = text[i];
    if (quoted) {
      if (c === '"' && text[i + 1] === '"') { cell += '"'; i++; } else if (c === '"') quoted = false; else cell += c;
    } else if (c === '"' && cell === '') quoted = true;
    else if (c === separator) push();
    else if (c === '\n') { push(); lines.push([]); }
    else if (c !== '\r') cell += c;
    any = true;
  }
  if (any) push();
  const [names = [], ...rest] = lines.filter(line => line.some(c => c !== ''));
  return { names: names.map(name => name.trim()), rows: rest.map(line => Object.fromEntries(names.map((name, i) => [name.trim(), line[i] ?? '']))) };
}

const quote = cell => (/[",\r\n]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell);

export const writeCsv = ({ names, rows }) => [names, ...rows.map(row => names.map(name => row[name] ?? ''))].map(line => line.map(quote).join(',')).join('\n') + '\n';

/** A file from elsewhere, in the catalogue's own form: semicolons, tabs and decimal commas are understood where the file leaves no doubt,
 *  that is where its first line is parted by them. */
export function importCsv(text) {
  const plain = text.replace(/^\uFEFF/, ''), first = plain.split('\n', 1)[0];
  const separator = [';', '\t'].find(s => first.includes(s) && !first.includes(',')) ?? ',';
  const table = readCsv(plain, separator);
  if (separator !== ',')
    for (const row of table.rows)
      for (const name of table.names) if (/^\s*-?\d+,\d+\s*$/.test(row[name])) row[name] = row[name].trim().replace(',', '.');
  return table;
}

/** Whether a list says colours: a price list does not. */
export const hasColours = ({ names }) => ['L', 'a', 'b'].every(name => names.includes(name));

/** A catalogue with what a list says of the codes that it has, and the rows of the list that it does not have. */
export function mergeList(table, list) {
  const known = new Map(list.rows.map(row => [row.code, row]));
  const names = [...table.names, ...list.names.filter(name => !table.names.includes(name))];
  const said = row => Object.fromEntries(Object.entries(known.get(row.code) ?? {}).filter(([name, cell]) => cell !== '' && !['L', 'a', 'b'].includes(name)));
  const codes = new Set(table.rows.map(row => row.code));
  return { table: { names, rows: table.rows.map(row => ({ ...row, ...said(row) })) }, rest: { names: list.names, rows: list.rows.filter(row => row.code && !codes.has(row.code)) } };
}

/** The rows of a chip list: {code, name, lab, kind}, one a code. */
export function shadesOf({ rows }) {
  const seen = new Map();
  for (const row of rows)
    if (!seen.has(row.code)) seen.set(row.code, { code: row.code, name: row.name ?? '', kind: row.kind || 'hair', L: Number(row.L), a: Number(row.a), b: Number(row.b) });
  return [...seen.values()];
}
