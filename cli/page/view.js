// view: which part of the photo the stage shows. screen = (photo - [x, y]) * scale, in CSS pixels.

import { clamp } from './geometry.js';

const MOST_ZOOM = 16; // CSS pixels per photo pixel

export class View {
  scale = 1; x = 0; y = 0;
  width = 1; height = 1; // of the stage
  #fitted = true;

  constructor(photo) { this.photo = photo; }

  get fitScale() { return Math.min(this.width / this.photo.width, this.height / this.photo.height); }

  resize(width, height) {
    const centre = this.toPhoto([this.width / 2, this.height / 2]);
    Object.assign(this, { width, height });
    if (this.#fitted) this.fit();
    else this.#settle(this.scale, centre[0] - width / 2 / this.scale, centre[1] - height / 2 / this.scale);
  }

  fit() {
    this.#settle(this.fitScale, 0, 0);
    this.#fitted = true;
  }

  toPhoto([sx, sy]) { return [this.x + sx / this.scale, this.y + sy / this.scale]; }
  toScreen([px, py]) { return [(px - this.x) * this.scale, (py - this.y) * this.scale]; }

  /** Zooms by a factor; the photo point under the screen point stays there. */
  zoom(factor, screen = [this.width / 2, this.height / 2]) {
    this.pin(this.toPhoto(screen), screen, this.scale * factor);
  }

  /** Puts a photo point under a screen point at a scale. */
  pin(point, screen, scale = this.scale) {
    const s = clamp(scale, Math.min(this.fitScale, 1), MOST_ZOOM);
    this.#settle(s, point[0] - screen[0] / s, point[1] - screen[1] / s);
  }

  /** Shows a box of the photo with room around it. */
  show(box) {
    const scale = Math.min(this.width / box.width, this.height / box.height) / 3;
    this.pin([box.x + box.width / 2, box.y + box.height / 2], [this.width / 2, this.height / 2], clamp(scale, this.fitScale, 4));
  }

  /** Moves as little as needed to bring a photo point into sight. */
  reveal(point, margin = 24) {
    const [sx, sy] = this.toScreen(point);
    const to = [clamp(sx, margin, this.width - margin), clamp(sy, margin, this.height - margin)];
    if (to[0] !== sx || to[1] !== sy) this.pin(point, to);
  }

  // An axis with room to spare is centred; otherwise the photo may be pulled until its edge reaches the middle of the stage.
  #settle(scale, x, y) {
    const axis = (at, stage, size) => {
      const shown = stage / scale;
      return shown >= size ? (size - shown) / 2 : clamp(at, -shown / 2, size - shown / 2);
    };
    this.scale = scale;
    this.x = axis(x, this.width, this.photo.width);
    this.y = axis(y, this.height, this.photo.height);
    this.#fitted = false;
  }
}
