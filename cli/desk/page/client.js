// client: her file: what was seen, sewn and charged, visit by visit; today's record; correct, move, delete, export, forget.

import { el } from '../../page/dom.js';
import { t } from '../../page/words.js';
import { answerTitle, proposalsOf, codesOf, sew, since, takes, why, zoneList } from './answer.js';
import { finishedList } from './after.js';
import { papers } from './consult.js';
import * as engine from './engine.js';
import { longDate, money, typed } from './format.js';
import { busy, confirm, empty, errorText, knownShades, labelled, notice, photoDrop, say, undoNotice } from './parts.js';
import { piecesOf, stackChips } from './today.js';

/** unfolded: the visits that are, where she has looked already; else the latest is. */
export async function clientScreen(desk, place, { id, signal, unfolded = null }) {
  const [client, { visits }, { csv }, { clients }] = await Promise.all([engine.client(id), engine.visits(id), engine.catalogue(), engine.clients()]);
  if (signal.aborted) return;
  const catalogue = csv ? knownShades(csv) : [], told = el('div', { class: 'told' });
  const again = async done => {
    if (signal.aborted) return;
    const open = new Set([...place.querySelectorAll('.visit[open]')].map(item => item.dataset.visit));
    place.replaceChildren();
    await clientScreen(desk, place, { id, signal, unfolded: open });
    if (done) place.querySelector('.told').replaceChildren(undoNotice(done, again));
  };
  const others = clients.filter(c => c.id !== id);
  const open = file => openPhoto(file, { desk, told, signal, work: { clientName: client.name }, go: photo => desk.go(`/photo/${photo}`) });
  place.append(
    el('div', { class: 'head-line' }, el('h1', {}, client.name), el('p', { class: 'soft' }, t('client.since', { date: longDate(client.since), n: client.visits })), client.note ? el('p', { class: 'note' }, client.note) : null),
    told,
    photoDrop(t('client.drop'), t('today.drop_hint'), open));
  const line = el('ol', { class: 'timeline' });
  place.append(el('section', { 'aria-labelledby': 'visits-title' }, el('h2', { id: 'visits-title' }, t('client.visits')),
    visits.length ? line : empty(t('client.no_visit'), t('client.no_visit_text'))));
  for (const [i, v] of [...visits].reverse().entries()) line.append(visitItem(desk, v, { catalogue, unfolded: unfolded ? unfolded.has(String(v.id)) : i === 0, again, others, signal }));
  place.append(careOf(desk, client, { again, told, others }));
  if (desk.done) told.replaceChildren(undoNotice(desk.done, again));
  desk.done = null;
}

/** Opens a photo and goes on with it, unless she has gone elsewhere meanwhile. */
async function openPhoto(file, { desk, told, signal, work = {}, go }) {
  told.replaceChildren(notice(t('today.opening')));
  try {
    const facts = await engine.openPhoto(file);
    desk.work.set(facts.id, { facts, ...work });
    if (!signal.aborted) go(facts.id);
  } catch (error) { told.replaceChildren(notice(errorText(error), true)); }
}

// A visit's details are asked for when it is unfolded; the latest is unfolded.
function visitItem(desk, summary, context) {
  const body = el('div', { class: 'visit-body' }), item = el('details', { class: 'visit', 'data-visit': String(summary.id) },
    el('summary', {}, summary.has_photo ? el('img', { src: engine.address.photo(summary.id), alt: '', loading: 'lazy' }) : null,
      el('span', { class: 'words' }, el('strong', {}, longDate(summary.at)), el('span', { class: 'soft' }, t('client.visit', { id: summary.id, photo: summary.photo || t('client.no_photo') }))),
      stackChips(summary.installed, summary.sewn, context.catalogue)), body);
  const fill = async () => {
    try { body.replaceChildren(...visitBody(desk, await engine.visit(summary.id), context)); }
    catch (error) { body.replaceChildren(notice(errorText(error), true)); }
  };
  item.addEventListener('toggle', () => { if (item.open && !body.childElementCount) fill(); });
  if (context.unfolded) item.open = true;
  return el('li', {}, item);
}

function sewnIn({ installed, sewn }) {
  const layers = installed.split(','), pieces = piecesOf(layers, sewn);
  return t(pieces.length ? 'client.installed_pieces' : 'client.installed', { layers: layers.join(' / '), pieces: pieces.join(', ') });
}

function visitBody(desk, visit, { catalogue, again, others, signal }) {
  const { units, currency } = desk.salon.values, context = { catalogue, units }, { report } = visit, part = (title, content) =>
    (content.filter(Boolean).length ? el('section', { class: 'part' }, el('h3', {}, title), ...content.filter(Boolean)) : null);
  const pictures = el('div', { class: 'pictures' }, visit.photo ? figure(engine.address.photo(visit.id), t('client.before')) : null, visit.after ? figure(engine.address.after(visit.id), t('client.after')) : null);
  const [best] = report ? proposalsOf(report) : [], asProposed = best && visit.installed === codesOf(best).join(',');
  const done = [visit.installed ? el('p', {}, asProposed ? t('client.as_proposed') : sewnIn(visit), visit.why ? ` ${visit.why}` : '') : null,
    visit.charged_minor === null ? null : el('p', {}, t('client.charged', { amount: money(visit.charged_minor, currency) })),
    ...visit.note.split('\n').filter(Boolean).map(line => el('p', {}, line))];
  const told = el('div', { class: 'told' }), after = photoDrop(t(visit.after ? 'after.again' : 'record.after'), t('after.drop_hint'), file => openPhoto(file, { told, signal, go: id => desk.go(`/photo/${id}/after/${visit.id}`), desk }));
  const side = (...content) => el('div', {}, ...content.filter(Boolean));
  if (!report) { // noted without a photo
    return [recordForm(desk, visit, {}, again), side(el('p', { class: 'soft' }, t('client.not_measured')), pictures, after, told, part(t('record.title'), done)), visitCare(desk, visit, { again, others, signal })].filter(Boolean);
  }
  return [papers(visit.id, desk), recordForm(desk, visit, report, again),
    el('div', { class: 'two' }, side(pictures, part(t('after.near'), finishedList(visit.finished, 'h4')), after, told, part(t('record.title'), done), part(t('answer.zones'), zoneList(report)), part(t('answer.since'), since(report))),
      side(part(answerTitle(report), sew(report, context)), part(t('answer.why'), why(report, context)), part(t('answer.takes'), report.plan ? takes(report, context) : []))),
    visitCare(desk, visit, { again, others, signal })].filter(Boolean);
}

const figure = (src, text) => el('figure', {}, el('img', { src, alt: text, loading: 'lazy' }), el('figcaption', {}, text));

/** What was done: filled in with what was proposed, so that one press records the usual case. */
function recordForm(desk, visit, report, again) {
  const [best] = proposalsOf(report), told = el('div');
  const text = (value, more = {}) => el('input', { type: 'text', autocomplete: 'off', value, ...more });
  const day = text(visit.at, { type: 'date', required: true }), installed = text(visit.installed || (best ? codesOf(best).join(',') : '')), reason = text(visit.why, { maxlength: '500' }), note = el('textarea', { rows: '2', maxlength: '500' });
  const charged = text(visit.charged_minor === null ? '' : plainMoney(visit.charged_minor, desk), { inputmode: 'decimal' });
  const save = el('button', { type: 'submit', class: 'main' }, t('record.save')), odd = el('div', { class: 'odd', role: 'status' });
  let sure = false;
  charged.addEventListener('input', () => { // what was asked about is another amount now
    sure = false;
    save.textContent = t('record.save');
    odd.replaceChildren();
  });
  const form = el('form', { class: 'form', onsubmit: async e => {
    e.preventDefault();
    const done = await busy(save, told, () => engine.record(visit.id, { at: day.value, installed: installed.value.replace(/\s*[\/,]\s*/g, ','), why: reason.value, note: note.value, charged: typed(charged.value), ...(sure ? { sure } : {}) }));
    if (!done) return;
    if (done.noticed.length === 0) return again(t('record.saved'));
    sure = true;
    save.textContent = t('record.sure');
    odd.replaceChildren(el('ul', { class: 'todo' }, ...done.noticed.map(({ text }) => el('li', {}, say(text.split('; ')[0])))));
  } }, labelled(t('record.day'), day), labelled(t('record.installed'), installed, t('record.installed_hint')), labelled(t('record.why'), reason), labelled(t('record.note'), note),
    labelled(t('record.charged', { currency: desk.salon.values.currency }), charged), odd, el('div', { class: 'buttons' }, save), told);
  return el('details', { class: 'part record' }, el('summary', {}, t('record.do')), form);
}

// As an input takes it, with the decimal sign of the language.
function plainMoney(minor, desk) {
  const style = new Intl.NumberFormat(desk.language(), { style: 'currency', currency: desk.salon.values.currency }), digits = style.resolvedOptions().maximumFractionDigits;
  return new Intl.NumberFormat(desk.language(), { useGrouping: false, minimumFractionDigits: minor % 10 ** digits ? digits : 0 }).format(minor / 10 ** digits);
}

/** Measure anew, move to another file, delete: each can be taken back. */
function visitCare(desk, visit, { again, others, signal }) {
  const told = el('div', { class: 'told' }), remove = el('button', { type: 'button', class: 'quiet danger', onclick: async () => {
    if (await busy(remove, told, () => engine.removeVisit(visit.id))) again(t('visit.deleted'));
  } }, t('visit.delete'));
  const whose = el('select', { 'aria-label': t('visit.move_to') }, ...others.map(c => el('option', { value: String(c.id) }, c.name)));
  const move = el('button', { type: 'button', class: 'quiet', onclick: async () => {
    if (await busy(move, told, () => engine.moveVisit(visit.id, Number(whose.value)))) again(t('visit.moved', { name: whose.selectedOptions[0].textContent }));
  } }, t('visit.move'));
  const anew = photoDrop(t('visit.anew'), visit.report ? t('visit.anew_hint', { photo: visit.report.photo.file }) : t('visit.photo_hint'), file => openPhoto(file, { desk, told, signal, go: photo => desk.go(`/photo/${photo}/instead/${visit.id}`) }));
  return el('details', { class: 'part' }, el('summary', {}, t('visit.care')), anew, el('div', { class: 'buttons' }, remove, ...(others.length ? [move, whose] : [])), told);
}

function careOf(desk, client, { again, told, others }) {
  const into = el('select', {}, ...others.map(c => el('option', { value: String(c.id) }, c.name)));
  const merge = el('button', { type: 'button', onclick: async () => {
    const name = into.selectedOptions[0].textContent;
    if (!await confirm({ title: t('client.merge_title', { from: client.name, into: name }), text: t('client.merge_text', { from: client.name, into: name }), action: t('client.merge_do') })) return;
    if (!await busy(merge, told, () => engine.mergeClient(client.id, Number(into.value)))) return;
    desk.done = t('client.merged', { from: client.name, into: name });
    desk.go(`/client/${into.value}`);
  } }, t('client.merge_do'));
  const name = el('input', { type: 'text', autocomplete: 'off', value: client.name, maxlength: '120' }), rename = el('button', { type: 'submit' }, t('client.rename_do'));
  const forget = el('button', { type: 'button', class: 'danger', onclick: async () => {
    if (!await confirm({ title: t('client.forget_title', { name: client.name }), text: t('client.forget_text'), action: t('client.forget') })) return;
    if (await busy(forget, told, () => engine.forgetClient(client.id))) desk.go('/');
  } }, t('client.forget'));
  return el('details', { class: 'part care' }, el('summary', {}, t('client.care')), el('div', { class: 'form' },
    el('form', { class: 'inline', onsubmit: async e => {
      e.preventDefault();
      if (await busy(rename, told, () => engine.changeClient(client.id, { name: name.value }))) again(t('client.renamed'));
    } }, labelled(t('client.rename'), name), rename),
    others.length ? el('div', { class: 'inline' }, labelled(t('client.merge'), into, t('client.merge_hint')), merge) : '',
    el('div', { class: 'buttons' }, el('a', { class: 'button', href: engine.address.exported(client.id), download: '' }, t('client.export')), forget)));
}
