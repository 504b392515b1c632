// app: what the page knows and the actions that pointer, keys and panel share. It tells one listener when something changed.

import { areaWarnings } from './colour.js';
import { area, contains, distance, rectOf, wholePoints } from './geometry.js';
import { History } from './history.js';
import { View } from './view.js';
import { t } from './words.js';
import { KINDS, describe, helpOf, makeZone, removeZone, replaceZone, titleOf } from './zones.js';

export const NEAR = 10; // CSS pixels: how close to a point counts as on it

export class App {
  state = { kind: 'mid', mode: 'rect', selected: null, handle: null, draft: null, cursor: null };
  history = new History();
  stageFocused = false;
  extra = {}; // top-level keys of a loaded file that we do not know
  #preview = null; // zones during a drag, before they become a step
  #savedZones = this.history.zones;

  constructor(facts, photo, { changed, say, created }) {
    Object.assign(this, { facts, photo, view: new View(photo), changed, say, created });
  }

  /** Codes that a swatch may have by its colour, the nearest first; asked for by whoever can tell. */
  suggestions = new Map(); // zone id -> codes

  /** Zones of which the program is not sure that they are hair: ids. */
  doubted = new Set();

  doubt(ids) {
    if (String(ids) === String([...this.doubted])) return;
    this.doubted = new Set(ids);
    this.changed();
  }

  suggest(id, codes) {
    this.suggestions.set(id, codes);
    this.changed();
  }

  get zones() { return this.#preview ?? this.history.zones; }
  get selectedZone() { return this.zones.find(zone => zone.id === this.state.selected) ?? null; }
  get unsaved() { return this.history.zones !== this.#savedZones; }

  startWith(zones) {
    this.history.start(zones);
    this.markSaved();
    this.changed();
  }

  markSaved() { this.#savedZones = this.history.zones; }

  // ---- choosing ----

  setKind(kind) {
    Object.assign(this.state, { kind, selected: null, handle: null });
    if (this.state.mode === 'move') this.state.mode = 'rect';
    this.sayKind();
    this.changed();
  }

  sayKind() {
    this.say(t('say.kind', { title: titleOf(this.state.kind), help: this.facts.help?.[this.state.kind] ?? helpOf(this.state.kind) }));
  }

  setMode(mode) {
    if (mode !== 'polygon') this.state.draft = null;
    this.state.mode = mode;
    this.changed();
  }

  select(id) {
    if (id !== this.state.selected) Object.assign(this.state, { selected: id, handle: null });
    this.changed();
  }

  /** The zone under a photo point: the smallest, since it may lie inside a larger one. */
  zoneAt(p) {
    const hit = this.zones.filter(zone => contains(zone.points, ...p)).sort((a, b) => area(a.points) - area(b.points));
    return hit[0] ?? null;
  }

  /** Index of the selected zone's handle under a screen point, or -1. */
  handleAt(screen, reach = NEAR) {
    const zone = this.selectedZone;
    return zone ? zone.points.findIndex(p => distance(this.view.toScreen(p), screen) <= reach) : -1;
  }

  // ---- changing ----

  commit(zones, label, key) {
    this.#preview = null;
    this.history.commit(zones, label, key);
    this.changed();
  }

  preview(zones) {
    this.#preview = zones;
    this.changed();
  }

  get previewed() { return this.#preview; }

  undo() { this.#travel(this.history.undo(), 'say.undone', 'say.nothing_to_undo'); }
  redo() { this.#travel(this.history.redo(), 'say.redone', 'say.nothing_to_redo'); }

  #travel(label, done, nothing) {
    this.#preview = null;
    this.state.draft = null;
    if (!this.selectedZone) Object.assign(this.state, { selected: null, handle: null });
    this.say(label === null ? t(nothing) : t(done, { label }));
    this.changed();
  }

  /** by: 'mouse', 'touch' or 'keys'. */
  addZone(shape, points, by) {
    const summary = this.photo.summary(points), zone = makeZone(this.state.kind, shape, points, this.zones, summary?.lab);
    Object.assign(this.state, { draft: null, selected: zone.id, handle: null });
    this.commit([...this.zones, zone], t('step.added', { zone: describe(zone) }));
    this.say(`${t('say.added', { zone: describe(zone), width: rectOf(zone.points)[2], height: rectOf(zone.points)[3] })} ${this.#adviceAfter(zone)}`.trim());
    this.created(zone, by);
  }

  // In a narrow window the list, with its warnings, may be out of sight.
  #adviceAfter(zone) {
    const summary = this.photo.summary(zone.points), [warning] = summary ? areaWarnings(zone.kind, summary) : [];
    if (warning) return warning;
    const wanted = kind => kind.client || (kind.id === 'swatch' && !this.facts.kinds); // cards and targets stand in for swatches
    const next = KINDS.slice(KINDS.findIndex(kind => kind.id === zone.kind) + 1).find(kind => wanted(kind) && !this.zones.some(z => z.kind === kind.id));
    return next ? t('say.next', { title: titleOf(next.id) }) : '';
  }

  remove(id) {
    const zone = this.zones.find(z => z.id === id);
    if (!zone) return;
    if (this.state.selected === id) Object.assign(this.state, { selected: null, handle: null });
    this.commit(removeZone(this.zones, id), t('step.deleted', { zone: describe(zone) }));
    this.say(t('say.deleted', { zone: describe(zone) }));
  }

  reshape(zone, points, key) {
    this.commit(replaceZone(this.zones, { ...zone, points }), t('step.moved', { zone: describe(zone) }), key);
  }

  // ---- a polygon point by point ----

  addPoint(p, by) {
    const points = [...(this.state.draft?.points ?? []), p];
    this.state.draft = { shape: 'polygon', points };
    if (this.state.kind === 'target' && points.length === 4) return this.closePolygon(by);
    this.say(t('say.point', { n: points.length }));
    this.changed();
  }

  closePolygon(by) {
    const points = wholePoints(this.state.draft?.points ?? []);
    const needed = this.state.kind === 'target' ? 4 : 3;
    if (points.length < needed) return this.say(t('say.points_needed', { needed, n: points.length }));
    this.addZone('polygon', points, by);
  }

  dropPoint() {
    const points = this.state.draft?.points.slice(0, -1) ?? [];
    this.state.draft = points.length ? { shape: 'polygon', points } : null;
    this.say(points.length ? t('say.points_left', { n: points.length }) : t('say.cancelled'));
    this.changed();
  }

  /** Ends what is going on, innermost first: a drawing, then a chosen corner, then the selection. */
  cancel() {
    if (this.state.draft) {
      this.state.draft = null;
      this.say(t('say.cancelled'));
    } else if (this.state.handle !== null) this.state.handle = null;
    else this.state.selected = null;
    this.changed();
  }
}
