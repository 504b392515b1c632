// orders: what the coming visits need beyond stock, by supplier and day, and what another shade would bring.

import { el } from '../../page/dom.js';
import { decimal, t } from '../../page/words.js';
import * as engine from './engine.js';
import { length, price, shortDate } from './format.js';
import { busy, empty, undoNotice } from './parts.js';
import { keepNames, spokenFor } from './say.js';

export async function ordersScreen(desk, place, { signal }) {
  const { orders, visits, lapsed, currency } = await engine.orders();
  if (signal.aborted) return;
  keepNames(orders);
  const told = el('div', { class: 'told' }), again = async done => {
    if (signal.aborted) return;
    place.replaceChildren();
    await ordersScreen(desk, place, { signal });
    place.querySelector('.told')?.replaceChildren(undoNotice(done, again));
  };
  const context = { units: desk.salon.values.units, currency, told, again };
  place.append(el('div', { class: 'head-line' }, el('h1', {}, t('nav.orders'))), told,
    el('section', { 'aria-labelledby': 'order-title' }, el('h2', { id: 'order-title' }, t('orders.coming')),
      ...(orders.length ? bySupplier(orders).map(group => supplierPart(group, context)) : [nothingToOrder(visits)])),
    visits.length ? el('section', { 'aria-labelledby': 'coming-title' }, el('h2', { id: 'coming-title' }, t('orders.visits')), el('ul', { class: 'rows' }, ...visits.map(v => visitLine(v, context)))) : '',
    lapsed ? el('p', { class: 'soft' }, t('orders.lapsed', { n: lapsed })) : '',
    recheckPart());
}

/** Where no row is planned yet nobody knows what a visit needs. */
function nothingToOrder(visits) {
  const key = visits.length === 0 ? 'none' : visits.some(v => v.wefts.length) ? 'enough' : 'unplanned';
  return empty(t(`orders.${key}`), t(`orders.${key}_text`));
}

/** The lines come sorted by supplier. */
function bySupplier(orders) {
  const groups = [];
  for (const line of orders) {
    if (groups.at(-1)?.supplier !== line.supplier) groups.push({ supplier: line.supplier, lines: [] });
    groups.at(-1).lines.push(line);
  }
  return groups;
}

function supplierPart({ supplier, lines }, { units, currency, told, again }) {
  const arrive = o => {
    const button = el('button', { type: 'button', class: 'quiet', 'aria-label': t('orders.arrived_of', { code: o.code }), onclick: async () => {
      if (await busy(button, told, () => engine.arrived(o.code, o.length_cm, o.order))) again(t('orders.arrived_done', { n: o.order, code: o.code }));
    } }, t('orders.arrived'));
    return el('td', {}, button);
  };
  const title = supplier ? t('orders.from', { supplier }) : t('orders.from_anybody'), cell = value => el('td', { class: 'number' }, value);
  const row = o => el('tr', {}, el('th', { scope: 'row' }, el('span', {}, o.code), el('span', { class: 'soft' }, [o.name, o.length_cm > 0 ? length(o.length_cm, units) : ''].filter(Boolean).join(', '))),
    cell(el('strong', {}, decimal(o.order))), el('td', {}, o.by ? el('span', { class: o.late ? 'when late' : 'when' }, t(o.late ? 'orders.today' : 'orders.by_day', { date: shortDate(o.by) })) : t('orders.no_day')),
    cell(decimal(o.needed)), cell(o.stock === null ? t('orders.not_counted') : decimal(o.stock)), cell(o.pack_price_milli === null ? '' : price(o.pack_price_milli, currency)), el('td', {}, o.for), arrive(o));
  return el('div', { class: 'supplier' }, el('h3', {}, title), el('div', { class: 'scroll', tabindex: '0', role: 'group', 'aria-label': title }, el('table', { class: 'plain-table' },
    el('thead', {}, el('tr', {}, ...['code', 'order', 'by', 'needed', 'stock', 'price', 'for'].map(name => el('th', { scope: 'col', class: ['order', 'needed', 'stock', 'price'].includes(name) ? 'number' : '' }, t(`orders.${name}`))), el('th', {}, el('span', { class: 'unseen' }, t('orders.arrived'))))),
    el('tbody', {}, ...lines.map(row)))));
}

function visitLine(v, { units }) {
  const weft = w => {
    const width = w.width_cm > 0 ? ` ${length(w.width_cm, units)}` : '', cut = w.from_cut_lengths_cm > 0 ? t('orders.from_cut', { length: length(w.from_cut_lengths_cm, units) }) : '';
    return `${w.code}${width}: ${w.again ? t('orders.again', { n: w.worn }) : w.packs === null ? t('orders.new_unknown') : t('orders.new', { n: w.packs })}${cut}`;
  };
  return el('li', {}, el('a', { href: `#/client/${v.client}` }, el('span', { class: 'who' }, v.name),
    el('span', { class: v.late ? 'when late' : 'when' }, v.due ? t(v.agreed ? 'orders.agreed' : 'orders.due', { date: shortDate(v.due) }) : t('orders.no_day')),
    el('span', { class: 'soft' }, [t(`kind_of_visit.${v.kind}`), ...v.wefts.map(weft), v.why ? spokenFor(v.why) : ''].filter(Boolean).join('; '))));
}

function recheckPart() {
  const told = el('div'), out = el('div'), run = el('button', { type: 'button', onclick: async () => {
    const heard = new AbortController(), far = el('p', { class: 'soft' });
    out.replaceChildren(far);
    engine.listen((name, { done, total }) => { if (name === 'recheck') far.textContent = t('recheck.far', { done, n: total }); }, heard.signal);
    const got = await busy(run, told, () => engine.recheck());
    heard.abort();
    out.replaceChildren();
    if (!got) return;
    const better = got.visits.filter(v => v.earned);
    out.replaceChildren(better.length ? el('ul', { class: 'rows' }, ...better.map(v => el('li', {}, el('span', { class: 'who' }, v.client), el('span', { class: 'soft' }, t('recheck.line', { best: v.best, held: v.held }))))) : empty(t('recheck.none'), t('recheck.none_text', { n: got.visits.length })));
  } }, t('recheck.do'));
  return el('section', { 'aria-labelledby': 'recheck-title' }, el('h2', { id: 'recheck-title' }, t('recheck.title')), el('p', { class: 'soft' }, t('recheck.text')), el('p', {}, run), told, out);
}
