// after: a photo of the finished row, marked like any other: how near the row came to her own hair, zone by zone, worn down and up.

import { byId, el, setText } from '../../page/dom.js';
import { openStage } from '../../page/stage.js';
import { decimal, t } from '../../page/words.js';
import { isClient, zonesFileText } from '../../page/zones.js';
import { words } from './answer.js';
import { markingParts, marksOf, previewOf, usableZones } from './consult.js';
import * as engine from './engine.js';
import { longDate } from './format.js';
import { Live } from './live.js';
import { busy, failed, heldChip, knownShades, notice } from './parts.js';
import { spokenFor } from './say.js';
import { choice } from './wishes.js';

/** Not sure: one uncertainty further it would be called otherwise. */
const verdictOf = ({ verdict, sure }) => t(`${sure ? 'verdict' : 'perhaps'}.${verdict}`);

/** How near the finished row came: the worst place first in a line, then each view with its zones under a heading of that level. Nothing when
 *  nothing was measured. */
export function finishedList(finished, heading) {
  const beside = finished.filter(z => z.de00 !== null).sort((a, b) => b.de00 - a.de00), [worst] = beside;
  if (finished.length === 0) return [];
  const far = z => `dE00 ${decimal(z.de00, 1)} ± ${decimal(z.u_de00, 1)}`;
  const line = z => el('li', {}, heldChip(z.her_lab, z.lab), el('span', { class: 'words' }, el('strong', {}, z.zone),
    el('span', { class: 'soft' }, z.de00 === null ? t('after.none_beside') : [`${verdictOf(z)}, ${far(z)}`, z.words ? t('after.words', { words: spokenFor(z.words) }) : ''].filter(Boolean).join('; '))));
  const view = name => {
    const zones = finished.filter(z => z.worn === name);
    return zones.length ? [el(heading, { class: 'view-title' }, t(`after.${name}`)), el('ul', { class: 'holds' }, ...zones.map(line))] : [];
  };
  const lead = worst ? [el('p', { class: `verdict ${worst.verdict}` }, el('strong', {}, verdictOf(worst))),
    el('p', { class: 'soft' }, t('after.worst', { zone: worst.zone, view: t(`sew.${worst.worn}`), far: far(worst) }), beside.every(z => z.sure) ? '' : ` ${t('after.unsure')}`)] : [];
  return [...lead, ...view('down'), ...view('up')];
}

export async function afterScreen(desk, place, { id, of, signal }) {
  const work = desk.work.get(id) ?? { facts: await engine.photo(id) };
  desk.work.set(id, work);
  work.after ??= { worn: 'down' };
  const [visit, { csv }, image] = await Promise.all([engine.visit(of), engine.catalogue(), previewOf(id)]), client = await engine.client(visit.client);
  if (signal.aborted) return;
  const facts = { width: work.facts.width, height: work.facts.height, photo: work.facts.file, catalogue: csv ? knownShades(csv) : null, plain: true };
  const parts = markingParts(), told = el('div', { class: 'told' }), guide = el('div', { class: 'guide' }), result = el('section', { class: 'part answer-body' }), old = el('div', { class: 'old' });
  const save = el('button', { type: 'button', class: 'main' }, t('after.save'));
  const right = el('div', { class: 'answer', tabindex: '0', role: 'region', 'aria-label': t('after.near') },
    el('div', { class: 'saver' }, el('p', { class: 'whose' }, el('a', { href: `#/client/${client.id}` }, client.name), el('span', { class: 'soft' }, ` ${t('after.of', { date: longDate(visit.at) })}`)),
      choice('worn', ['down', 'up'], work.after, () => live.changed()), save), told, guide, result);
  place.className = 'consult finished';
  place.append(el('h1', { class: 'unseen' }, t('after.title')), parts.work, el('div', { class: 'panel' }, old, parts.list, parts.checks, parts.keys), right);
  let app = null, zonesAsked = null;
  const given = () => {
    const zones = usableZones(app.zones, facts);
    return { photo: id, worn: work.after.worn, zones: zones.some(isClient) ? zonesFileText(zones, facts, app.extra) : '' };
  };
  const ask = async () => {
    const asked = given();
    if (!asked.zones) return null;
    try { return await engine.after(of, asked, signal); }
    catch (error) { return error.name === 'AbortError' ? null : { error }; }
  };
  const show = got => {
    if (signal.aborted) return;
    guide.replaceChildren();
    result.replaceChildren();
    if (got?.error) return guide.replaceChildren(failed(got.error, () => live.changed()));
    if (!got) return guide.replaceChildren(el('p', { class: 'lead' }, t('after.start')), el('ol', { class: 'howto' }, ...['1', '2', '3'].map(n => el('li', {}, t(`after.start_${n}`)))));
    result.append(el('h2', {}, t('after.near')), el('div', { class: 'body' }, ...finishedList(got.finished, 'h3'), got.warnings.length ? el('ul', { class: 'todo' }, ...got.warnings.map(w => el('li', {}, words(null, w)))) : ''));
  };
  const live = new Live({ ask, show, soon: false, state: now => { right.dataset.state = now; right.setAttribute('aria-busy', String(now === 'asking')); } });
  save.addEventListener('click', async () => {
    const got = await busy(save, told, () => engine.after(of, { ...given(), save: true }));
    if (!got || signal.aborted) return;
    told.replaceChildren(el('div', { class: 'notice good', role: 'status' }, el('p', {}, t('after.saved', { name: client.name })), el('a', { class: 'button', href: `#/client/${client.id}` }, t('save.open'))));
  });
  const opened = await openStage(image, facts, { signal, changed: now => {
    if (!app || now.zones === zonesAsked) return;
    zonesAsked = now.zones;
    work.zones = now.history.zones;
    if (now.zones.length) old.replaceChildren();
    live.changed();
  } }).catch(() => null);
  if (!opened) return setText(byId('opening'), t('consult.no_picture'));
  app = opened.app;
  if (work.zones?.length) app.startWith(work.zones);
  else old.append(oldMarks(of, facts, app, told));
  show(null);
  live.changed();
}

/** Her marks before, as a beginning: moved where the same hair lies now, they bear the same names. */
function oldMarks(visit, facts, app, told) {
  const take = el('button', { type: 'button', onclick: async () => {
    const zones = await busy(take, told, () => marksOf(visit, facts));
    if (!zones || !take.isConnected || app.zones.length) return;
    app.commit(zones.filter(isClient), t('after.marks_step'));
  } }, t('after.marks'));
  return take;
}
