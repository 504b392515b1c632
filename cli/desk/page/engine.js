// engine: the one module that knows how questions reach the library. Today it asks the desk's server; every screen would run the same over
// another engine with these functions. Each question is one call; a refusal is an EngineError with the library's own line.

export class EngineError extends Error {
  constructor(text, status) {
    super(text);
    this.status = status;
  }
}

async function ask(method, path, { json, bytes, signal } = {}) {
  const type = json !== undefined ? 'application/json' : bytes ? 'application/octet-stream' : null;
  let response;
  try {
    response = await fetch(path, { method, signal, body: json !== undefined ? JSON.stringify(json) : bytes, headers: type ? { 'Content-Type': type } : {}, cache: 'no-store' });
  } catch (error) {
    if (error.name === 'AbortError') throw error;
    throw new EngineError('', 0); // the desk is gone: what to say is the page's business
  }
  const answer = await response.json().catch(() => ({}));
  if (!response.ok) throw new EngineError(answer.error?.text ?? response.statusText, response.status);
  return answer;
}

// ---- the salon ----

/** {version, book, backup: day of the latest copy or '', values: {key: text}, list: [{key, value, help}]} */
export async function salon() { return shapeSalon(await ask('GET', '/settings')); }
export async function saveSalon(changes) { return shapeSalon(await ask('PATCH', '/settings', { json: changes })); }
const shapeSalon = answer => ({ version: answer.version, book: answer.book, backup: answer.backup, list: answer.settings, values: Object.fromEntries(answer.settings.map(s => [s.key, s.value])) });
/** {file} */
export const backup = () => ask('POST', '/backup', { json: {} });

// ---- clients and visits ----

/** {today, clients: [{id, name, note, since, visits, last: {id, at, installed, sewn, next}|null}]} */
export const clients = () => ask('GET', '/clients');
export const client = id => ask('GET', `/clients/${id}`);
export const addClient = (name, note = '') => ask('POST', '/clients', { json: { name, note } });
export const changeClient = (id, changes) => ask('PATCH', `/clients/${id}`, { json: changes });
/** All her visits to another client's file. */
export const mergeClient = (id, into) => ask('PATCH', `/clients/${id}`, { json: { into } });
/** A client's file as it was exported. {id} */
export const importClient = file => ask('POST', `/clients/import?name=${encodeURIComponent(file.name)}`, { bytes: file });
export const forgetClient = id => ask('DELETE', `/clients/${id}`);
/** The document of `client history --json`. */
export const visits = id => ask('GET', `/clients/${id}/visits`);
/** {id, client, at, installed, why, note, charged_minor, sewn, photo, after, finished, report} */
export const visit = id => ask('GET', `/visits/${id}`);
/** The record; noticed: what is odd, and then nothing is kept until the changes come again with sure: true. */
export const record = (id, changes) => ask('PATCH', `/visits/${id}`, { json: changes });
/** A photo after, looked at or kept: given = {photo, zones, worn: 'down' or 'up', save}; without zones the photo alone. {warnings, finished: [{worn, zone,
 *  beside, de00, u_de00, lab, her_lab, verdict, words}]}: how near the finished row came, that of the visit's other photos too. */
export const after = (visit, given, signal) => ask('POST', `/visits/${visit}/after`, { json: given, signal });
export const moveVisit = (id, client) => ask('POST', `/visits/${id}/move`, { json: { client } });
export const removeVisit = id => ask('DELETE', `/visits/${id}`);
/** Takes back the last change of the book. {told, client} */
export const undo = () => ask('POST', '/undo', { json: {} });
/** The text of the zones file of a saved visit. */
export async function visitZones(id) {
  const response = await fetch(`/visits/${id}/zones.json`, { cache: 'no-store' });
  return response.ok ? response.text() : null;
}

/** Addresses that an image or a link takes. */
export const address = {
  preview: photo => `/photos/${photo}/preview`,
  photo: visit => `/visits/${visit}/photo.jpg`,
  after: visit => `/visits/${visit}/after.jpg`,
  report: (visit, language) => `/visits/${visit}/report.html?language=${language}`,
  paper: (visit, language) => `/visits/${visit}/client.html?language=${language}`,
  calendar: visit => `/visits/${visit}/plan.ics`,
  exported: client => `/clients/${client}/export.json`
};

// ---- photos ----

/** {id, file, width, height, camera, taken, flash, resized, profile_assumed} */
export const openPhoto = file => ask('POST', `/photos?name=${encodeURIComponent(file.name)}`, { bytes: file });
export const photo = id => ask('GET', `/photos/${id}`);
export const openFromFolder = name => ask('POST', '/photos/folder', { json: { name } });
/** {folder, photos: [{name, at}]}, newest first */
export const folder = () => ask('GET', '/photos');

/** question: {zones: text of a zones file, wishes, client, live}; instead_of, a visit, in place of the client: that one is measured anew. {shown, catalogue, noticed, report}; nothing is saved.
 *  noticed: what is odd about saving it, [{code, text}]. live: soon, without asking
 *  whether the answer would hold with other marks; only a whole answer can be saved. */
export const match = (photo, question, signal) => ask('POST', `/photos/${photo}/match`, { json: question, signal });
/** Her own hair in other shades: asked = {zone: its name, shades: [{base, gray}]}. {own, drawn: [{base, gray, picture}]}, pictures as addresses. */
export const heldUp = (photo, question, asked, signal) => ask('POST', `/photos/${photo}/held`, { json: { ...question, ...asked }, signal });
/** Saves exactly what was shown. again: although this photo is a visit already. {id, client} */
export const save = (photo, question, shown, again = false) => ask('POST', '/visits', { json: { ...question, photo, shown, again } });

// ---- the catalogue ----

/** {csv: text|null, base: of this version, lch: depth, chroma and hue of each row} */
export const catalogue = () => ask('GET', '/catalogue');
export const saveCatalogue = (csv, base) => ask('PUT', '/catalogue', { json: { csv, base } });
/** {saved, aid, claim, sheet: what the photo was to the catalogue, swatches: [{code, lab, u, outcome, change_de00}], warnings} */
export const measureSwatches = (photo, zones, { save: keep = false, replace = false } = {}) =>
  ask('POST', '/catalogue/measure', { json: { photo, zones, save: keep, replace } });

// ---- orders ----

/** The document of `orders --json`. */
export const orders = () => ask('GET', '/orders');
/** Packs of an order that have come. */
export const arrived = (code, length_cm, packs) => ask('POST', '/stock', { json: { code, length_cm, packs } });
export const recheck = () => ask('GET', '/recheck');

// ---- what comes by itself ----

/** Calls `heard(name)` for every event until the signal; a lost line comes back by itself. */
export function listen(heard, signal) {
  const source = new EventSource('/events');
  for (const name of ['photos', 'recheck']) source.addEventListener(name, e => heard(name, JSON.parse(e.data)));
  signal?.addEventListener('abort', () => source.close());
}
