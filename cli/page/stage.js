// stage: the photo with its marks, brought to life in a page that holds the markup of work.html and list.html.

import { App } from './app.js';
import { byId, setText } from './dom.js';
import { KeyInput } from './keys.js';
import { drawLoupe, drawOverlay } from './overlay.js';
import { Panel, showReadout } from './panel.js';
import { Photo } from './photo.js';
import { PointerInput } from './pointer.js';

/** Opens the picture of an image element for marking. `changed` is told of every change; `signal` ends it all. Rejects when the picture
 *  can't be shown. */
export async function openStage(source, facts, { changed = () => {}, signal } = {}) {
  const stage = byId('stage'), photo = await Photo.open(source, facts);
  byId('opening').hidden = true;
  const screen = new Screen(stage, photo);
  const app = new App(facts, photo, {
    changed: () => { screen.draw(); changed(app); },
    say: text => setText(byId('status'), text),
    created: (zone, by) => created(zone, by)
  });
  const panel = new Panel(app);
  screen.attach(app, panel, signal);
  new PointerInput(stage, app, (point, by) => screen.hover(point, by), signal);
  new KeyInput(stage, app, () => panel.open(app.state.selected, 'name'), signal);
  photo.onready = () => screen.redraw();

  // A swatch needs its code next, a target its reference: a keyboard is at hand unless the zone was drawn by touch.
  function created(zone, by) {
    const first = { swatch: 'code', target: 'reference' }[zone.kind];
    if (first && by !== 'touch') panel.open(zone.id, first);
    else if (first && facts.plain) panel.open(zone.id); // what it may be stands there to be tapped
  }

  wireStage(stage, app, screen);
  wireTools(app);
  document.querySelector('.panel').addEventListener('keydown', e => { if (e.key === 'Escape') stage.focus(); }, { signal });
  app.sayKind();
  return { app, panel, screen, stage };
}

/** The two canvases; at most one drawing a frame. */
class Screen {
  #due = false;
  #hover = null;
  #byTouch = false;
  #shown = null; // the view that the picture was drawn for

  constructor(stage) {
    this.stage = stage;
    this.picture = byId('picture').getContext('2d');
    this.overlay = byId('overlay').getContext('2d');
  }

  attach(app, panel, signal) {
    Object.assign(this, { app, panel });
    const size = new ResizeObserver(() => this.#resize()), sticky = new ResizeObserver(keepFocusInSight);
    size.observe(this.stage);
    sticky.observe(document.querySelector('.work'));
    signal?.addEventListener('abort', () => { size.disconnect(); sticky.disconnect(); });
    this.#resize();
  }

  #resize() {
    const { clientWidth: width, clientHeight: height } = this.stage;
    if (width === 0 || height === 0) return;
    this.pixelRatio = Math.min(2, window.devicePixelRatio || 1);
    for (const { canvas } of [this.picture, this.overlay])
      Object.assign(canvas, { width: Math.round(width * this.pixelRatio), height: Math.round(height * this.pixelRatio) });
    this.app.view.resize(width, height);
    this.#shown = null;
    this.#paint();
  }

  hover(point, by) {
    this.#hover = point;
    this.#byTouch = by === 'touch';
    this.draw();
  }

  /** The picture too: something of it has come that was not there. */
  redraw() {
    this.#shown = null;
    this.draw();
  }

  draw() {
    if (this.#due) return;
    this.#due = true;
    requestAnimationFrame(() => this.#paint());
  }

  #paint() {
    this.#due = false;
    const { picture, overlay, app, pixelRatio } = this;
    if (!this.stage.isConnected) return;
    const { x, y, scale } = app.view, view = `${x} ${y} ${scale}`;
    if (view !== this.#shown) {
      picture.setTransform(1, 0, 0, 1, 0, 0);
      picture.clearRect(0, 0, picture.canvas.width, picture.canvas.height);
      app.photo.draw(picture, app.view, pixelRatio);
      this.#shown = view;
    }
    overlay.setTransform(pixelRatio, 0, 0, pixelRatio, 0, 0);
    drawOverlay(overlay, app);
    if (this.#hover && this.#byTouch) drawLoupe(overlay, app, this.#hover);
    this.panel.update();
    showReadout(app, this.#hover);
  }
}

// In a narrow window the photo sticks to the top; what gets the focus must not scroll under it.
function keepFocusInSight([{ target }]) {
  const sticks = getComputedStyle(target).position === 'sticky';
  document.documentElement.style.scrollPaddingTop = sticks ? `${target.offsetHeight}px` : '';
}

function wireStage(stage, app, screen) {
  const focused = has => { app.stageFocused = has; screen.draw(); };
  stage.addEventListener('focus', () => focused(true));
  stage.addEventListener('blur', () => focused(false));
  byId('draft-finish').addEventListener('click', () => app.closePolygon('mouse'));
  byId('draft-back').addEventListener('click', () => app.dropPoint());
  byId('draft-cancel').addEventListener('click', () => { app.cancel(); stage.focus(); });
}

function wireTools(app) {
  const actions = {
    'zoom-in': () => app.view.zoom(1.25), 'zoom-out': () => app.view.zoom(0.8), 'zoom-fit': () => app.view.fit(),
    'undo': () => app.undo(), 'redo': () => app.redo()
  };
  for (const [id, action] of Object.entries(actions)) byId(id).addEventListener('click', () => { action(); app.changed(); });
}
