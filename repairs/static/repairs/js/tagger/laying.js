/** Laying the map over the photo: four places, each marked on the map and tapped on the photo. */

const WANTED = 4;

export class Laying {
  constructor(map) {
    this.map = map;
    this.taps = {};
    this.left = map.anchors;
    map.unzoom();
    map.svg.classList.add("fit");
    this.#ask();
  }

  get asked() {
    return this.left[0] ?? null;
  }

  get count() {
    return Object.keys(this.taps).length;
  }

  get done() {
    return this.count === WANTED;
  }

  /** Whether enough places are left when this one cannot be seen on the photo. */
  get canSkip() {
    return this.count + this.left.length - 1 >= WANTED;
  }

  tap(share) {
    this.taps[this.asked.dataset.anchor] = share;
    this.#next();
  }

  skip() {
    this.#next();
  }

  end() {
    this.map.svg.classList.remove("fit");
    for (const anchor of this.map.anchors) anchor.classList.remove("asked");
  }

  #next() {
    this.left = this.left.slice(1);
    this.#ask();
  }

  #ask() {
    for (const anchor of this.map.anchors) {
      const isAsked = anchor === this.asked;
      anchor.classList.toggle("asked", isAsked);
      anchor.setAttribute("r", isAsked ? 22 : 0);
    }
  }
}
