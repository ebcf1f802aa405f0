/**
 * A map of parts: which part lies under a place of it, and its small places drawn larger.
 *
 * Shapes are asked as paths, not as elements under a finger: so a place that came from a photo is
 * asked as well, and a map that is folded away answers too. The last shape lies on top.
 */

const TOUCH_PX = 24;
const LARGE_PX = 300;
const FINGER_PX = TOUCH_PX / 2;
const brush = document.createElement("canvas").getContext("2d");

export class PartMap {
  constructor(svg) {
    this.svg = svg;
    this.name = svg.dataset.map;
    this.whole = svg.getAttribute("viewBox");
    this.width = Number(this.whole.split(" ")[2]);
    this.mm = Number(svg.dataset.mmPerUnit) || 1;
    this.shapes = [...svg.querySelectorAll("[data-part]")].map(shapeOf);
    this.zooms = [...svg.querySelectorAll("[data-box]")].map((node) =>
      node.dataset.box.split(" ").map(Number),
    );
  }

  get zoomed() {
    return this.svg.getAttribute("viewBox") !== this.whole;
  }

  unzoom() {
    this.svg.setAttribute("viewBox", this.whole);
  }

  /** Places easy to find on a photo, the well spread ones first. */
  get anchors() {
    return [...this.svg.querySelectorAll("[data-anchor]")];
  }

  /** How many pixels of the screen a unit of the map takes; 0 while it is folded away. */
  get scale() {
    return this.svg.getScreenCTM()?.a ?? 0;
  }

  placeOf(event) {
    const matrix = this.svg.getScreenCTM().inverse();
    const { x, y } = new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix);
    return [x, y];
  }

  /** Draw the smallest zoom around the place across the map; false when it is large enough. */
  zoomAt([x, y]) {
    const holds = ([left, top, wide, high]) =>
      x >= left && y >= top && x <= left + wide && y <= top + high;
    const small = this.zooms.filter((box) => holds(box) && box[2] * this.scale < LARGE_PX);
    if (small.length === 0) return false;
    const box = small.reduce((best, each) => (each[2] * each[3] < best[2] * best[3] ? each : best));
    const wanted = box.join(" ");
    if (this.svg.getAttribute("viewBox") === wanted) return false;
    this.svg.setAttribute("viewBox", wanted);
    return true;
  }

  /** Keys of the parts that a tap may mean, the likeliest first; `reach` in units of the map. */
  partsAt(place, reach = FINGER_PX / (this.scale || 1)) {
    const around = [...Array(8).keys()].map((eighth) => {
      const turn = (eighth * Math.PI) / 4;
      return [place[0] + reach * Math.cos(turn), place[1] + reach * Math.sin(turn)];
    });
    const hit = [place, ...around].map((each) => this.topmost(each)).filter(Boolean);
    const shared = hit.flatMap(({ key }) =>
      this.shapes.filter((shape) => shape.key === key).flatMap((shape) => shape.also),
    );
    return [...new Set([...hit.map(({ key }) => key), ...shared])];
  }

  topmost(place) {
    return this.shapes.findLast((shape) => this.#holds(shape, place)) ?? null;
  }

  #holds({ paths, flipped }, [x, y]) {
    const across = flipped ? this.width - x : x;
    return paths.some(({ path }) => brush.isPointInPath(path, across, y, "evenodd"));
  }

  /** Mark the shapes of a part; of one among several only that one. */
  mark(key, n = null) {
    for (const { node, key: own, n: one } of this.shapes) {
      node.classList.toggle("here", own === key && (n === null || one === n));
    }
  }

  /** The outlines of the part under a place, for a photo that the map lies on. */
  outlineOf(key, place) {
    const top = this.topmost(place);
    const shapes = top?.key === key ? [top] : this.shapes.filter((shape) => shape.key === key);
    return shapes.flatMap(({ paths, flipped }) => paths.map(({ d }) => ({ d, flipped })));
  }
}

function shapeOf(node) {
  const drawn = node.matches("path") ? [node] : [...node.querySelectorAll(":scope > path")];
  const closed = drawn.filter((path) => path.getAttribute("pointer-events") !== "none");
  const paths = closed.map((path) => {
    const d = path.getAttribute("d");
    return { d, path: new Path2D(d) };
  });
  const also = (node.dataset.also ?? "").split(" ").filter(Boolean);
  const flipped = node.closest("g[transform]") !== null;
  return { node, key: node.dataset.part, n: node.dataset.n ?? null, also, paths, flipped };
}

/** x′ = ax + cy + e, y′ = bx + dy + f. */
export function through([a, b, c, d, e, f], [x, y]) {
  return [a * x + c * y + e, b * x + d * y + f];
}
