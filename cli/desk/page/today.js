// today: the first screen: a photo in, who is due, who was here last, everybody found by name.

import { el } from '../../page/dom.js';
import { t } from '../../page/words.js';
import * as engine from './engine.js';
import { fromNow, longDate, shortDate } from './format.js';
import { busy, chip, empty, errorText, knownShades, labOfShade, notice, photoDrop, shade } from './parts.js';
import { find } from './search.js';

const LAST_SHOWN = 6;

export async function todayScreen(desk, place, { signal }) {
  const [{ today, clients }, { csv }, folder] = await Promise.all([engine.clients(), engine.catalogue(), engine.folder()]);
  if (signal.aborted) return;
  const catalogue = csv ? knownShades(csv) : [];
  const told = el('div', { class: 'told' });
  const open = async job => {
    told.replaceChildren(notice(t('today.opening')));
    try {
      const facts = await job();
      desk.work.set(facts.id, { facts });
      if (!signal.aborted) desk.go(`/photo/${facts.id}`);
    } catch (error) { told.replaceChildren(notice(errorText(error), true)); }
  };
  const drop = photoDrop(t('today.drop'), t('today.drop_hint'), file => open(() => engine.openPhoto(file)));
  const arrived = el('section', { class: 'arrived', hidden: true });
  place.append(
    el('div', { class: 'head-line' }, el('h1', {}, t('nav.today')), el('p', { class: 'soft' }, longDate(today))),
    ...firstSteps(desk, csv, clients),
    drop, told, arrived,
    el('div', { class: 'two' }, dueList(clients, today, catalogue), lastList(clients, today)),
    everybody(desk, clients));
  const arrivals = new Arrivals(name => open(() => engine.openFromFolder(name)), desk.language(), signal);
  arrived.append(el('h2', {}, t('today.arrived')), arrivals.root);
  const showArrived = ({ photos }) => {
    arrived.hidden = photos.length === 0;
    arrivals.show(photos);
  };
  showArrived(folder);
  if (folder.folder) engine.listen(async name => { if (name === 'photos') showArrived(await engine.folder()); }, signal);
}

const ARRIVALS_SHOWN = 8;
const CLICK_MS = 300; // a press is a click by then

/** New photos, newest first. While she presses one of them, what came meanwhile waits: the one under her finger stays there. */
class Arrivals {
  #items = new Map(); // by name and time, so that the focus stays where it is
  #pressed = false;
  #waiting = null;

  constructor(open, language, signal) {
    Object.assign(this, { open, language });
    this.root = el('ul', { class: 'arrivals' });
    this.root.addEventListener('pointerdown', () => { this.#pressed = true; });
    for (const event of ['pointerup', 'pointercancel']) window.addEventListener(event, () => this.#pressed && setTimeout(() => this.#released(), CLICK_MS), { signal });
  }

  show(photos) {
    if (this.#pressed) { this.#waiting = photos; return; }
    const shown = photos.slice(0, ARRIVALS_SHOWN).map(photo => [`${photo.at} ${photo.name}`, photo]);
    this.#items = new Map(shown.map(([key, photo]) => [key, this.#items.get(key) ?? this.#item(photo)]));
    for (const old of [...this.root.children]) if (![...this.#items.values()].includes(old)) old.remove();
    for (const [i, item] of [...this.#items.values()].entries()) if (this.root.children[i] !== item) this.root.insertBefore(item, this.root.children[i] ?? null);
  }

  #released() {
    this.#pressed = false;
    if (this.#waiting) this.show(this.#waiting);
    this.#waiting = null;
  }

  #item({ name, at }) {
    return el('li', {}, el('button', { type: 'button', onclick: () => this.open(name) }, el('strong', {}, name),
      el('span', { class: 'soft' }, new Date(at * 1000).toLocaleTimeString(this.language, { hour: '2-digit', minute: '2-digit' }))));
  }
}

// A salon that has just begun is led: three steps, ticked as they are done.
function firstSteps(desk, csv, clients) {
  const fees = desk.salon.values.row_fee !== 'none' && desk.salon.values.row_fee !== '';
  if (csv && (clients.length || fees)) return [];
  const step = (done, title, text, link) => el('li', { class: done ? 'done' : '' }, el('div', {}, el('strong', {}, title, done ? el('span', { class: 'unseen' }, ` ${t('first.done')}`) : null), el('p', { class: 'soft' }, text)),
    done ? null : link);
  return [el('section', { class: 'first', 'aria-labelledby': 'first-title' }, el('h2', { id: 'first-title' }, t('first.title')), el('ol', { class: 'steps' },
    step(Boolean(csv), t('first.catalogue'), t('first.catalogue_text'), el('a', { class: 'button', href: '#/catalogue' }, t('first.catalogue_do'))),
    step(fees, t('first.fees'), t('first.fees_text'), el('a', { class: 'button', href: '#/salon' }, t('first.fees_do'))),
    step(clients.length > 0, t('first.photo'), t('first.photo_text'), null)))];
}

const nextOf = client => client.last?.next || null;

function dueList(clients, today, catalogue) {
  const due = clients.filter(nextOf).sort((a, b) => nextOf(a).localeCompare(nextOf(b)));
  const line = client => {
    const late = nextOf(client) < today;
    return el('li', {}, el('a', { href: `#/client/${client.id}` }, el('span', { class: 'who' }, client.name),
      el('span', { class: late ? 'when late' : 'when' }, `${shortDate(nextOf(client))}, ${fromNow(nextOf(client), today)}`), stackChips(client.last.installed ? client.last.installed.split(',') : [], client.last.sewn, catalogue)));
  };
  return el('section', { 'aria-labelledby': 'due-title' }, el('h2', { id: 'due-title' }, t('today.due')),
    due.length ? el('ul', { class: 'rows' }, ...due.slice(0, 8).map(line)) : empty(t('today.due_none'), t('today.due_none_text')));
}

/** Shades of pieces, which no layer is named after. */
export const piecesOf = (layers, sewn) => sewn.filter(code => !layers.includes(code));

/** The layers from the front, and the shades of pieces in them. */
export function stackChips(layers, sewn, catalogue) {
  const codes = [...layers, ...piecesOf(layers, layers.length ? sewn : [])];
  return codes.length ? el('span', { class: 'stack', title: codes.join(' / ') }, ...codes.map(code => chip(labOfShade(shade(code, catalogue)), { 'aria-hidden': 'true' })), el('span', { class: 'unseen' }, codes.join(', '))) : null;
}

function lastList(clients, today) {
  const last = clients.filter(c => c.last).sort((a, b) => b.last.at.localeCompare(a.last.at) || b.last.id - a.last.id).slice(0, LAST_SHOWN);
  return el('section', { 'aria-labelledby': 'last-title' }, el('h2', { id: 'last-title' }, t('today.last')),
    last.length ? el('ul', { class: 'thumbs' }, ...last.map(({ id, name, last: { id: visit, at } }) => el('li', {}, el('a', { href: `#/client/${id}` },
      el('img', { src: engine.address.photo(visit), alt: '', loading: 'lazy' }), el('span', { class: 'who' }, name), el('span', { class: 'soft' }, fromNow(at, today))))))
      : empty(t('today.last_none'), t('today.last_none_text')));
}

function everybody(desk, clients) {
  const list = el('ul', { class: 'rows names' }), count = el('p', { class: 'soft', role: 'status' });
  const input = el('input', { type: 'search', autocomplete: 'off', id: 'find-client', placeholder: t('today.find_hint'), oninput: () => fill() });
  const fill = () => {
    const found = find(clients, input.value);
    list.replaceChildren(...found.slice(0, 60).map(c => el('li', {}, el('a', { href: `#/client/${c.id}` }, el('span', { class: 'who' }, c.name),
      el('span', { class: 'soft' }, c.last ? t('today.visits', { n: c.visits, date: shortDate(c.last.at) }) : t('today.no_visit'))))));
    count.textContent = found.length ? '' : clients.length ? t('today.nobody', { name: input.value }) : t('today.nobody_yet');
  };
  const name = el('input', { type: 'text', autocomplete: 'off', maxlength: '120', id: 'new-client', required: true }), trouble = el('div');
  const add = el('button', { type: 'submit' }, t('today.add'));
  const form = el('form', { class: 'inline', onsubmit: e => {
    e.preventDefault();
    busy(add, trouble, async () => { const { id } = await engine.addClient(name.value); desk.go(`/client/${id}`); });
  } }, el('label', { for: 'new-client' }, t('today.new')), name, add);
  const file = el('input', { type: 'file', accept: '.json,application/json', class: 'unseen', id: 'client-file', onchange: () => {
    const [given] = file.files;
    file.value = '';
    if (given) busy(add, trouble, async () => { const { id } = await engine.importClient(given); desk.go(`/client/${id}`); });
  } });
  const bring = el('label', { class: 'button quiet', for: 'client-file' }, file, t('today.import'));
  fill();
  return el('section', { 'aria-labelledby': 'all-title' }, el('h2', { id: 'all-title' }, t('today.clients')),
    el('div', { class: 'finder' }, el('label', { for: 'find-client', class: 'unseen' }, t('today.find')), input), list, count, form, trouble, el('p', { class: 'beside' }, bring));
}
