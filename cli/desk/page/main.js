// main: which screen is shown, by the address behind #; what all screens share.

import { DE, DE_SENTENCES } from '../../page/de.js';
import { EN } from '../../page/en.js';
import { byId, el } from '../../page/dom.js';
import { speak, t, translate } from '../../page/words.js';
import { afterScreen } from './after.js';
import { catalogueScreen } from './catalogue.js';
import { clientScreen } from './client.js';
import { consultScreen } from './consult.js';
import * as engine from './engine.js';
import { measureScreen } from './measure.js';
import { ordersScreen } from './orders.js';
import { errorText, notice } from './parts.js';
import { salonScreen } from './salon.js';
import { todayScreen } from './today.js';

export const LANGUAGES = { en: ['English', EN], de: ['Deutsch', DE, DE_SENTENCES] };

/** [pattern of the address, name of the tab it belongs to, screen(desk, place, {id, of, signal})]: the numbers of the address */
const SCREENS = [
  [/^\/?$/, 'today', todayScreen],
  [/^\/photo\/(\d+)$/, 'today', consultScreen],
  [/^\/photo\/(\d+)\/instead\/(\d+)$/, 'today', consultScreen],
  [/^\/photo\/(\d+)\/after\/(\d+)$/, 'today', afterScreen],
  [/^\/client\/(\d+)$/, 'today', clientScreen],
  [/^\/catalogue$/, 'catalogue', catalogueScreen],
  [/^\/catalogue\/photo\/(\d+)$/, 'catalogue', measureScreen],
  [/^\/orders$/, 'orders', ordersScreen],
  [/^\/salon$/, 'salon', salonScreen]
];

/** What screens share: the salon's settings, and what is under way on open photos. */
const desk = {
  salon: null,
  work: new Map(), // photo id -> {facts, zones, wishes, client}: kept while one looks elsewhere
  go(address) { location.hash = address; },
  tell(text) { byId('told').textContent = text; },
  language: () => document.documentElement.lang,
  languages: LANGUAGES,
  setLanguage(language) {
    localStorage.setItem('weftmatch.language', language);
    speakLanguage(language);
    show();
  },
  async loadSalon() {
    desk.salon = await engine.salon();
    byId('brand').textContent = desk.salon.values.salon_name || 'weftmatch';
    return desk.salon;
  }
};

function speakLanguage(language) {
  // Of a language, the region that the browser asks for: how dates and numbers are written differs within one.
  speak(navigator.languages.find(tag => tag.split('-')[0] === language) ?? language, ...LANGUAGES[language].slice(1));
  document.documentElement.lang = language;
  translate(document.body);
  for (const template of document.querySelectorAll('template')) translate(template.content);
}

let leaving = null; // ends what the screen before has going on

async function show() {
  const path = location.hash.replace(/^#/, ''), found = SCREENS.find(([pattern]) => pattern.test(path)) ?? SCREENS[0];
  leaving?.abort();
  leaving = new AbortController();
  const { signal } = leaving, place = byId('screen'), [id = 0, of = 0] = (path.match(found[0]) ?? []).slice(1).map(Number);
  for (const link of document.querySelectorAll('nav [data-screen]'))
    if (link.dataset.screen === found[1]) link.setAttribute('aria-current', 'page');
    else link.removeAttribute('aria-current');
  place.replaceChildren();
  place.className = found[1];
  place.setAttribute('aria-busy', 'true');
  scrollTo(0, 0);
  try {
    if (!desk.salon) await desk.loadSalon();
    await found[2](desk, place, { id, of, signal });
  } catch (error) {
    if (error.name !== 'AbortError' && !signal.aborted) place.replaceChildren(el('h1', {}, t('desk.trouble')), notice(errorText(error), true), el('p', {}, el('button', { type: 'button', onclick: show }, t('desk.again'))));
  }
  if (signal.aborted) return; // another screen is there by now
  place.removeAttribute('aria-busy');
  document.title = [place.querySelector('h1')?.textContent, desk.salon?.values.salon_name || 'weftmatch'].filter(Boolean).join(' · ');
}

const kept = localStorage.getItem('weftmatch.language');
speakLanguage(kept in LANGUAGES ? kept : navigator.language.startsWith('de') ? 'de' : 'en');
byId('skip').addEventListener('click', e => { e.preventDefault(); byId('screen').focus(); });
// A photo dropped beside its place would make the browser leave the page.
for (const event of ['dragover', 'drop']) document.addEventListener(event, e => e.preventDefault());
window.addEventListener('hashchange', show);
show();
