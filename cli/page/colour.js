// colour: what an area of the picture looks like before any correction. The measuring itself is the program's work.

import { decimal, t } from './words.js';

// IEC 61966-2-1 decoding of the 256 byte values.
const LINEAR = Float64Array.from({ length: 256 }, (_, i) => {
  const v = i / 255;
  return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4;
});

// Linear sRGB to XYZ relative to D50: IEC 61966-2-1 primaries, Bradford adaptation from D65; rows X, Y, Z divided by the D50 white.
const TO_D50 = [
  [0.4360747 / 0.9642, 0.3850649 / 0.9642, 0.1430804 / 0.9642],
  [0.2225045, 0.7168786, 0.0606169],
  [0.0139322 / 0.8249, 0.0971045 / 0.8249, 0.7141733 / 0.8249]];

/** CIELAB (D50) of linear sRGB 0..1; CIE 15, exact constants. */
function labOf(r, g, b) {
  const [fx, fy, fz] = TO_D50.map(row => {
    const t = row[0] * r + row[1] * g + row[2] * b;
    return t > 216 / 24389 ? Math.cbrt(t) : (24389 / 27 * t + 16) / 116;
  });
  return [116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)];
}

// CSS lab() is D50 as ours is.
export const chipColour = ([l, a, b]) => `lab(${l.toFixed(2)} ${a.toFixed(2)} ${b.toFixed(2)})`;
const signed = value => (value <= -0.05 ? '−' : '') + decimal(Math.abs(value), 1);
export const labText = ([l, a, b]) => `L* ${signed(l)}  a* ${signed(a)}  b* ${signed(b)}`;

/** Statistics of samples: {width, height, data (RGBA), inside (one byte each)}. Null when no sample is inside. */
export function summarise({ width, height, data, inside }) {
  let n = 0, r = 0, g = 0, b = 0, l = 0, l2 = 0, bright = 0, dark = 0;
  const skin = new Uint8Array(width * height), light = new Float32Array(width * height);
  const quarter = [0, 0, 0, 0].map(() => ({ y: 0, n: 0 }));
  for (let i = 0; i < width * height; i++) {
    if (!inside[i]) continue;
    const [br, bg, bb] = [data[4 * i], data[4 * i + 1], data[4 * i + 2]];
    const [lr, lg, lb] = [LINEAR[br], LINEAR[bg], LINEAR[bb]];
    const lab = labOf(lr, lg, lb);
    n++; r += lr; g += lg; b += lb; l += lab[0]; l2 += lab[0] ** 2;
    if (br >= 250 || bg >= 250 || bb >= 250) bright++; // G1
    else if (br <= 3 && bg <= 3 && bb <= 3) dark++; // G1
    light[i] = lab[0];
    if (looksLikeSkin(lab)) skin[i] = 1;
    const q = quarter[(i % width < width / 2 ? 0 : 1) + (i < width * height / 2 ? 0 : 2)];
    q.y += TO_D50[1][0] * lr + TO_D50[1][1] * lg + TO_D50[1][2] * lb; q.n++;
  }
  if (n === 0) return null;
  const levels = quarter.filter(q => q.n > 0).map(q => q.y / q.n);
  const mean = levels.reduce((sum, y) => sum + y, 0) / levels.length;
  return {
    lab: labOf(r / n, g / n, b / n), spread: Math.sqrt(Math.max(0, l2 / n - (l / n) ** 2)),
    bright: bright / n, dark: dark / n, ...skinFacts(skin, light, width, height, n), slope: mean > 0 ? (Math.max(...levels) - Math.min(...levels)) / mean : 0
  };
}

// Skin, on the picture as it is: before correction this is a hint only. Lighter strands of warm hair look like skin too, so the marked
// part must also be clearly lighter than the rest.
function looksLikeSkin([l, a, b]) {
  if (a <= 9.5 || l <= 42) return false;
  const hue = Math.atan2(b, a) * 180 / Math.PI;
  return hue >= 20 && hue <= 62;
}

function skinFacts(marks, light, width, height, n) {
  let count = 0, marked = 0, all = 0;
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++) {
      const at = y * width + x;
      all += light[at];
      if (!marks[at] || marksNear(marks, x, y, width, height) < 9) continue;
      count++;
      marked += light[at];
    }
  return { skin: count / n, skinStep: count > 0 && count < n ? marked / count - (all - marked) / (n - count) : 0 };
}

function marksNear(marks, x, y, width, height) {
  let near = 0;
  for (let j = Math.max(0, y - 2); j <= Math.min(height - 1, y + 2); j++)
    for (let i = Math.max(0, x - 2); i <= Math.min(width - 1, x + 2); i++) near += marks[j * width + i];
  return near;
}

const percent = share => `${Math.max(1, Math.round(100 * share))} %`;

/** What is wrong with an area, in words. G1 and C19 are the program's rules; the limits on shares are judgement. */
export function areaWarnings(kind, { bright, dark, skin, skinStep, slope, spread }) {
  if (kind === 'target') return bright > 0.01 ? [t('area.target_bright', { share: percent(bright) })] : [];
  const warnings = [];
  if (bright > 0.01) warnings.push(t('area.bright', { share: percent(bright) }));
  if (dark > 0.01) warnings.push(t('area.dark', { share: percent(dark) }));
  if (kind === 'card') {
    if (slope > 0.05) warnings.push(t('area.card_uneven', { share: percent(slope) }));
  } else if (skin > 0.03 && skinStep > 12) warnings.push(t('area.skin', { share: percent(skin) }));
  if (kind !== 'gray' && spread > (kind === 'card' ? 6 : 14)) warnings.push(t('area.mixed', { spread: decimal(spread, 0) }));
  return warnings;
}
