// Which part of the plan is shown: metres to pixels and back, fit, zoom about a point, pan.

import { bounds } from "./geometry.js";

export class View {
  constructor() {
    Object.assign(this, { scale: 20, left: -2, top: 30, width: 600, height: 400 });
  }
  at = ([x, y]) => [(x - this.left) * this.scale, (this.top - y) * this.scale];
  metres = ([px, py]) => [this.left + px / this.scale, this.top - py / this.scale];

  /** Everything shown, or 30 × 24 m of empty paper. */
  fit(points) {
    const { low, high } = points.length ? bounds(points) : { low: [0, 0], high: [30, 24] };
    const wide = Math.max(high[0] - low[0], 4),
      tall = Math.max(high[1] - low[1], 4),
      edge = 44;
    this.scale = Math.max(0.2, Math.min((this.width - 2 * edge) / wide, (this.height - 2 * edge) / tall, 120));
    this.left = (low[0] + high[0]) / 2 - this.width / 2 / this.scale;
    this.top = (low[1] + high[1]) / 2 + this.height / 2 / this.scale;
  }
  zoom(by, about = [this.width / 2, this.height / 2]) {
    const still = this.metres(about);
    this.scale = Math.max(0.2, Math.min(400, this.scale * by));
    const now = this.metres(about);
    this.left += still[0] - now[0];
    this.top += still[1] - now[1];
  }
  pan(dx, dy) {
    this.left -= dx / this.scale;
    this.top += dy / this.scale;
  }
  /** Grid spacing that stays readable. */
  get grid() {
    return [0.1, 0.5, 1, 5, 10, 50, 100].find((m) => m * this.scale >= 14) ?? 500;
  }
}
