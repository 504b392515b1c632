// orders: what the coming visits need against stock, and what another shade would bring.

import { el } from '../../page/dom.js';
import { t } from '../../page/words.js';
import * as engine from './engine.js';
import { shortDate } from './format.js';
import { busy, empty } from './parts.js';

export async function ordersScreen(desk, place, { signal }) {
  const { orders = [] } = await engine.orders();
  if (signal.aborted) return;
  place.append(el('div', { class: 'head-line' }, el('h1', {}, t('nav.orders'))),
    el('section', { 'aria-labelledby': 'order-title' }, el('h2', { id: 'order-title' }, t('orders.coming')),
      orders.length ? orderTable(orders) : empty(t('orders.none'), t('orders.none_text'))), recheckPart());
}

function orderTable(orders) {
  const cell = value => el('td', { class: 'number' }, value ?? '');
  return el('div', { class: 'scroll', tabindex: '0', role: 'group', 'aria-labelledby': 'order-title' }, el('table', { class: 'plain-table' },
    el('thead', {}, el('tr', {}, ...['code', 'needed', 'stock', 'order', 'by'].map(name => el('th', { scope: 'col' }, t(`orders.${name}`))))),
    el('tbody', {}, ...orders.map(o => el('tr', {}, el('th', { scope: 'row' }, o.code), cell(o.needed), cell(o.stock), cell(o.order), cell(o.by ? shortDate(o.by) : ''))))));
}

function recheckPart() {
  const told = el('div'), out = el('div'), run = el('button', { type: 'button', onclick: async () => {
    const got = await busy(run, told, () => engine.recheck());
    if (!got) return;
    const better = got.visits.filter(v => v.earned);
    out.replaceChildren(better.length ? el('ul', { class: 'rows' }, ...better.map(v => el('li', {}, el('span', { class: 'who' }, v.client), el('span', { class: 'soft' }, t('recheck.line', { best: v.best, held: v.held }))))) : empty(t('recheck.none'), t('recheck.none_text', { n: got.visits.length })));
  } }, t('recheck.do'));
  return el('section', { 'aria-labelledby': 'recheck-title' }, el('h2', { id: 'recheck-title' }, t('recheck.title')), el('p', { class: 'soft' }, t('recheck.text')), el('p', {}, run), told, out);
}
