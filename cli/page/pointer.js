// pointer: mouse, pen and touch on the stage. One gesture at a time; a second finger turns any gesture into zooming and moving.

import { NEAR } from './app.js';
import { clamp, contains, distance, rectBetween, rectPoints, simplify, wholePoints } from './geometry.js';
import { t } from './words.js';
import { moveCorner, movePoints, replaceZone } from './zones.js';

const CLICK_SLACK = 5; // CSS pixels that a click may wander
const TOUCH_REACH = 22;

export class PointerInput {
  #pointers = new Map(); // id -> screen point
  #gesture = null;       // {move(screen), end(screen), cancel()}
  #space = false;

  constructor(stage, app, hover, signal) {
    Object.assign(this, { stage, app, hover });
    stage.addEventListener('pointerdown', e => this.#down(e));
    stage.addEventListener('pointermove', e => this.#move(e));
    stage.addEventListener('pointerup', e => this.#up(e));
    stage.addEventListener('pointercancel', e => this.#lost(e));
    stage.addEventListener('pointerleave', () => this.hover(null));
    stage.addEventListener('wheel', e => this.#wheel(e), { passive: false });
    stage.addEventListener('contextmenu', e => e.preventDefault());
    stage.addEventListener('keydown', e => { if (e.key === ' ') this.#space = true; });
    window.addEventListener('keyup', e => { if (e.key === ' ') this.#space = false; }, { signal });
    window.addEventListener('blur', () => { this.#space = false; }, { signal });
  }

  get busy() { return this.#gesture !== null; }

  #screen(e) {
    const box = this.stage.getBoundingClientRect();
    return [e.clientX - box.left, e.clientY - box.top];
  }

  #down(e) {
    if (e.button === 2 || this.#pointers.size >= 2) return;
    e.preventDefault(); // no text selection, no drag of the page; the focus is set by hand
    this.stage.focus({ preventScroll: true });
    this.stage.setPointerCapture(e.pointerId);
    const screen = this.#screen(e);
    this.#pointers.set(e.pointerId, screen);
    this.app.state.cursor = null;
    if (this.#pointers.size === 2) {
      this.#gesture?.cancel();
      this.#gesture = this.#pinch();
    } else this.#gesture = this.#choose(screen, e);
  }

  #move(e) {
    const screen = this.#screen(e);
    if (this.#pointers.has(e.pointerId)) this.#pointers.set(e.pointerId, screen);
    if (this.#gesture) this.#gesture.move(screen);
    else this.#point(screen);
    if (e.pointerType !== 'touch' || this.#gesture) this.hover(screen, this.#pointers.size > 1 ? 'pinch' : e.pointerType);
  }

  #up(e) {
    if (!this.#pointers.delete(e.pointerId)) return;
    const gesture = this.#gesture;
    this.#gesture = null;
    gesture?.end(this.#screen(e));
    if (e.pointerType === 'touch') this.hover(null);
  }

  #lost(e) {
    if (!this.#pointers.delete(e.pointerId)) return;
    this.#gesture?.cancel();
    this.#gesture = null;
  }

  #wheel(e) {
    e.preventDefault();
    const lines = e.deltaMode === 1 ? 16 : 1;
    this.app.view.zoom(Math.exp(-e.deltaY * lines * (e.ctrlKey ? 0.01 : 0.002)), this.#screen(e));
    this.app.changed();
  }

  // The line from the last point to the mouse, and the shape of the mouse itself.
  #point(screen) {
    const { app } = this;
    if (app.state.draft?.shape === 'polygon') {
      app.state.draft.tip = this.#inPhoto(screen);
      app.changed();
    }
    const grabs = app.handleAt(screen) >= 0 ? 'grab' : app.state.mode === 'move' ? 'move' : 'crosshair';
    this.stage.style.cursor = this.#space ? 'grab' : grabs;
  }

  #inPhoto(screen) {
    const [x, y] = this.app.view.toPhoto(screen);
    return [clamp(x, 0, this.app.photo.width), clamp(y, 0, this.app.photo.height)];
  }

  #choose(screen, e) {
    const { app } = this, by = e.pointerType === 'touch' ? 'touch' : 'mouse';
    if (e.button === 1 || this.#space) return this.#pan(screen);
    if (app.state.draft) return this.#polygon(screen, by);
    const handle = app.handleAt(screen, by === 'touch' ? TOUCH_REACH : NEAR);
    if (handle >= 0) return this.#reshape(screen, (zone, p) => moveCorner(zone, handle, p));
    const p = app.view.toPhoto(screen);
    if (app.selectedZone && contains(app.selectedZone.points, ...p)) return this.#moveZone(screen);
    if (app.state.mode === 'move') {
      const zone = app.zoneAt(p);
      app.select(zone?.id ?? null);
      return zone ? this.#moveZone(screen) : this.#pan(screen);
    }
    return app.state.mode === 'polygon' ? this.#polygon(screen, by) : this.#rect(screen, by);
  }

  #pan(from) {
    const { app } = this, point = app.view.toPhoto(from);
    const move = screen => { app.view.pin(point, screen); app.changed(); };
    return { move, end() {}, cancel() {} };
  }

  #pinch() {
    const { app } = this, { view } = app;
    const fingers = () => {
      const [a, b] = [...this.#pointers.values()];
      return { middle: [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], gap: Math.max(1, distance(a, b)) };
    };
    const start = fingers(), scale = view.scale, point = view.toPhoto(start.middle);
    const move = () => {
      if (this.#pointers.size < 2) return;
      const now = fingers();
      view.pin(point, now.middle, scale * now.gap / start.gap);
      app.changed();
    };
    // The finger that stays down does nothing more until it is lifted.
    return { move, end() {}, cancel() {} };
  }

  #rect(from, by) {
    const { app } = this, start = this.#inPhoto(from);
    const clear = () => { app.state.draft = null; app.changed(); };
    const rect = screen => rectBetween(start, this.#inPhoto(screen));
    return {
      move: screen => {
        if (distance(from, screen) < CLICK_SLACK) return;
        app.state.draft = { shape: 'rect', points: rectPoints(rect(screen)) };
        app.changed();
      },
      end: screen => {
        if (distance(from, screen) >= CLICK_SLACK) return app.addZone('rect', rectPoints(rect(screen)), by);
        clear();
        app.select(app.zoneAt(app.view.toPhoto(screen))?.id ?? null);
      },
      cancel: clear
    };
  }

  // Point by point, or drawn around the hair in one go.
  #polygon(from, by) {
    const { app } = this, before = app.state.draft, trace = [this.#inPhoto(from)];
    let drawn = false;
    return {
      move: screen => {
        drawn ||= distance(from, screen) >= CLICK_SLACK;
        if (!drawn) return;
        trace.push(this.#inPhoto(screen));
        app.state.draft = before ? { ...before, tip: this.#inPhoto(screen) } : { shape: 'trace', points: trace };
        app.changed();
      },
      end: screen => {
        app.state.draft = before;
        if (drawn && !before && app.state.kind !== 'target') this.#closeTrace(trace, by);
        else this.#click(screen, by);
      },
      cancel: () => { app.state.draft = before; app.changed(); }
    };
  }

  #closeTrace(trace, by) {
    const { app } = this, points = wholePoints(simplify(trace, 2 / app.view.scale));
    if (points.length >= 3) return app.addZone('polygon', points, by);
    app.say(t('say.line'));
    app.changed();
  }

  #click(screen, by) {
    const { app } = this, points = app.state.draft?.points ?? [];
    const on = point => point && distance(app.view.toScreen(point), screen) <= (by === 'touch' ? TOUCH_REACH : NEAR);
    if (points.length === 0) Object.assign(app.state, { selected: null, handle: null });
    if (points.length >= 3 && (on(points[0]) || on(points[points.length - 1]))) app.closePolygon(by);
    else if (!on(points[points.length - 1])) app.addPoint(this.#inPhoto(screen), by);
  }

  #moveZone(from) {
    const start = this.app.view.toPhoto(from);
    return this.#reshape(from, (zone, p) => movePoints(zone.points, p[0] - start[0], p[1] - start[1], this.app.photo));
  }

  // Shown while it goes on, one step of the history at its end.
  #reshape(from, shape) {
    const { app } = this, zone = app.selectedZone, zones = app.zones;
    let moved = false;
    return {
      move: screen => {
        moved ||= distance(from, screen) >= 2;
        if (moved) app.preview(replaceZone(zones, { ...zone, points: shape(zone, this.#inPhoto(screen)) }));
      },
      end: () => {
        const points = app.selectedZone?.points;
        app.preview(null);
        if (moved) app.reshape(zone, points);
      },
      cancel: () => app.preview(null)
    };
  }
}
