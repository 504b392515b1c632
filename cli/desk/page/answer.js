// answer: the library's report as a stylist reads it: what the photo can promise, what to sew, what to hold up, why, what it takes. Reads
// report format 2 and, for visits saved earlier, format 1. Nothing is computed here; what the report does not say is not shown.

import { el } from '../../page/dom.js';
import { decimal, language, t } from '../../page/words.js';
import { kindOf, titleOf } from '../../page/zones.js';
import { grams, length, money, percent, shortDate } from './format.js';
import { chip, heldChip, labOfShade, say, shade } from './parts.js';
import { spokenFor } from './say.js';

// ---- both formats as one ----

/** {shades, rows: [{place, arc, segments: [{place, layers: [{code, second, share, pieces, piece}], down, up}]}], verdict, de00, p, why} */
export function proposalsOf(report) {
  return (report.proposals ?? []).map(report.format >= 2 ? proposal2 : proposal1);
}

function proposal1(p) {
  const layers = p.layers.map(code => ({ code, second: null, pieces: 0 }));
  return { shades: p.shades.map(s => ({ ...s, role: null })), rows: [{ place: null, arc: null, segments: [{ layers, target: null, down: p.views?.down?.lab ?? null, up: p.views?.up?.lab ?? null }] }],
    verdict: p.verdict, de00: p.worst_de00, u: p.u_de00, p: null, why: p.why };
}

function proposal2(p) {
  const segment = s => ({
    layers: s.layers.map(l => ({ code: l.code, second: l.second ?? null, share: l.second_share ?? 0, pieces: l.pieces ?? 0, piece: l.piece_cm ?? 0 })), place: s.place, end: s.end, length: s.length_cm, sides: s.sides,
    target: s.target ?? null, down: s.seen?.down ?? null, up: s.seen?.up ?? null
  });
  return { shades: p.shades, rows: p.rows.map(r => ({ place: r.place, arc: r.arc_cm, segments: r.segments.map(segment) })), verdict: p.verdict,
    de00: p.far ?? null, u: null, p: p.p?.match === null ? null : p.p ?? null, why: p.why };
}

/** The shades that a drawing may need: the catalogue's, and those that the report itself shows. */
const shadesFor = (proposal, catalogue) => [...proposal.shades.filter(s => s.lab).map(s => ({ code: s.code, L: s.lab[0], a: s.lab[1], b: s.lab[2] })), ...catalogue];

export const codesOf = proposal => proposal.rows[0]?.segments[0]?.layers.map(l => l.code) ?? [];

/** The short list: for each role the codes to hold up, with the zone that they are held against. */
export function heldUp(report) {
  const roles = report.decision?.roles, lists = [], ranking = target => report.rankings?.find(r => r.target === target);
  for (const [role, target] of [['base', 'base'], ['gray', 'gray_fibres'], ['blend', 'blend']]) {
    const all = ranking(target)?.swatches ?? [], list = roles ? (roles[role] ?? []).map(s => ({ ...all.find(r => r.code === s.code), ...s })) : all.slice(0, 3);
    if (list.length) lists.push({ role, lab: ownColour(report, role, ranking(target)), list: list.slice(0, 5) });
  }
  return lists;
}

function ownColour(report, role, ranking) {
  if (ranking?.lab) return ranking.lab;
  const zone = kind => report.zones.find(z => z.kind === kind && z.lab);
  if (role === 'base') return zone('mid')?.lab ?? zone('root')?.lab ?? null;
  return (role === 'gray' ? zone('gray')?.gray?.gray_lab : null) ?? zone('gray')?.lab ?? null;
}

const CLAIMS = ['name', 'runner_up', 'three', 'five', 'rough'];

/** The claim that counts: of what was to be matched, else the worst of the zones. */
export function claimOf(report) {
  const first = report.decision?.claim ?? report.proposals?.[0]?.claim ?? report.rankings?.find(r => r.target === 'base')?.claim;
  return first ?? CLAIMS[Math.max(-1, ...report.zones.filter(z => z.claim).map(z => CLAIMS.indexOf(z.claim)))] ?? null;
}

// ---- drawing ----

/** Pieces of a second shade, evenly along a row that no plan lays out. */
const evenly = ({ code, second, share, pieces }) => Array.from({ length: pieces }, (_, i) => [
  [code, i / pieces, (i + 0.5 - share / 2) / pieces], [second, (i + 0.5 - share / 2) / pieces, (i + 0.5 + share / 2) / pieces], [code, (i + 0.5 + share / 2) / pieces, (i + 1) / pieces]]).flat();

/** What of the plan's strips lies between two places of the row: as they are sewn, and as the sheet draws them. */
const asPlanned = (strips, { from, length }) => strips.map(s => [s.code, (s.start_cm - from) / length, (s.start_cm + s.length_cm - from) / length])
  .map(([code, start, end]) => [code, Math.max(0, start), Math.min(1, end)]).filter(([, start, end]) => end > start);

const layerWords = ({ code, second, pieces, piece }, units) =>
  (second ? t(piece > 0 ? 'sew.pieces_long' : 'sew.pieces', { code, second, n: pieces, length: length(piece, units) }) : code);

/** A segment of a row from the side: its layers behind each other, the front one on top, each in its colours. */
function stackDrawing(segment, strips, catalogue, units) {
  const colour = code => { const lab = labOfShade(shade(code, catalogue)); return lab && `lab(${lab.join(' ')})`; };
  return el('div', { class: 'layers' }, ...segment.layers.map((layer, i) => {
    const planned = strips.filter(s => s.layer === i);
    const parts = !layer.second ? [] : planned.length ? asPlanned(planned, segment) : evenly(layer);
    const strip = el('span', { class: 'strip', 'aria-hidden': 'true' });
    if (parts.length && parts.every(([code]) => colour(code))) strip.style.background = `linear-gradient(90deg, ${parts.map(([code, start, end]) => `${colour(code)} ${100 * start}% ${100 * end}%`).join(', ')})`;
    else if (colour(layer.code)) strip.style.setProperty('--own', colour(layer.code));
    const words = layerWords(layer, units), { length: many } = segment.layers;
    return el('div', { class: 'layer' }, strip, el('span', { class: 'layer-name' }, el('strong', {}, words),
      many > 1 ? el('span', { class: 'soft' }, ` ${t(i === 0 ? 'sew.front' : i === many - 1 ? 'sew.back' : 'sew.middle')}`) : null));
  }));
}

/** Where each segment begins, from the left: one end, what lies between, the other end. */
function placed(segments) {
  const ends = segments.filter(s => segments.length > 1 && s.place === 'side'), [left] = ends;
  const middle = segments.find(s => !ends.includes(s));
  return segments.map(s => ({ ...s, from: s === left ? 0 : (left?.length ?? 0) + (s === middle ? 0 : middle?.length ?? 0) }));
}

function drawnRows(proposal, known, units, strips = []) {
  const catalogue = shadesFor(proposal, known);
  const many = proposal.rows.length > 1;
  const where = (segment, n) => [many ? t('sew.row', { n }) : null, segment.place ? t(`where.${segment.place}${segment.sides === 2 ? 's' : ''}`) : null, segment.end ? t('sew.end', { zone: segment.end }) : null,
    segment.length ? t(segment.sides === 2 ? 'sew.each_long' : 'sew.long', { length: length(segment.length, units) }) : null,
    segment.sides === 2 && strips.length ? t('sew.mirrored') : null].filter(Boolean).join(', ');
  return proposal.rows.flatMap((row, n) => placed(row.segments).map(segment => el('div', { class: 'sewn' },
    segment.place || many ? el('p', { class: 'where' }, where(segment, n + 1)) : null, stackDrawing(segment, strips.filter(s => s.row === n), catalogue, units), views(segment))));
}

const views = ({ target, down, up }) => (down || up ? el('p', { class: 'views' }, ...[['down', down], ['up', up]].filter(([, lab]) => lab).map(([view, lab]) =>
  el('span', { class: 'view' }, target ? heldChip(target, lab) : chip(lab), t(`sew.${view}`)))) : null);

// ---- sections; null where the report has nothing for it ----

export const words = (report, { code, text }) => {
  const key = `warn.${code}`, own = language() === 'en' ? key : t(key), zone = zoneOf(report, text);
  return own === key ? say(text) : zone ? `${zoneTitle(zone)}: ${own}` : own;
};

/** A zone that she did not name is called by its kind. */
export const zoneTitle = name => (kindOf(name)?.client ? titleOf(name) : name);

/** The zone that a warning's text begins with, or null. */
export const zoneOf = (report, text) => report?.zones.find(z => text.startsWith(`${z.name}:`) || text.startsWith(`${z.name} `) || text.startsWith(`'${z.name}'`))?.name ?? null;

export function promise(report) {
  const claim = claimOf(report), warnings = report.warnings ?? [];
  return [el('p', { class: `claim ${claim ?? ''}` }, claim ? t(`claim.${claim}`) : t('claim.none')),
    warnings.length ? el('ul', { class: 'todo' }, ...warnings.map(w => el('li', {}, words(report, w)))) : null,
    ...(report.calibration?.dropped ?? []).map(d => el('p', { class: 'soft' }, t('claim.dropped', { zone: zoneTitle(d.zone), why: spokenFor(d.why) })))];
}

/** What the answer may be called: the library's word for it; of a report that was saved before there was one, the verdict. */
export function answerTitle(report) {
  const [best] = proposalsOf(report);
  return report.answer ? t(`answer.is.${report.answer}`) : best ? t(`verdict.${best.verdict}`) : t('answer.sew');
}

const probability = p => (p ? el('p', { class: 'soft' }, t('sew.p', { close: percent(p.close) })) : null);

export function sew(report, { catalogue, units }) {
  const [best] = proposalsOf(report);
  if (!best) return [];
  const rough = report.context?.no_shade_named || claimOf(report) === 'rough';
  return [
    rough ? el('p', { class: 'notice' }, t('sew.rough')) // a verdict would promise what the photo can't know
      : el('p', { class: `verdict ${best.verdict}` }, el('strong', {}, t(`verdict.${best.verdict}`)), best.de00 === null ? null : el('span', { class: 'soft' }, ` ${t('sew.far', { de00: decimal(best.de00, 1) })}${best.u ? ` ± ${decimal(best.u, 1)}` : ''}`)),
    ...drawnRows(best, catalogue, units, report.plan?.strips), rough ? null : probability(best.p), report.decision?.heavy ? el('p', { class: 'notice' }, say(report.decision.heavy)) : null];
}

export function holdUp(report, { catalogue }) {
  return heldUp(report).map(({ role, lab, list }) => el('div', {}, el('h3', {}, t(`hold.${role}`)), el('ul', { class: 'holds' }, ...list.map(s =>
    el('li', {}, heldChip(lab, s.lab ?? labOfShade(shade(s.code, catalogue))), el('span', { class: 'words' }, el('span', {}, el('strong', {}, s.code), s.name ? ` ${s.name}` : ''),
      el('span', { class: 'soft' }, `dE00 ${decimal(s.de00, 1)}${s.u_de00 ? ` ± ${decimal(s.u_de00, 1)}` : ''}${s.words ? `, ${spokenFor(s.words)}` : ''}`)))))));
}

export function why(report, context) {
  const [best, runnerUp] = proposalsOf(report);
  if (!best) return [];
  const missing = report.decision?.missing ?? report.context?.missing ?? null;
  if (report.context?.no_shade_named) return []; // what the photo lacks is said above
  return [el('p', {}, say(best.why)), missing ? el('p', {}, say(missing)) : null,
    report.decision?.assumed?.length ? el('p', { class: 'soft' }, t('why.assumed', { what: report.decision.assumed.map(each => spokenFor(each.replace(/--[a-z-]+, /, ''))).join('; ') })) : null,
    report.stability?.tries ? el('p', { class: 'soft' }, t('why.stability', { tries: report.stability.tries, held: report.stability.held })) : null,
    runnerUp ? el('div', { class: 'runner-up' }, el('h3', {}, t('why.runner_up')), ...drawnRows(runnerUp, context.catalogue, context.units),
      el('p', { class: 'soft' }, report.context?.no_shade_named ? say(runnerUp.why) : `${t(`verdict.${runnerUp.verdict}`)}${runnerUp.de00 === null ? '' : `, ${t('sew.far', { de00: decimal(runnerUp.de00, 1) })}`}. ${say(runnerUp.why)}`)) : null];
}

export function zoneList(report) {
  return [el('ul', { class: 'zones' }, ...report.zones.map(z => el('li', {}, chip(z.lab), el('span', { class: 'words' }, el('strong', {}, zoneTitle(z.name)),
    el('span', { class: 'soft' }, z.lab ? grayWords(z.gray) : t('zone.refused')))))) ];
}

function grayWords({ status, share, u_share: u }) {
  if (share === null || share === undefined) return t(`gray.${status}`);
  return t('gray.share', { share: percent(share), u: percent(u) });
}

export function takes(report, { units }) {
  const plan = report.plan;
  const facts = [], fact = (title, value) => { if (value) facts.push(el('div', {}, el('dt', {}, title), el('dd', {}, value))); };
  const { decision } = report, known = value => value !== null && value !== undefined;
  if (known(decision?.added_g) && !plan) fact(t('takes.grams'), grams(decision.added_g));
  if (decision?.short_g > 0) fact(t('takes.short'), grams(decision.short_g));
  if (!plan) return [facts.length ? el('dl', { class: 'facts' }, ...facts) : null, el('p', { class: 'soft' }, t('takes.no_arc'))];
  const { quote } = plan;
  const weights = plan.rows?.map(r => r.grams).filter(known) ?? [];
  if (weights.length === 1) fact(t('takes.grams'), grams(weights[0]));
  for (const w of plan.wefts ?? []) fact(t('takes.packs_of', { code: w.code }), packsOf(w));
  fact(t('takes.beads'), plan.beads ? t('takes.beads_n', { n: plan.beads, reserve: plan.bead_reserve ?? 0 }) : null);
  if (quote?.lines?.length) fact(t(quote.complete === false ? 'takes.price_part' : 'takes.price'), money(quote.total_minor, quote.currency));
  if (plan.moveups?.dates?.[0]) fact(t('takes.moveup'), shortDate(plan.moveups.dates[0]));
  return [el('dl', { class: 'facts' }, ...facts),
    plan.steps?.length ? el('details', {}, el('summary', {}, t('takes.steps')), el('ol', { class: 'worklist' }, ...plan.steps.map(s => el('li', {}, say(s))))) : null];
}

/** Packs of a weft, as far as they are known: what a pack holds may not be in the catalogue yet, nor the packs counted. */
function packsOf({ packs, packs_to_order: order }) {
  if (packs === null) return t('takes.packs_unknown');
  return t(order === null ? 'takes.packs' : order > 0 ? 'takes.packs_order' : 'takes.packs_stock', { n: packs, order });
}

/** The answer in a line: shades, how near, grams, price. */
export function outcome(report) {
  const [best] = proposalsOf(report), { plan, decision } = report;
  if (!best) return t('claim.none');
  const weight = plan?.fullness?.added_grams ?? decision?.added_g ?? null;
  return [best.shades.map(s => s.code).join(' + '), best.de00 === null ? null : `dE00 ${decimal(best.de00, 1)}`, weight === null ? null : grams(weight),
    plan?.quote?.lines?.length ? money(plan.quote.total_minor, plan.quote.currency) : null].filter(Boolean).join(', ');
}

export function cautions(report) {
  return report.cautions?.length ? [el('ul', { class: 'plain' }, ...report.cautions.map(text => el('li', {}, say(text))))] : [];
}

export function since(report) {
  const last = report.since_last_visit;
  return last?.date ? [el('p', { class: 'soft' }, t('since.date', { date: shortDate(last.date) })), el('ul', { class: 'plain' }, ...last.changes.map(c => el('li', {}, el('strong', {}, zoneTitle(c.zone)), `: ${spokenFor(c.words).replace('+-', '±')}`)))] : [];
}

export function grayer(report, { catalogue }) {
  const list = report.context?.no_shade_named ? [] : (report.scenarios ?? []).filter((s, i) => i > 0);
  const line = s => {
    const proposal = s.proposal ?? s.best;
    const codes = proposal?.rows?.[0]?.segments?.[0]?.layers?.map(l => l.code) ?? proposal?.layers ?? [];
    const verdict = s.verdict ?? proposal?.verdict;
    return el('li', {}, el('span', { class: 'stack' }, ...codes.map(code => chip(labOfShade(shade(code, shadesFor({ shades: proposal?.shades ?? [] }, catalogue)))))), el('span', { class: 'words' },
      el('span', {}, el('strong', {}, t('grayer.at', { share: percent(s.share) })), ` ${codes.join(' / ')}`), el('span', { class: 'soft' }, s.change ? say(s.change) : (verdict ? t(`verdict.${verdict}`) : ''))));
  };
  return list.length ? [el('ul', { class: 'holds' }, ...list.map(line))] : [];
}
