// overlay: outlines, handles and labels over the picture. Kinds differ by dash and by word, not by colour.

import { bounds, clamp, patchShapes } from './geometry.js';
import { describe, hasGrid, isConvex } from './zones.js';

const DASHES = { mid: [], root: [10, 4], gray: [2, 4], ends: [14, 4, 2, 4], swatch: [6, 6], card: [], target: [3, 3] };
const HANDLE = 6; // half a side, CSS pixels
const DARK = 'rgb(0 0 0 / .8)', LIGHT = '#fff', MARKED = '#ffd54a';

export function drawOverlay(context, app) {
  const { view, state } = app, selected = app.selectedZone;
  context.clearRect(0, 0, view.width, view.height);
  const others = app.zones.filter(zone => zone !== selected);
  for (const zone of others) drawZone(context, view, zone, false);
  if (selected) drawZone(context, view, selected, true);
  const taken = [];
  for (const zone of selected ? [selected, ...others] : others) drawLabel(context, view, zone, zone === selected, taken);
  if (selected) selected.points.forEach((p, i) => drawHandle(context, view.toScreen(p), i === state.handle));
  if (state.draft) drawDraft(context, app);
  if (state.cursor && app.stageFocused) drawCursor(context, view.toScreen(state.cursor));
}

function tracePath(context, view, points, close = true) {
  context.beginPath();
  points.forEach((p, i) => context[i === 0 ? 'moveTo' : 'lineTo'](...view.toScreen(p)));
  if (close) context.closePath();
}

// A dark line under a light one is seen on any hair.
function strokeTwice(context, dash, light, width) {
  context.setLineDash([]);
  [context.strokeStyle, context.lineWidth] = [DARK, width + 2];
  context.stroke();
  context.setLineDash(dash);
  [context.strokeStyle, context.lineWidth] = [light, width];
  context.stroke();
  context.setLineDash([]);
}

function drawZone(context, view, zone, selected) {
  tracePath(context, view, zone.points);
  strokeTwice(context, DASHES[zone.kind], selected ? MARKED : LIGHT, selected ? 2.5 : 1.5);
  if (zone.shape === 'corners') drawPatches(context, view, zone);
}

// What is measured of each patch; a ring around the one that the reference lists first.
function drawPatches(context, view, zone) {
  if (!hasGrid(zone) || !isConvex(zone.points)) return;
  for (const patch of patchShapes(zone.points, zone.rows, zone.columns)) {
    tracePath(context, view, patch);
    strokeTwice(context, [], LIGHT, 1);
  }
  context.beginPath();
  context.arc(...view.toScreen(zone.points[0]), 14, 0, 2 * Math.PI);
  strokeTwice(context, [], LIGHT, 2);
}

// Above the zone, else below, else inside; a label that would lie on another is left out (the list names every zone).
function drawLabel(context, view, zone, selected, taken) {
  const b = bounds(zone.points), [x, top] = view.toScreen([b.x, b.y]), bottom = view.toScreen([b.x, b.y + b.height])[1];
  context.font = `${selected ? '600 ' : ''}13px system-ui, sans-serif`;
  const width = context.measureText(describe(zone)).width + 10, height = 19;
  const left = clamp(x - 1, 0, Math.max(0, view.width - width)), gap = zone.shape === 'corners' ? 18 : 4;
  const free = y => y >= 0 && y + height <= view.height && !taken.some(t => t.left < left + width && left < t.left + t.width && Math.abs(t.y - y) < height);
  const y = [top - height - gap, bottom + gap, top + 2].find(free);
  if (y === undefined) return;
  taken.push({ left, width, y });
  context.fillStyle = DARK;
  context.fillRect(left, y, width, height);
  context.fillStyle = selected ? MARKED : LIGHT;
  context.fillText(describe(zone), left + 5, y + 14);
}

function drawHandle(context, [x, y], active) {
  const half = active ? HANDLE + 3 : HANDLE;
  context.beginPath();
  context.rect(x - half, y - half, 2 * half, 2 * half);
  context.fillStyle = active ? MARKED : LIGHT;
  context.fill();
  [context.strokeStyle, context.lineWidth] = ['#000', 1.5];
  context.stroke();
}

function drawDraft(context, { view, state }) {
  const { points, shape, tip } = state.draft;
  const line = tip && shape !== 'rect' ? [...points, tip] : points;
  tracePath(context, view, line, shape === 'rect');
  strokeTwice(context, [], MARKED, 2);
  if (shape === 'polygon') points.forEach((p, i) => drawHandle(context, view.toScreen(p), i === 0 && points.length > 2));
}

function drawCursor(context, [x, y]) {
  context.beginPath();
  for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
    context.moveTo(x + 4 * dx, y + 4 * dy);
    context.lineTo(x + 18 * dx, y + 18 * dy);
  }
  strokeTwice(context, [], MARKED, 2);
}

const LOUPE = 56, LOUPE_ZOOM = 3; // CSS pixels of its radius; times what the stage shows

/** What lies under the finger, larger, where the finger does not cover it. */
export function drawLoupe(context, app, [x, y]) {
  const { view, photo } = app, scale = Math.max(LOUPE_ZOOM * view.scale, 0.5);
  const centre = [clamp(x, LOUPE + 4, view.width - LOUPE - 4), y > 2 * LOUPE + 40 ? y - LOUPE - 36 : y + LOUPE + 36];
  const at = view.toPhoto([x, y]), lens = {
    scale, toScreen: p => [centre[0] + (p[0] - at[0]) * scale, centre[1] + (p[1] - at[1]) * scale]
  };
  context.save();
  context.beginPath();
  context.arc(...centre, LOUPE, 0, 2 * Math.PI);
  context.clip();
  context.fillStyle = '#777';
  context.fillRect(centre[0] - LOUPE, centre[1] - LOUPE, 2 * LOUPE, 2 * LOUPE);
  context.drawImage(photo.full, ...lens.toScreen([0, 0]), photo.width * scale, photo.height * scale);
  for (const zone of app.zones) drawZone(context, lens, zone, zone === app.selectedZone);
  if (app.state.draft) drawDraft(context, { view: lens, state: app.state });
  drawCursor(context, centre);
  context.restore();
  context.beginPath();
  context.arc(...centre, LOUPE, 0, 2 * Math.PI);
  strokeTwice(context, [], LIGHT, 3);
}
