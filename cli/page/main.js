// main: the marking page: opens the photo inside it, saves and loads zones files, shows the next command.

import { byId, el, setText } from './dom.js';
import { openStage } from './stage.js';
import { t } from './words.js';
import { findProblems, readZonesFile, zonesFileText } from './zones.js';

const facts = JSON.parse(byId('facts').textContent);

async function start() {
  let opened;
  try {
    opened = await openStage(byId('source'), facts);
  } catch {
    setText(byId('opening'), t('mark.no_picture'));
    return;
  }
  byId('opening').remove();
  const { app } = opened;
  setText(byId('photo-size'), t('mark.pixels', { width: facts.width, height: facts.height }));
  showCommand(facts.command);
  wireFiles(app);
  wireCopy();
  if (facts.zones !== null) loadText(app, facts.zones, t('mark.given'), true);
}

function note(text, bad = false) {
  setText(byId('saved'), text);
  byId('saved').classList.toggle('bad', bad);
}

/** A line breaks between words, within one only when it is longer than a line: never behind a hyphen. The text stays exact. */
function showCommand(command) {
  const words = command.split(' ').map(word => el('span', { class: 'word' }, word));
  byId('command').replaceChildren(...words.flatMap((word, i) => (i === 0 ? [word] : [' ', word])));
}

function wireCopy() {
  byId('copy').addEventListener('click', async () => note(t(await copyText(facts.command) ? 'mark.copied' : 'mark.no_copy')));
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
    note(app.zones.length ? t('mark.not_saved', { n: problems.length }) : t('mark.not_saved_why', { why: problems[0].text }), true);
    byId('problems').querySelector('button')?.focus();
    return;
  }
  const url = URL.createObjectURL(new Blob([zonesFileText(app.zones, app.facts, app.extra)], { type: 'application/json' }));
  el('a', { href: url, download: app.facts.save_name }).click();
  setTimeout(() => URL.revokeObjectURL(url), 10000);
  app.markSaved();
  note(t('mark.saved', { file: app.facts.save_name }));
}

async function loadFile(app, file) {
  if (!file) return;
  if (file.size > 4 << 20) return note(t('mark.large', { file: file.name }), true);
  loadText(app, await file.text(), t('mark.loaded', { file: file.name }));
}

function loadText(app, text, done, first = false) {
  try {
    const { zones, extra, notes } = readZonesFile(text, app.facts);
    app.extra = extra;
    Object.assign(app.state, { selected: null, handle: null, draft: null });
    if (first) app.startWith(zones);
    else app.commit(zones, t('step.loaded'));
    note([done, ...notes, ...(first ? [] : [t('mark.undo_brings')])].join(' '));
  } catch (error) {
    note(t('mark.nothing_changed', { why: error.message }), true);
  }
}

start();
