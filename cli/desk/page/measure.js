// measure: swatches of a photo into the catalogue: a ring of swatches beside a gray card or white paper.

import { el } from '../../page/dom.js';
import { openStage } from '../../page/stage.js';
import { decimal, t } from '../../page/words.js';
import { findProblems, zonesFileText } from '../../page/zones.js';
import { words } from './answer.js';
import { markingParts, previewOf } from './consult.js';
import * as engine from './engine.js';
import { busy, chip, notice } from './parts.js';

export async function measureScreen(desk, place, { id, signal }) {
  const work = desk.work.get(id) ?? { facts: await engine.photo(id) };
  desk.work.set(id, work);
  const image = await previewOf(id);
  if (signal.aborted) return;
  const facts = { width: work.facts.width, height: work.facts.height, photo: work.facts.file, catalogue: null, plain: true, kinds: ['swatch', 'card', 'target'] };
  const parts = markingParts(), told = el('div', { class: 'told' }), result = el('div', { class: 'measured' });
  const look = el('button', { type: 'button' }, t('measure.look')), save = el('button', { type: 'button', class: 'main' }, t('measure.save'));
  place.className = 'consult measuring';
  place.append(el('h1', { class: 'unseen' }, t('measure.title')), parts.work, el('div', { class: 'panel' }, parts.list, parts.checks, parts.keys),
    el('div', { class: 'answer', tabindex: '0', role: 'region', 'aria-label': t('measure.title') }, el('div', { class: 'saver' }, look, save), told,
      el('div', { class: 'guide' }, el('p', { class: 'lead' }, t('measure.start')), el('ol', { class: 'howto' }, ...['1', '2', '3'].map(n => el('li', {}, t(`measure.start_${n}`))))), result));
  let app = null;
  const run = async (button, keep) => {
    const problems = findProblems(app.zones, facts).filter(problem => problem.id !== null);
    if (problems.length) return told.replaceChildren(notice(problems[0].text, true));
    const got = await busy(button, told, () => engine.measureSwatches(id, zonesFileText(app.zones, facts, app.extra), { save: keep }));
    if (!got) return;
    result.replaceChildren(...readings(got));
    if (keep) told.replaceChildren(el('div', { class: 'notice good', role: 'status' }, el('p', {}, t('measure.saved', { n: got.swatches.length })), el('a', { class: 'button', href: '#/catalogue' }, t('measure.open')), ' ', el('a', { class: 'button', href: '#/' }, t('nav.today'))));
  };
  look.addEventListener('click', () => run(look, false));
  save.addEventListener('click', () => run(save, true));
  const opened = await openStage(image, facts, { changed: now => { work.zones = now.history.zones; }, signal });
  app = opened.app;
  app.setKind('swatch');
  if (work.zones?.length) app.startWith(work.zones);
}

function readings({ swatches, claim, warnings }) {
  return [el('p', { class: `claim ${claim}` }, t(`measure.claim.${claim}`)),
    warnings.length ? el('ul', { class: 'todo' }, ...warnings.map(w => el('li', {}, words(null, w)))) : '',
    el('ul', { class: 'holds' }, ...swatches.map(s => el('li', {}, chip(s.lab), el('span', { class: 'words' }, el('strong', {}, s.code),
      el('span', { class: 'soft' }, `± ${decimal(s.u, 1)}, ${t(`measure.${s.outcome}`, { change: decimal(s.change_de00, 1) })}`)))))];
}
