// main: opens the photo, ties the parts together, draws when something changed.

const facts = JSON.parse(byId('facts').textContent);

async function start() {
  const stage = byId('stage');
  let photo;
  try {
    photo = await Photo.open(byId('source'), facts);
  } catch {
    setText(byId('opening'), 'The picture inside this page cannot be shown. Make the page again with “mark”.');
    return;
  }
  byId('opening').remove();
  const screen = new Screen(stage, photo);
  const app = new App(facts, photo, {
    changed: () => screen.draw(),
    say: text => setText(byId('status'), text),
    created: (zone, by) => created(zone, by)
  });
  const panel = new Panel(app);
  screen.attach(app, panel);
  new PointerInput(stage, app, point => screen.hover(point));
  new KeyInput(stage, app, () => panel.open(app.state.selected, 'name'));
  photo.onready = () => screen.draw();

  // A swatch needs its code next, a target its reference: a keyboard is at hand unless the zone was drawn by touch.
  function created(zone, by) {
    const first = { swatch: 'code', target: 'reference' }[zone.kind];
    if (first && by !== 'touch') panel.open(zone.id, first);
  }

  wireStage(stage, app, screen);
  wireTools(app);
  wireFiles(app);
  wirePanel(stage, app);
  app.sayKind();
  if (facts.zones !== null) loadText(app, facts.zones, 'The zones file given to “mark” is loaded.', true);
}

/** The two canvases; at most one drawing a frame. */
class Screen {
  #due = false;
  #hover = null;

  constructor(stage) {
    this.stage = stage;
    this.picture = byId('picture').getContext('2d');
    this.overlay = byId('overlay').getContext('2d');
  }

  attach(app, panel) {
    Object.assign(this, { app, panel });
    new ResizeObserver(() => this.#resize()).observe(this.stage);
    new ResizeObserver(keepFocusInSight).observe(document.querySelector('.work'));
    this.#resize();
  }

  #resize() {
    const { clientWidth: width, clientHeight: height } = this.stage;
    if (width === 0 || height === 0) return;
    this.pixelRatio = Math.min(2, window.devicePixelRatio || 1);
    for (const { canvas } of [this.picture, this.overlay])
      Object.assign(canvas, { width: Math.round(width * this.pixelRatio), height: Math.round(height * this.pixelRatio) });
    this.app.view.resize(width, height);
    this.#paint();
  }

  hover(point) {
    this.#hover = point;
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
    picture.setTransform(1, 0, 0, 1, 0, 0);
    picture.clearRect(0, 0, picture.canvas.width, picture.canvas.height);
    app.photo.draw(picture, app.view, pixelRatio);
    overlay.setTransform(pixelRatio, 0, 0, pixelRatio, 0, 0);
    drawOverlay(overlay, app);
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

function note(text, bad = false) {
  setText(byId('saved'), text);
  byId('saved').classList.toggle('bad', bad);
}

function wirePanel(stage, app) {
  document.querySelector('.panel').addEventListener('keydown', e => { if (e.key === 'Escape') stage.focus(); });
  byId('copy').addEventListener('click', async () => {
    note(await copyText(app.facts.command) ? 'Command copied.' : 'Copying is not allowed here: select the command and copy it by hand.');
  });
}

async function copyText(text) {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    getSelection().selectAllChildren(byId('command'));
    return document.execCommand('copy');
  }
}

// ---- files ----

function wireFiles(app) {
  byId('save').addEventListener('click', () => save(app));
  byId('load').addEventListener('click', () => byId('load-file').click());
  byId('load-file').addEventListener('change', e => { loadFile(app, e.target.files[0]); e.target.value = ''; });
  document.addEventListener('dragover', e => e.preventDefault());
  document.addEventListener('drop', e => { e.preventDefault(); loadFile(app, e.dataTransfer.files[0]); });
  window.addEventListener('beforeunload', e => { if (app.unsaved) e.preventDefault(); });
}

function save(app) {
  const problems = findProblems(app.zones, app.facts);
  if (problems.length) {
    const count = problems.length === 1 ? 'one thing' : `${problems.length} things`;
    note(app.zones.length ? `Not saved: ${count} to mend first, listed above.` : `Not saved. ${problems[0].text}`, true);
    byId('problems').querySelector('button')?.focus();
    return;
  }
  const url = URL.createObjectURL(new Blob([zonesFileText(app.zones, app.facts, app.extra)], { type: 'application/json' }));
  el('a', { href: url, download: app.facts.save_name }).click();
  setTimeout(() => URL.revokeObjectURL(url), 10000);
  app.markSaved();
  note(`${app.facts.save_name} is saved where your browser keeps downloads. Put it beside the photo and run the command below.`);
}

async function loadFile(app, file) {
  if (!file) return;
  if (file.size > 4 << 20) return note(`${file.name} is too large for a zones file.`, true);
  loadText(app, await file.text(), `${file.name} is loaded.`);
}

function loadText(app, text, done, first = false) {
  try {
    const { zones, extra, notes } = readZonesFile(text, app.facts);
    app.extra = extra;
    Object.assign(app.state, { selected: null, handle: null, draft: null });
    if (first) app.startWith(zones);
    else app.commit(zones, 'zones file loaded');
    note([done, ...notes, ...(first ? [] : ['Undo brings back what was there.'])].join(' '));
  } catch (error) {
    note(`${error.message} Nothing was changed.`, true);
  }
}

start();
