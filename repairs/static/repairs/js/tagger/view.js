/** What part of the picture the stage shows: fitting, zooming, panning, and back to shares. */

import { clamp } from "./geometry.js";

const LARGEST = 8;
/** How much of the window's height a photo takes; of a phone's less where it stays in sight. */
const TALLEST = 0.78;
const TALLEST_BESIDE_WORK = 0.42;
const DESK = window.matchMedia("(min-width: 60rem)");

export class View {
  constructor(stage, photo, onChange, isWorkedOn = false) {
    this.tallest = () => (isWorkedOn && !DESK.matches ? TALLEST_BESIDE_WORK : TALLEST);
    this.stage = stage;
    this.photo = photo;
    this.onChange = onChange;
    this.scale = 1;
    this.x = 0;
    this.y = 0;
    this.sharp = 0;
    new ResizeObserver(() => this.fit()).observe(stage);
    photo.addEventListener("load", () => this.fit());
    window.addEventListener("load", () => this.#sharpen());
    window.addEventListener("resize", () => this.fit());
    this.fit();
  }

  /** Give the stage the shape of the picture, but no taller than the window lets one see. */
  fit() {
    const photo = this.photo;
    const across = Number(photo.getAttribute("width")) || photo.naturalWidth || 4;
    const down = Number(photo.getAttribute("height")) || photo.naturalHeight || 3;
    const width = this.stage.clientWidth;
    const tallest = Math.max(240, window.innerHeight * this.tallest());
    const height = Math.round(Math.min((width * down) / across, tallest));
    const same = width === this.width && height === this.height && across / down === this.ratio;
    if (same || !width) return;
    const centre = this.width ? this.toShare([this.width / 2, this.height / 2]) : [0.5, 0.5];
    Object.assign(this, { width, height, ratio: across / down });
    this.stage.style.height = `${height}px`;
    this.photoWidth = Math.min(width, height * this.ratio);
    this.photoHeight = this.photoWidth / this.ratio;
    this.photo.style.width = `${this.photoWidth}px`;
    this.photo.style.height = `${this.photoHeight}px`;
    this.#centreOn(centre);
  }

  /** Pixels on the stage of a place on the picture. */
  toSpot([x, y]) {
    return [
      this.x + x * this.photoWidth * this.scale,
      this.y + y * this.photoHeight * this.scale,
    ];
  }

  /** Place on the picture of a spot on the stage; outside the picture, the nearest edge. */
  toShare([x, y]) {
    return [
      clamp((x - this.x) / (this.photoWidth * this.scale), 0, 1),
      clamp((y - this.y) / (this.photoHeight * this.scale), 0, 1),
    ];
  }

  /** A step on the stage, as a step on the picture. */
  toStep([dx, dy]) {
    return [dx / (this.photoWidth * this.scale), dy / (this.photoHeight * this.scale)];
  }

  zoomTo(scale, about = [this.width / 2, this.height / 2]) {
    const next = clamp(scale, 1, LARGEST);
    const grown = next / this.scale;
    this.x = about[0] - (about[0] - this.x) * grown;
    this.y = about[1] - (about[1] - this.y) * grown;
    this.scale = next;
    this.#settle();
  }

  panBy(dx, dy) {
    this.x += dx;
    this.y += dy;
    this.#settle();
  }

  /** Pan just enough to bring a place on the picture into sight. */
  reveal(share, margin = 40) {
    const [x, y] = this.toSpot(share);
    const dx = clamp(x, margin, this.width - margin) - x;
    const dy = clamp(y, margin, this.height - margin) - y;
    if (this.scale > 1 && (dx || dy)) this.panBy(dx, dy);
  }

  get zoomed() {
    return this.scale > 1.001;
  }

  #centreOn([x, y]) {
    this.x = this.width / 2 - x * this.photoWidth * this.scale;
    this.y = this.height / 2 - y * this.photoHeight * this.scale;
    this.#settle();
  }

  #settle() {
    this.x = held(this.x, this.photoWidth * this.scale, this.width);
    this.y = held(this.y, this.photoHeight * this.scale, this.height);
    this.photo.style.transform = `translate(${this.x}px, ${this.y}px) scale(${this.scale})`;
    this.#sharpen();
    this.onChange();
  }

  /** Have as sharp a picture fetched as the zoom shows; a small one stands there first. */
  #sharpen() {
    const wanted = Math.ceil(this.photoWidth * this.scale);
    if (document.readyState !== "complete" || !(wanted > this.sharp)) return;
    this.sharp = wanted;
    this.photo.sizes = `${wanted}px`;
  }
}

/** Centre a picture smaller than its stage; keep a larger one from leaving an empty edge. */
function held(offset, size, room) {
  return size <= room ? (room - size) / 2 : clamp(offset, room - size, 0);
}
