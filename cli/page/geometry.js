// geometry: shapes in photo pixels. A point is [x, y], y grows downwards; a pixel's centre is at +0.5.

export const clamp = (value, low, high) => Math.min(Math.max(value, low), high);
export const distance = ([ax, ay], [bx, by]) => Math.hypot(ax - bx, ay - by);

export const rectPoints = ([x, y, w, h]) => [[x, y], [x + w, y], [x + w, y + h], [x, y + h]];

export function bounds(points) {
  const xs = points.map(p => p[0]), ys = points.map(p => p[1]);
  const x = Math.min(...xs), y = Math.min(...ys);
  return { x, y, width: Math.max(...xs) - x, height: Math.max(...ys) - y };
}

export function rectOf(points) {
  const b = bounds(points);
  return [b.x, b.y, b.width, b.height];
}

/** Whole pixels spanned by two corners of a drag: never empty. */
export function rectBetween([ax, ay], [bx, by]) {
  const x = Math.round(Math.min(ax, bx)), y = Math.round(Math.min(ay, by));
  return [x, y, Math.max(1, Math.round(Math.max(ax, bx)) - x), Math.max(1, Math.round(Math.max(ay, by)) - y)];
}

export const edges = points => points.map((p, i) => [p, points[(i + 1) % points.length]]);

export function area(points) {
  return Math.abs(edges(points).reduce((sum, [[ax, ay], [bx, by]]) => sum + ax * by - bx * ay, 0)) / 2;
}

/** Even-odd rule. */
export function contains(points, x, y) {
  let inside = false;
  for (const [[ax, ay], [bx, by]] of edges(points))
    if ((ay > y) !== (by > y) && x < ax + ((y - ay) / (by - ay)) * (bx - ax)) inside = !inside;
  return inside;
}

/** The pieces [from, to] of the line at height y that lie inside, by the same rule. */
export function crossed(points, y) {
  const xs = edges(points).filter(([[, ay], [, by]]) => (ay > y) !== (by > y)).map(([[ax, ay], [bx, by]]) => ax + ((y - ay) / (by - ay)) * (bx - ax)).sort((p, q) => p - q);
  return xs.flatMap((from, i) => (i % 2 === 0 ? [[from, xs[i + 1]]] : []));
}

export const turn = ([ax, ay], [bx, by], [cx, cy]) => Math.sign((bx - ax) * (cy - ay) - (by - ay) * (cx - ax));
const within = ([ax, ay], [bx, by], [px, py]) =>
  px >= Math.min(ax, bx) && px <= Math.max(ax, bx) && py >= Math.min(ay, by) && py <= Math.max(ay, by);

/** True when the closed segments ab and cd share a point. */
function segmentsMeet(a, b, c, d) {
  const abc = turn(a, b, c), abd = turn(a, b, d), cda = turn(c, d, a), cdb = turn(c, d, b);
  if (abc !== abd && cda !== cdb) return true;
  return (abc === 0 && within(a, b, c)) || (abd === 0 && within(a, b, d)) || (cda === 0 && within(c, d, a)) || (cdb === 0 && within(c, d, b));
}

/** True when an outline crosses, touches or runs back over itself. */
export function crossesItself(points) {
  const sides = edges(points), n = sides.length;
  for (let i = 0; i < n; i++) {
    const [a, b] = sides[i], c = sides[(i + 1) % n][1];
    if (n > 2 && turn(a, b, c) === 0 && (within(a, b, c) || within(b, c, a))) return true;
    for (let j = i + 2; j < n; j++)
      if (!(i === 0 && j === n - 1) && segmentsMeet(a, b, ...sides[j])) return true;
  }
  return false;
}

function distanceToSegment(p, a, b) {
  const length2 = (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2;
  const t = length2 === 0 ? 0 : clamp(((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / length2, 0, 1);
  return distance(p, [a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])]);
}

/** Fewer points along a hand-drawn line, none further than tolerance from it (Ramer 1972; Douglas and Peucker 1973). */
export function simplify(line, tolerance) {
  if (line.length < 3) return line;
  const first = line[0], last = line[line.length - 1];
  let far = 0, at = 0;
  for (let i = 1; i < line.length - 1; i++) {
    const d = distanceToSegment(line[i], first, last);
    if (d > far) [far, at] = [d, i];
  }
  if (far <= tolerance) return [first, last];
  return [...simplify(line.slice(0, at + 1), tolerance).slice(0, -1), ...simplify(line.slice(at), tolerance)];
}

/** Whole pixels, without a point that repeats the one before it. */
export function wholePoints(points) {
  const whole = points.map(([x, y]) => [Math.round(x), Math.round(y)]);
  return whole.filter((p, i) => i === 0 || distance(p, whole[i - 1]) > 0).filter((p, i, all) => i === 0 || i < all.length - 1 || distance(p, all[0]) > 0);
}

/** The projective map of the unit square onto four corners (clockwise from 0,0), as (u, v) -> point (Heckbert 1989). */
function squareTo([[x0, y0], [x1, y1], [x2, y2], [x3, y3]]) {
  const sx = x0 - x1 + x2 - x3, sy = y0 - y1 + y2 - y3;
  const dx1 = x1 - x2, dx2 = x3 - x2, dy1 = y1 - y2, dy2 = y3 - y2;
  const det = dx1 * dy2 - dx2 * dy1;
  const g = (sx * dy2 - dx2 * sy) / det, h = (dx1 * sy - sx * dy1) / det;
  const a = x1 - x0 + g * x1, b = x3 - x0 + h * x3, d = y1 - y0 + g * y1, e = y3 - y0 + h * y3;
  return (u, v) => {
    const w = Math.max(1e-6, g * u + h * v + 1); // below: seen from behind
    return [(a * u + b * v + x0) / w, (d * u + e * v + y0) / w];
  };
}

/** True when a pixel's centre of the photo lies inside. */
export function holdsPixel(points, { width, height }) {
  const b = bounds(points), right = Math.min(width, b.x + b.width), bottom = Math.min(height, b.y + b.height);
  for (let y = Math.max(0, Math.floor(b.y)); y < bottom; y++)
    for (let x = Math.max(0, Math.floor(b.x)); x < right; x++) if (contains(points, x + 0.5, y + 0.5)) return true;
  return false;
}

/** True when two shapes cover common ground: looked for on a grid over what their boxes share, fine enough for what a hand draws. */
export function overlap(p, q) {
  const a = bounds(p), b = bounds(q), x = Math.max(a.x, b.x), y = Math.max(a.y, b.y);
  const w = Math.min(a.x + a.width, b.x + b.width) - x, h = Math.min(a.y + a.height, b.y + b.height) - y;
  if (w <= 0 || h <= 0) return false;
  const columns = Math.min(48, Math.ceil(w)), rows = Math.min(48, Math.ceil(h));
  for (let j = 0; j < rows; j++)
    for (let i = 0; i < columns; i++) {
      const at = [x + (i + 0.5) * w / columns, y + (j + 0.5) * h / rows];
      if (contains(p, ...at) && contains(q, ...at)) return true;
    }
  return false;
}

/** The middle halves of a target's patches, row by row, when the corners are the centres of the corner patches. */
export function patchShapes(corners, rows, columns) {
  const map = squareTo(corners), shapes = [];
  for (let row = 0; row < rows; row++)
    for (let column = 0; column < columns; column++)
      shapes.push([[-1, -1], [1, -1], [1, 1], [-1, 1]].map(([u, v]) => map((column + u / 4) / (columns - 1), (row + v / 4) / (rows - 1))));
  return shapes;
}
