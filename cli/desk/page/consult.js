// consult: the consultation: photo and marks on the left, the answer on the right, live while she marks.

import { byId, el, setText } from '../../page/dom.js';
import { openStage } from '../../page/stage.js';
import { decimal, t } from '../../page/words.js';
import { findProblems, isClient, readZonesFile, zonesFileText } from '../../page/zones.js';
import { answerTitle, cautions, grayer, heldUp, holdUp, outcome, promise, sew, since, takes, why, zoneList } from './answer.js';
import { draftOf, dropDraft, keepDraft } from './drafts.js';
import * as engine from './engine.js';
import { longDate } from './format.js';
import { Live } from './live.js';
import { busy, failed, knownShades, labelled, notice, say } from './parts.js';
import { exact, find } from './search.js';
import { saidOf, wishesForm } from './wishes.js';

export const fragment = id => byId(id).content.cloneNode(true);

/** The marking part of a screen, from the page's templates. */
export function markingParts() {
  const problems = el('ul', { id: 'problems', 'aria-label': t('list.problems') }), hints = el('ul', { id: 'hints', 'aria-label': t('list.hints') });
  return { work: fragment('marking-work'), list: fragment('marking-list'), keys: fragment('marking-keys'), checks: el('div', {}, problems, hints) };
}

/** The preview of a photo, decoded. */
export async function previewOf(id) {
  const image = new Image();
  image.src = engine.address.preview(id);
  await image.decode();
  return image;
}

/** The zones that can be measured: all but those that something is wrong with. */
export function usableZones(zones, facts) {
  const bad = new Set(findProblems(zones, facts).map(problem => problem.id)), good = zones.filter(zone => !bad.has(zone.id));
  return good.map(zone => (zone.at && !good.some(z => isClient(z) && (z.name.trim() || z.kind) === zone.at) ? { ...zone, at: '' } : zone));
}

/** The marks of a saved visit, where they would lie on this photo; null when it has none. */
export async function marksOf(visit, facts) {
  const [text, { report }] = await Promise.all([engine.visitZones(visit), engine.visit(visit)]);
  if (!text) return null;
  const { zones } = readZonesFile(text, { photo: report.photo.file }), [fx, fy] = [facts.width / report.photo.width, facts.height / report.photo.height];
  return zones.map(zone => ({ ...zone, points: zone.points.map(([x, y]) => [Math.round(x * fx), Math.round(y * fy)]) }));
}

/** The sections of the answer, kept between answers so that what is unfolded stays so. */
class Answer {
  #sections = new Map();

  constructor() {
    this.root = el('div', { class: 'answer-body' });
    for (const [key, folded] of [['promise'], ['sew'], ['hold'], ['why'], ['takes'], ['since'], ['zones'], ['grayer', true], ['cautions', true]]) {
      const body = el('div', { class: 'body' }), title = t(`answer.${key}`);
      const root = folded ? el('details', { class: `part ${key}` }, el('summary', {}, title), body) : el('section', { class: `part ${key}` }, el('h2', {}, title), body);
      root.hidden = true;
      this.#sections.set(key, { root, body, title: root.firstElementChild });
      this.root.append(root);
    }
  }

  /** What comes with more gray is said by whole answers alone: until then it stays as it was, dimmed. */
  show(report, context, whole) {
    this.#sections.get('grayer').root.classList.toggle('before', !whole);
    const parts = { promise: promise(report), sew: sew(report, context), hold: holdUp(report, context), why: why(report, context), takes: report.proposals?.length ? takes(report, context) : [],
      since: since(report), zones: zoneList(report), grayer: grayer(report, context), cautions: cautions(report) };
    setText(this.#sections.get('sew').title, answerTitle(report));
    if (!whole) delete parts.grayer;
    for (const [key, content] of Object.entries(parts)) {
      const { root, body } = this.#sections.get(key), shown = content.filter(Boolean);
      root.hidden = shown.length === 0;
      body.replaceChildren(...shown);
    }
  }

  /** What is folded into the list of shades to hold up. */
  beside(key, element) { this.#sections.get(key).root.append(element); }

  hide() { for (const { root } of this.#sections.values()) root.hidden = true; }
}

/** What a change of her wishes did: the outcome before it and after it, in a line. */
class Effect {
  #now = null;
  #before = null; // of the wishes that were changed and not answered yet

  constructor() { this.root = el('p', { class: 'effect', role: 'status' }); }

  wished() { this.#before ??= this.#now; }

  show(now) {
    if (this.#before !== null) setText(this.root, this.#before === now ? t('wish.no_effect') : t('wish.effect', { before: this.#before, now }));
    this.#now = now;
    this.#before = null;
  }
}

/** Her own hair, drawn in the shades to hold up; asked for while it is unfolded, a little after the answer has come to rest. */
class Held {
  #timer = null;
  #got = null;

  constructor(ask, signal) {
    Object.assign(this, { ask, signal });
    this.body = el('div', { class: 'held-up' });
    this.root = el('details', { class: 'on-her', hidden: true, ontoggle: () => this.#due(0) }, el('summary', {}, t('hold.show')), el('p', { class: 'hint' }, t('hold.drawing')), this.body);
  }

  /** lists: of heldUp; zone: the name of the one to draw. */
  show(lists, zone) {
    const [base, gray] = ['base', 'gray'].map(role => lists.find(list => list.role === role)?.list ?? []);
    this.wanted = { zone, shades: base.map(s => ({ base: s.code, gray: gray[0]?.code ?? '' })) };
    this.distance = new Map([...base, ...gray].map(s => [s.code, s.de00]));
    this.root.hidden = !zone || base.length === 0;
    this.#due(500);
  }

  #due(after) {
    clearTimeout(this.#timer);
    if (!this.root.open || this.root.hidden) return;
    this.#timer = setTimeout(() => this.#fetch(), after);
  }

  async #fetch() {
    const wanted = this.wanted;
    const got = await this.ask(wanted).catch(() => null);
    if (!got || wanted !== this.wanted || this.signal.aborted) return;
    const picture = (src, text) => el('figure', {}, el('img', { src, alt: text }), el('figcaption', {}, text));
    const far = code => `${code} (dE00 ${decimal(this.distance.get(code), 1)})`;
    this.body.replaceChildren(picture(got.own, t('hold.own')), ...got.drawn.map(d => picture(d.picture, [d.base, d.gray].filter(Boolean).map(far).join(' + '))));
  }
}

/** of: the visit that is measured anew, 0 for a new one. */
export async function consultScreen(desk, place, { id, of, signal }) {
  const work = desk.work.get(id) ?? { facts: await engine.photo(id) };
  desk.work.set(id, work);
  const [{ csv }, { clients }, image, anew] = await Promise.all([engine.catalogue(), engine.clients(), previewOf(id), of ? visitAnew(of, work) : null]);
  const draft = anew || work.zones ? null : draftOf(work.facts.sha256);
  work.wishes ??= anew?.wishes ?? draft?.wishes ?? {};
  if (signal.aborted) return;
  const catalogue = csv ? knownShades(csv) : null, values = desk.salon.values;
  const facts = { width: work.facts.width, height: work.facts.height, photo: work.facts.file, catalogue, plain: true };
  const parts = markingParts(), answer = new Answer(), told = el('div', { class: 'told' }), guide = el('div', { class: 'guide' });
  const old = el('div', { class: 'old' });
  const saver = new Saver(desk, work, clients, { anew, ask: () => live.changed(), whole: () => live.whole(), question: () => question(), place: told });
  const wishes = wishesForm(work.wishes, () => { effect.wished(); keep(); live.changed(); }, { units: values.units, currency: values.currency }), effect = new Effect();
  wishes.querySelector('h2').after(effect.root);
  place.className = 'consult';
  const right = el('div', { class: 'answer', tabindex: '0', role: 'region', 'aria-label': t('answer.title') }, saver.root, told, guide, answer.root);
  place.append(el('h1', { class: 'unseen' }, t('consult.title', { file: work.facts.file })), parts.work,
    el('div', { class: 'panel' }, photoFacts(work.facts), old, parts.list, parts.checks, wishes, parts.keys), right);

  let app = null, zonesAsked = null;
  const context = { catalogue: catalogue ?? [], units: values.units };

  const usable = () => usableZones(app.zones, facts);
  const question = (zones = usable()) => ({ zones: zonesFileText(zones, facts, app.extra), wishes: saidOf(work.wishes), ...(anew ? { instead_of: of } : { client: saver.client }) });

  async function ask(whole) {
    const zones = usable();
    if (!zones.some(isClient)) return null;
    try {
      return await engine.match(id, { ...question(zones), live: !whole }, signal);
    } catch (error) { return error.name === 'AbortError' ? null : { error }; }
  }

  const show = (got, whole, latest) => {
    if (signal.aborted) return;
    guide.replaceChildren();
    saver.ready(got?.report && catalogue ? got : null, whole);
    held.show(got?.report && catalogue ? heldUp(got.report) : [], got?.report ? zoneToDraw(got.report) : null);
    if (got?.error) return guide.replaceChildren(failed(got.error, () => live.changed()));
    if (!got) {
      answer.hide();
      return guide.replaceChildren(el('p', { class: 'lead' }, t('consult.start')), el('ol', { class: 'howto' }, ...['1', '2', '3'].map(n => el('li', {}, t(`consult.start_${n}`)))));
    }
    if (!catalogue) guide.replaceChildren(el('div', { class: 'notice' }, el('p', {}, t('consult.no_catalogue')), el('a', { class: 'button', href: '#/catalogue' }, t('first.catalogue_do'))));
    answer.show(got.report, context, whole);
    if (latest) effect.show(outcome(got.report));
    const doubts = got.report.warnings.filter(w => ['not_hair', 'hair_doubtful'].includes(w.code)).map(w => w.text);
    app.doubt(app.zones.filter(zone => doubts.some(text => text.includes(zone.name.trim() || zone.code || zone.kind))).map(zone => zone.id));
  };
  const held = new Held(wanted => engine.heldUp(id, question(), wanted, signal), signal);
  answer.beside('hold', held.root);
  const live = new Live({ ask, aside: suggest, show, state: now => { right.dataset.state = now; right.setAttribute('aria-busy', String(now === 'asking')); } });

  const changed = now => {
    if (!app || now.zones === zonesAsked) return;
    zonesAsked = now.zones;
    work.zones = now.history.zones;
    keep();
    live.changed();
  };
  const keep = () => { if (!anew && !work.saved && work.zones?.length) keepDraft(work.facts.sha256, zonesFileText(work.zones, facts, app?.extra ?? {}), work.wishes); };

  // Which swatches the new ones are: the library ranks the catalogue by their colours in this photo.
  const asked = new WeakSet();
  async function suggest() {
    const fresh = catalogue ? app.zones.filter(zone => zone.kind === 'swatch' && !zone.code && !asked.has(zone.points)) : [];
    if (fresh.length === 0) return;
    fresh.forEach(zone => asked.add(zone.points));
    const probes = fresh.map((zone, i) => ({ ...zone, kind: 'mid', name: `swatch ${i + 1}?`, code: undefined, at: undefined }));
    const got = await engine.match(id, { zones: zonesFileText([...usable(), ...probes], facts, {}), wishes: {}, client: null, live: true }, signal).catch(() => null);
    if (!got) fresh.forEach(zone => asked.delete(zone.points)); // the next change asks again
    for (const [i, zone] of fresh.entries()) {
      const near = got?.report?.rankings?.find(r => r.target === probes[i].name);
      if (near && app.zones.some(now => now.points === zone.points)) app.suggest(zone.id, near.swatches.slice(0, 6).map(s => s.code));
    }
  }

  saver.onclient = client => offerOld(client);
  async function offerOld(client) {
    old.replaceChildren();
    if (!client?.last || app.zones.length) return;
    const take = el('button', { type: 'button', onclick: async () => {
      const zones = await busy(take, told, () => marksOf(client.last.id, facts));
      if (signal.aborted || !take.isConnected) return; // it may be another client's by now
      old.replaceChildren();
      if (zones && app.zones.length === 0) app.commit(zones, t('consult.old_step'));
    } }, t('consult.old'));
    old.append(take);
  }

  const opened = await openStage(image, facts, { changed, signal }).catch(() => null);
  if (!opened) return setText(byId('opening'), t('consult.no_picture'));
  app = opened.app;
  const begun = work.zones ?? anew?.zones ?? (draft && readZonesFile(draft.zones, { photo: work.facts.file }).zones);
  if (begun) app.startWith(begun);
  if (draft) told.replaceChildren(notice(t('consult.kept')));
  show(null, false, true);
  changed(app);
  if (!anew) offerOld(saver.known);
}

/** What is known of a visit that is measured anew: {name, at, zones, wishes}. Of her wishes the report keeps the rows. */
async function visitAnew(id, { facts }) {
  const { client, at, report } = await engine.visit(id), [{ name }, zones] = await Promise.all([engine.client(client), marksOf(id, facts)]);
  const arcs = report?.plan?.rows?.map(row => row.arc_cm).filter(Boolean) ?? [];
  return { name, at, zones, wishes: { ...(arcs.length ? { arc: arcs.map(String) } : {}), ...(report?.context?.worn ? { worn: report.context.worn } : {}) } };
}

// Where the answer matters most: the zone that the row should match, else one with gray, else the lengths.
const zoneToDraw = report => [report.context?.target_zone, ...['gray', 'mid', 'root', 'ends'].map(kind => report.zones.find(z => z.kind === kind && z.lab)?.name)]
  .find(name => name && report.zones.some(z => z.name === name && z.lab)) ?? null;

function photoFacts({ file, camera, flash, resized, profile_assumed: assumed }) {
  const notes = [flash === 'fired' ? 'warn.flash_fired' : null, resized ? 'warn.photo_resized' : null, assumed ? 'warn.profile_assumed' : null].filter(Boolean);
  return el('section', { class: 'photo-facts' }, el('p', {}, el('strong', {}, file), camera ? el('span', { class: 'soft' }, ` ${camera}`) : null),
    notes.length ? el('ul', { class: 'todo' }, ...notes.map(key => el('li', {}, t(key)))) : null);
}

/** Whose visit it is, and saving it. */
class Saver {
  /** anew: the visit that is measured anew: whose it is stands then. */
  constructor(desk, work, clients, { anew, ask, whole, question, place }) {
    Object.assign(this, { desk, work, clients, anew, ask, whole, question, place });
    this.input = el('input', { type: 'text', autocomplete: 'off', role: 'combobox', 'aria-expanded': 'false', 'aria-controls': 'client-options', 'aria-autocomplete': 'list', value: anew?.name ?? work.clientName ?? '',
      oninput: () => { this.#choose(); this.#list(); }, onfocus: () => this.#list(), onblur: () => this.#close(), onkeydown: e => this.#key(e) });
    this.options = el('ul', { class: 'options', role: 'listbox', id: 'client-options', 'aria-label': t('today.clients'), hidden: true });
    this.options.addEventListener('pointerdown', e => e.preventDefault());
    this.note = el('span', { class: 'hint' });
    this.button = el('button', { type: 'button', class: 'main', disabled: true, onclick: () => this.#save() }, t(anew ? 'save.measured_do' : 'save.save'));
    const labelledInput = labelled(t('save.client'), this.input);
    labelledInput.classList.add('picker');
    labelledInput.append(this.options);
    this.told = [];
    this.odd = el('div', { class: 'odd', role: 'status', hidden: true });
    const whose = anew && el('p', { class: 'whose' }, el('strong', {}, anew.name), el('span', { class: 'soft' }, ` ${t('save.anew', { date: longDate(anew.at) })}`));
    this.root = el('div', { class: 'saver' }, whose ?? labelledInput, this.button, this.note, this.odd);
    this.#choose(false);
  }

  get known() { return exact(this.clients, this.input.value); }
  get client() { return this.known?.id ?? null; }

  /** got: an answer that can be saved, or null. What is odd about it is known once it is whole. */
  ready(got, whole) {
    this.good = got !== null;
    this.button.disabled = !this.good || !this.input.value.trim();
    if (whole || !got) this.#notice(got?.noticed ?? []);
  }

  #notice(noticed) {
    this.again = noticed.some(({ code }) => code === 'same_photo');
    this.told = noticed.map(({ text }) => text);
    this.button.textContent = t(this.again ? 'save.again' : this.anew ? 'save.measured_do' : 'save.save');
    const line = ({ code, text }) => el('li', {}, code === 'same_photo' ? say(text) : `${say(text.split('; ')[0])} ${t(`noticed.${code}`)}`); // behind the first part is how the command line answers
    this.odd.replaceChildren(el('ul', { class: 'todo' }, ...noticed.map(line)));
    this.odd.hidden = noticed.length === 0;
  }

  #choose(tell = true) {
    const before = this.chosen, known = this.known;
    if (!this.anew) this.work.clientName = this.input.value;
    this.chosen = known?.id ?? null;
    this.button.disabled = !this.good || !this.input.value.trim();
    this.note.textContent = this.input.value.trim() && !known && !this.anew ? t('save.new_client') : '';
    if (!tell || before === this.chosen) return;
    this.ask();
    this.onclient?.(known);
  }

  #list() {
    const found = find(this.clients, this.input.value).slice(0, 8);
    this.active = -1;
    this.options.replaceChildren(...found.map((client, i) => el('li', { role: 'option', id: `client-option-${i}`, 'aria-selected': 'false', onclick: () => this.#pick(client) }, el('span', { class: 'name' }, client.name))));
    const open = found.length > 0 && !(found.length === 1 && found[0] === this.known);
    this.options.hidden = !open;
    this.input.setAttribute('aria-expanded', String(open));
  }

  #close() {
    this.options.hidden = true;
    this.input.setAttribute('aria-expanded', 'false');
    this.input.removeAttribute('aria-activedescendant');
  }

  #pick(client) {
    this.input.value = client.name;
    this.#close();
    this.#choose();
  }

  #key(e) {
    const step = { ArrowDown: 1, ArrowUp: -1 }[e.key], items = [...this.options.children];
    if (step && items.length && !this.options.hidden) {
      this.active = (this.active + step + items.length) % items.length;
      items.forEach((item, i) => item.setAttribute('aria-selected', String(i === this.active)));
      this.input.setAttribute('aria-activedescendant', items[this.active].id);
    } else if (e.key === 'Enter' && this.active >= 0 && !this.options.hidden) items[this.active].click();
    else if (e.key === 'Enter' && !this.button.disabled) this.#save();
    else if (e.key === 'Escape') this.#close();
    else return;
    e.preventDefault();
  }

  // A new client gets her file first; then the answer that is saved is asked for with her name in it, and is what the page shows.
  async #save() {
    this.#close();
    const saved = await busy(this.button, this.place, async () => {
      if (!this.known && !this.anew) {
        const { id } = await engine.addClient(this.input.value.trim());
        this.clients = (await engine.clients()).clients;
        this.chosen = id;
        this.note.textContent = '';
      }
      const again = this.again, told = this.told, got = await this.whole(); // only what she has been told of is saved twice, or as her hair
      if (got?.error) throw got.error;
      if (got.noticed.some(({ code, text }) => code === 'hair_jumped' && !told.includes(text))) {
        this.place.replaceChildren(notice(t('save.look')));
        return null;
      }
      return engine.save(this.work.facts.id, this.question(), got.shown, again);
    });
    if (!saved) return;
    this.work.saved = true;
    dropDraft(this.work.facts.sha256);
    this.place.replaceChildren(el('div', { class: 'notice good', role: 'status' }, el('p', {}, this.anew ? t('save.measured', { date: longDate(this.anew.at), name: this.anew.name }) : t('save.saved', { name: this.known?.name ?? this.input.value.trim() })), papers(saved.id, this.desk),
      el('a', { class: 'button', href: `#/client/${saved.client}` }, t('save.open'))));
  }
}

/** Links to what is printed or sent; the client's page in her language too, where that is not the salon's. */
export function papers(visit, desk) {
  const own = desk.language(), others = Object.entries(desk.languages).filter(([tag]) => tag !== own);
  const link = (href, text, more = {}) => el('a', { href, target: '_blank', rel: 'noopener', ...more }, text);
  return el('p', { class: 'papers' }, link(engine.address.report(visit, own), t('paper.report')),
    el('span', {}, link(engine.address.paper(visit, own), t('paper.client')), ...others.flatMap(([tag, [name]]) => [' (', link(engine.address.paper(visit, tag), name, { lang: tag, title: t('paper.client_in', { language: name }) }), ')'])),
    link(engine.address.calendar(visit), t('paper.calendar'), { target: '_self', download: '' }));
}
