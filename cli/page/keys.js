// keys: everything on the photo without a pointer. Single letters act only while the stage has the focus.

import { NEAR } from './app.js';
import { isTextField } from './dom.js';
import { clamp, distance, rectBetween, rectPoints } from './geometry.js';
import { t } from './words.js';
import { KINDS, describe, moveCorner, movePoints } from './zones.js';

export class KeyInput {
  #corner = null; // first corner of a rectangle being set

  constructor(stage, app, focusDetails, signal) {
    Object.assign(this, { stage, app, focusDetails });
    stage.addEventListener('keydown', e => this.#onStage(e));
    document.addEventListener('keydown', e => this.#anywhere(e), { signal });
  }

  #anywhere(e) {
    if (!(e.ctrlKey || e.metaKey) || e.altKey || isTextField(e.target)) return;
    const key = e.key.toLowerCase();
    if (key === 'z') e.shiftKey ? this.app.redo() : this.app.undo();
    else if (key === 'y') this.app.redo();
    else return;
    e.preventDefault();
  }

  #onStage(e) {
    if (e.ctrlKey || e.metaKey || e.altKey) return;
    const action = this.#action(e);
    if (!action) return;
    e.preventDefault();
    action();
    this.app.changed();
  }

  #action(e) {
    const { app } = this, { view, state } = app;
    const arrow = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key];
    if (arrow) return () => this.#arrow(arrow, e.shiftKey);
    if (/^[1-9]$/.test(e.key) && KINDS[e.key - 1]) return () => this.#chooseKind(KINDS[e.key - 1]);
    return {
      'Enter': () => this.#enter(), ' ': () => {}, // Space is for dragging the photo
      'Escape': () => this.#escape(), 'Backspace': () => (state.draft?.shape === 'polygon' ? app.dropPoint() : null),
      'Delete': () => app.remove(state.selected), 'c': () => app.closePolygon('keys'),
      'r': () => this.#chooseMode('rect', t('mode.rect')), 'p': () => this.#chooseMode('polygon', t('mode.polygon')), 'v': () => this.#chooseMode('move', t('mode.move')),
      '+': () => this.#zoom(1.25), '=': () => this.#zoom(1.25), '-': () => this.#zoom(0.8), '0': () => view.fit(),
      '[': () => this.#nextHandle(-1), ']': () => this.#nextHandle(1)
    }[e.key.length === 1 ? e.key.toLowerCase() : e.key];
  }

  #chooseKind(kind) {
    this.#corner = null;
    this.app.state.draft = null;
    this.app.setKind(kind.id);
  }

  #chooseMode(mode, title) {
    this.#corner = null;
    this.app.state.draft = null;
    this.app.setMode(mode);
    this.app.say(title);
  }

  #zoom(factor) {
    const { view, state } = this.app;
    view.zoom(factor, state.cursor ? view.toScreen(state.cursor) : undefined);
  }

  #step([dx, dy], fine) {
    const size = fine ? 1 : Math.max(1, Math.round(16 / this.app.view.scale));
    return [dx * size, dy * size];
  }

  #arrow(direction, fine) {
    const { app } = this, zone = app.state.mode === 'move' ? app.selectedZone : null;
    const step = this.#step(direction, fine);
    if (zone) this.#push(zone, step);
    else this.#moveCursor(step);
  }

  #push(zone, [dx, dy]) {
    const { app } = this, { handle } = app.state;
    const at = handle === null ? null : zone.points[handle], key = `push ${zone.id} ${handle}`;
    const to = at && [clamp(at[0] + dx, 0, app.photo.width), clamp(at[1] + dy, 0, app.photo.height)];
    const points = at ? moveCorner(zone, handle, to) : movePoints(zone.points, dx, dy, app.photo);
    // A rectangle pulled through itself gets its corners in another order: keep hold of the same one.
    if (at) app.state.handle = Math.max(0, points.findIndex(p => distance(p, to) < 0.5));
    app.reshape(zone, points, key);
    const [x, y] = at ? to : points[0];
    app.view.reveal([x, y]);
    app.say(`${x}, ${y}`);
  }

  #moveCursor([dx, dy]) {
    const { app } = this, { state, view, photo } = app;
    const [x, y] = state.cursor ?? view.toPhoto([view.width / 2, view.height / 2]);
    state.cursor = [clamp(Math.round(x + dx), 0, photo.width), clamp(Math.round(y + dy), 0, photo.height)];
    view.reveal(state.cursor);
    if (this.#corner) state.draft = { shape: 'rect', points: rectPoints(rectBetween(this.#corner, state.cursor)) };
    else if (state.draft?.shape === 'polygon') state.draft.tip = state.cursor;
    app.say(`${state.cursor[0]}, ${state.cursor[1]}`);
  }

  #enter() {
    const { app } = this, { state } = app;
    if (!state.cursor) {
      if (state.mode === 'move' && app.selectedZone) return this.focusDetails();
      this.#moveCursor([0, 0]);
    }
    if (state.mode === 'move') return this.#selectHere();
    if (state.mode === 'polygon') return this.#polygonPoint();
    if (!this.#corner) {
      this.#corner = state.cursor;
      return app.say(t('say.corner', { x: state.cursor[0], y: state.cursor[1] }));
    }
    const points = rectPoints(rectBetween(this.#corner, state.cursor));
    if (state.cursor[0] === this.#corner[0] || state.cursor[1] === this.#corner[1]) return app.say(t('say.line_not_box'));
    this.#corner = null;
    app.addZone('rect', points, 'keys');
  }

  #selectHere() {
    const { app } = this, zone = app.zoneAt(app.state.cursor);
    app.select(zone?.id ?? null);
    if (zone) app.state.cursor = null;
    app.say(zone ? t('say.selected', { zone: describe(zone) }) : t('say.no_zone'));
  }

  #polygonPoint() {
    const { app } = this, { state, view } = app, points = state.draft?.points ?? [];
    const near = p => p && distance(view.toScreen(p), view.toScreen(state.cursor)) <= NEAR;
    if (points.length >= 3 && near(points[0])) app.closePolygon('keys');
    else app.addPoint([...state.cursor], 'keys');
  }

  #escape() {
    this.#corner = null;
    this.app.cancel();
  }

  #nextHandle(step) {
    const { app } = this, zone = app.selectedZone;
    if (!zone) return app.say(t('say.select_first'));
    const n = zone.points.length;
    app.state.mode = 'move';
    app.state.handle = app.state.handle === null ? (step > 0 ? 0 : n - 1) : (app.state.handle + step + n) % n;
    app.view.reveal(zone.points[app.state.handle]);
    app.say(t('say.handle', { i: app.state.handle + 1, n, at: zone.points[app.state.handle].map(Math.round).join(', ') }));
  }
}
