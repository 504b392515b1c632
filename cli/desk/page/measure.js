// measure: swatches of a photo into the catalogue: a ring of swatches beside a gray card or white paper.

import { el, setText } from '../../page/dom.js';
import { openStage } from '../../page/stage.js';
import { decimal, t } from '../../page/words.js';
import { rectOf, rectPoints } from '../../page/geometry.js';
import { findProblems, makeZone, zonesFileText } from '../../page/zones.js';
import { words } from './answer.js';
import { markingParts, previewOf } from './consult.js';
import * as engine from './engine.js';
import { busy, chip, labelled, notice } from './parts.js';

const PART = 0.35; // of the distance between swatches: what is measured of each, well inside whatever its size

/** Swatches laid in rows: their codes are typed once, and one box, drawn from the middle of the first to the middle of the last, becomes them
 *  all. */
class Rows {
  #waiting = false; // codes are typed that no box has taken yet

  constructor() {
    this.input = el('textarea', { rows: '3', autocomplete: 'off', spellcheck: false, oninput: () => { this.#waiting = this.codes.length > 0; } });
    this.root = el('details', { class: 'part' }, el('summary', {}, t('rows.title')), labelled(t('rows.codes'), this.input, t('rows.hint')));
  }

  /** Row by row. */
  get codes() { return this.input.value.split('\n').map(line => line.split(/[\s,;]+/).filter(Boolean)).filter(row => row.length); }

  /** Zones in place of the one just drawn, or null when it is meant as one swatch. */
  take(zone) {
    if (!this.#waiting || zone?.kind !== 'swatch' || zone.shape !== 'rect' || zone.code) return null;
    this.#waiting = false;
    const { codes } = this, [x, y, w, h] = rectOf(zone.points), most = Math.max(...codes.map(row => row.length));
    const across = most > 1 ? w / (most - 1) : 0, down = codes.length > 1 ? h / (codes.length - 1) : 0;
    const [width, height] = [across || down, down || across].map(distance => Math.max(1, Math.round(PART * distance)));
    return codes.flatMap((row, j) => row.map((code, i) => {
      const [cx, cy] = [across ? x + i * across : x + w / 2, down ? y + j * down : y + h / 2];
      return { ...makeZone('swatch', 'rect', rectPoints([Math.round(cx - width / 2), Math.round(cy - height / 2), width, height]), []), code };
    }));
  }
}

export async function measureScreen(desk, place, { id, signal }) {
  const work = desk.work.get(id) ?? { facts: await engine.photo(id) };
  desk.work.set(id, work);
  const image = await previewOf(id);
  if (signal.aborted) return;
  const facts = { width: work.facts.width, height: work.facts.height, photo: work.facts.file, catalogue: null, plain: true, kinds: ['swatch', 'card', 'target'], help: { swatch: t('measure.help') } };
  const parts = markingParts(), told = el('div', { class: 'told' }), result = el('div', { class: 'measured' }), rows = new Rows();
  setText(parts.list.getElementById('zone-none'), t('measure.none'));
  const look = el('button', { type: 'button' }, t('measure.look')), save = el('button', { type: 'button', class: 'main' }, t('measure.save'));
  place.className = 'consult measuring';
  place.append(el('h1', { class: 'unseen' }, t('measure.title')), parts.work, el('div', { class: 'panel' }, rows.root, parts.list, parts.checks, parts.keys),
    el('div', { class: 'answer', tabindex: '0', role: 'region', 'aria-label': t('measure.title') }, el('div', { class: 'saver' }, look, save), told,
      el('div', { class: 'guide' }, el('p', { class: 'lead' }, t('measure.start')), el('ol', { class: 'howto' }, ...['1', '2', '3'].map(n => el('li', {}, t(`measure.start_${n}`))))), result));
  let app = null;
  const run = async (button, keep) => {
    const problems = findProblems(app.zones, facts);
    if (problems.length) return told.replaceChildren(notice(problems[0].text, true));
    const got = await busy(button, told, () => engine.measureSwatches(id, zonesFileText(app.zones, facts, app.extra), { save: keep }));
    if (!got) return;
    result.replaceChildren(...readings(got));
    if (keep) told.replaceChildren(el('div', { class: 'notice good', role: 'status' }, el('p', {}, t('measure.saved', { n: got.swatches.length })), el('a', { class: 'button', href: '#/catalogue' }, t('measure.open')), ' ', el('a', { class: 'button', href: '#/' }, t('nav.today'))));
  };
  look.addEventListener('click', () => run(look, false));
  save.addEventListener('click', () => run(save, true));
  const opened = await openStage(image, facts, { changed: now => {
    work.zones = now.history.zones;
    const drawn = now.zones === work.zones ? work.zones.at(-1) : null, laid = drawn && rows.take(drawn);
    if (laid) queueMicrotask(() => { // once the drawing of the one box is over
      app.select(null);
      app.commit([...work.zones.filter(zone => zone !== drawn), ...laid], t('rows.step', { n: laid.length }));
      app.say(t('rows.step', { n: laid.length }));
      opened.stage.focus();
    });
  }, signal });
  app = opened.app;
  app.setKind('swatch');
  if (work.zones?.length) app.startWith(work.zones);
}

function readings({ swatches, claim, sheet, warnings }) {
  return [sheet === 'by_known' ? el('p', { class: `claim ${claim}` }, t(`measure.claim.${claim}`)) : el('p', { class: 'claim' }, t(`measure.${sheet}`)),
    sheet === 'opens_frame' ? el('p', { class: 'soft' }, t('measure.next')) : '', // what a second photo would bring
    warnings.length ? el('ul', { class: 'todo' }, ...warnings.map(w => el('li', {}, words(null, w)))) : '',
    el('ul', { class: 'holds' }, ...swatches.map(s => el('li', {}, chip(s.lab), el('span', { class: 'words' }, el('strong', {}, s.code),
      el('span', { class: 'soft' }, `± ${decimal(s.u, 1)}, ${t(`measure.${s.outcome}`, { change: decimal(s.change_de00, 1) })}`)))))];
}
