// photo: the picture in memory. Zoomed out, a small overview is drawn; zoomed in, tiles cut on demand: no frame ever touches all
// pixels of a large photo. Places are in photo pixels; the picture inside the page may be smaller by `ratio`.

import { summarise } from './colour.js';
import { bounds, clamp, crossed, distance } from './geometry.js';

const OVERVIEW_SIDE = 1600;
const TILE = 512;
const TILE_CACHE = 96; // 96 MiB at most
const SAMPLES = 96; // along each side of an area: it is summarised again with every move of a finger

export class Photo {
  #tiles = new Map(); // "level/column/row" -> ImageBitmap, oldest first
  #wanted = [];
  #cutting = false;
  #work = new OffscreenCanvas(1, 1).getContext('2d', { willReadFrequently: true });
  #summaries = new WeakMap(); // points -> summary: a zone's points are never changed in place

  /** Called when a tile has come and the view should be drawn again. */
  onready = () => {};

  static async open(element, facts) {
    await element.decode();
    const full = await createImageBitmap(element);
    const shrink = Math.min(1, OVERVIEW_SIDE / Math.max(full.width, full.height));
    const overview = shrink === 1 ? full
      : await createImageBitmap(full, { resizeWidth: Math.max(1, Math.round(full.width * shrink)), resizeHeight: Math.max(1, Math.round(full.height * shrink)), resizeQuality: 'medium' });
    return new Photo(full, overview, facts);
  }

  constructor(full, overview, { width, height }) {
    Object.assign(this, { full, overview, width, height, ratio: full.width / width });
  }

  /** Draws what the view shows. Edges fall on whole device pixels, so that tiles leave no seams. */
  draw(context, view, pixelRatio) {
    const scale = view.scale * pixelRatio; // device pixels per photo pixel
    const place = (x, y, w, h) => {
      const [left, top] = [Math.round((x - view.x) * scale), Math.round((y - view.y) * scale)];
      return [left, top, Math.round((x + w - view.x) * scale) - left, Math.round((y + h - view.y) * scale) - top];
    };
    context.imageSmoothingEnabled = scale < 4;
    context.imageSmoothingQuality = 'medium';
    context.drawImage(this.overview, ...place(0, 0, this.width, this.height));
    this.#wanted = [];
    if (this.overview.width >= this.full.width || this.overview.width >= this.width * scale) return;
    const level = Math.max(0, Math.floor(Math.log2(this.ratio / scale)));
    for (const tile of this.#visibleTiles(view, level)) {
      const bitmap = this.#tiles.get(tile.key);
      if (bitmap) context.drawImage(bitmap, ...place(tile.x / this.ratio, tile.y / this.ratio, tile.width / this.ratio, tile.height / this.ratio));
      else this.#wanted.push(tile);
    }
    this.#cutNext();
  }

  /** Tiles of a level (2^level picture pixels to one) in the view, in picture pixels, those in the middle first. */
  #visibleTiles(view, level) {
    const side = TILE * 2 ** level, tiles = [];
    const edge = (v, size) => clamp(v * this.ratio, 0, size - 1);
    const right = edge(view.x + view.width / view.scale, this.full.width), bottom = edge(view.y + view.height / view.scale, this.full.height);
    for (let row = Math.floor(edge(view.y, this.full.height) / side); row * side <= bottom; row++)
      for (let column = Math.floor(edge(view.x, this.full.width) / side); column * side <= right; column++) {
        const x = column * side, y = row * side;
        tiles.push({ key: `${level}/${column}/${row}`, level, x, y, width: Math.min(side, this.full.width - x), height: Math.min(side, this.full.height - y) });
      }
    const middle = [(view.x + view.width / view.scale / 2) * this.ratio - side / 2, (view.y + view.height / view.scale / 2) * this.ratio - side / 2];
    return tiles.sort((p, q) => distance([p.x, p.y], middle) - distance([q.x, q.y], middle));
  }

  // One tile at a time: a frame is never held up by many.
  async #cutNext() {
    const tile = this.#wanted.shift();
    if (this.#cutting || !tile) return;
    this.#cutting = true;
    const size = v => Math.max(1, Math.round(v / 2 ** tile.level));
    const bitmap = await createImageBitmap(this.full, tile.x, tile.y, tile.width, tile.height,
      { resizeWidth: size(tile.width), resizeHeight: size(tile.height), resizeQuality: 'medium' });
    this.#tiles.set(tile.key, bitmap);
    for (const [key, old] of this.#tiles) {
      if (this.#tiles.size <= TILE_CACHE) break;
      old.close();
      this.#tiles.delete(key);
    }
    this.#cutting = false;
    this.onready();
  }

  /** True when everything in the view is drawn at its full detail. */
  get settled() { return !this.#cutting && this.#wanted.length === 0; }

  /** Summary of the area inside points (see summarise); null when it holds no pixel. */
  summary(points) {
    if (!this.#summaries.has(points)) this.#summaries.set(points, summarise(this.#samples(points)));
    return this.#summaries.get(points);
  }

  // Every pixel of a small area; of a large one evenly spaced pixels, never averages: an average would hide what is blown out.
  #samples(points) {
    const b = bounds(points);
    const x = clamp(Math.floor(b.x), 0, this.width), y = clamp(Math.floor(b.y), 0, this.height);
    const w = clamp(b.x + b.width, 0, this.width) - x, h = clamp(b.y + b.height, 0, this.height) - y;
    if (points.length < 3 || w <= 0 || h <= 0) return { width: 0, height: 0 };
    const width = clamp(Math.ceil(w * this.ratio), 1, SAMPLES), height = clamp(Math.ceil(h * this.ratio), 1, SAMPLES);
    Object.assign(this.#work.canvas, { width, height });
    this.#work.imageSmoothingEnabled = false;
    this.#work.drawImage(this.full, x * this.ratio, y * this.ratio, w * this.ratio, h * this.ratio, 0, 0, width, height);
    const inside = new Uint8Array(width * height);
    for (let j = 0; j < height; j++)
      for (const [from, to] of crossed(points, y + (j + 0.5) * h / height)) // a sample is inside by its centre
        inside.fill(1, j * width + clamp(Math.ceil((from - x) * width / w - 0.5), 0, width), j * width + clamp(Math.ceil((to - x) * width / w - 0.5), 0, width));
    return { width, height, data: this.#work.getImageData(0, 0, width, height).data, inside };
  }
}
