/**
 * The drawing over the photo.
 *
 * The overlay is as large as the stage and is drawn in its pixels, so that lines and badges keep
 * their size whatever the zoom. Each tag keeps its element from one drawing to the next: an
 * element that is made anew would lose the keyboard's focus.
 */

import { svg } from "../dom.js";
import { say } from "../words.js";
import { placeBadges } from "./geometry.js";
import { badge, writeBadge } from "./signs.js";

const RING = "a8 8 0 1 0 16 0 a8 8 0 1 0 -16 0";
const TICK = 7;
const PLACE = 19;
const LAYERS = ["halo-edge", "halo", "casing", "ink"];

export class Overlay {
  constructor(board, view, stage) {
    this.board = board;
    this.view = view;
    this.nodes = new Map();
    this.drawn = [];
    this.tags = svg("g", { class: "tagger-tags" });
    this.handles = svg("g", { class: "tagger-handles" });
    this.part = svg("g", { class: "tagger-part" });
    this.places = svg("g", { class: "tagger-places" });
    this.sketch = makeSketch();
    this.cross = svg("path", { class: "tagger-cross" });
    this.crossCasing = svg("path", { class: "tagger-cross-casing" });
    this.root = svg("svg", { class: "tagger-overlay" });
    this.root.append(this.part, this.tags, this.handles, this.places, this.sketch);
    this.root.append(this.crossCasing, this.cross);
    stage.append(this.root);
  }

  draw() {
    const { board, view } = this;
    if (!view.width) return;
    this.root.setAttribute("viewBox", `0 0 ${view.width} ${view.height}`);
    this.#drop();
    const spots = board.tags.map((tag) => tag.points.map((point) => view.toSpot(point)));
    const places = placeBadges(spots, [view.width, view.height]);
    this.drawn = board.tags.map((tag, at) => ({ tag, spots: spots[at], ...places[at] }));
    this.drawn.forEach((each) => this.#drawTag(each));
    this.#order();
    this.#drawHandles();
    this.#drawPart();
    this.#drawPlaces();
    this.#drawSketch();
    this.#drawCross();
  }

  nodeOf(tag) {
    return this.nodes.get(tag.key) ?? null;
  }

  tagOf(node) {
    const group = node?.closest?.(".tagger-tag");
    if (!group) return null;
    return this.board.tags.find((tag) => this.nodes.get(tag.key) === group) ?? null;
  }

  spotsOf(tag) {
    return tag.points.map((point) => this.view.toSpot(point));
  }

  #drop() {
    const live = new Set(this.board.tags.map((tag) => tag.key));
    for (const [key, node] of this.nodes) {
      if (live.has(key)) continue;
      node.remove();
      this.nodes.delete(key);
    }
  }

  #drawTag({ tag, spots, anchor, badge: at }) {
    const node = this.nodes.get(tag.key) ?? this.#make(tag);
    const outline = outlineOf(tag.shape, spots);
    node.setAttribute("aria-label", this.board.describe(tag));
    node.classList.toggle("tagger-draft", tag.number === null);
    node.classList.toggle("tagger-selected", this.board.selected === tag);
    node.classList.toggle("tagger-unsent", Boolean(tag.error));
    for (const path of node.querySelectorAll("[data-outline]")) path.setAttribute("d", outline);
    const leader = `M${tag.shape === "point" ? onRing(anchor, at) : anchor} L${at}`;
    for (const path of node.querySelectorAll("[data-leader]")) path.setAttribute("d", leader);
    const sign = node.querySelector(".tagger-badge");
    sign.setAttribute("transform", `translate(${at})`);
    writeBadge(sign, tag);
    frame(node.querySelector(".tagger-focus-casing"), [...spots, at]);
    frame(node.querySelector(".tagger-focus"), [...spots, at]);
  }

  #make(tag) {
    const node = svg("g", { class: "tagger-tag", role: "button", tabindex: 0 });
    node.dataset.shape = tag.shape;
    for (const layer of LAYERS) {
      const kind = layer.startsWith("halo") ? `${layer} tagger-shown-selected` : layer;
      node.append(svg("path", { class: `tagger-${kind}`, "data-leader": true }));
      node.append(svg("path", { class: `tagger-${kind}`, "data-outline": true }));
    }
    node.append(svg("rect", { class: "tagger-focus-casing", rx: 4 }));
    node.append(svg("rect", { class: "tagger-focus", rx: 4 }));
    node.append(badge(tag.shape));
    this.nodes.set(tag.key, node);
    this.tags.append(node);
    return node;
  }

  /** Tab must follow the numbers; moving an element loses the focus, so it is given back. */
  #order() {
    const wanted = this.board.tags.map((tag) => this.nodes.get(tag.key));
    if (wanted.every((node, at) => this.tags.children[at] === node)) return;
    const focused = document.activeElement;
    this.tags.append(...wanted);
    if (this.tags.contains(focused)) focused.focus({ preventScroll: true });
  }

  #drawHandles() {
    const { board } = this;
    const tag = board.readonly || board.tool !== "select" ? null : board.selected;
    const spots = tag && tag.shape !== "point" ? this.spotsOf(tag) : [];
    this.handles.replaceChildren(
      ...spots.map(([cx, cy], at) => {
        const chosen = board.corner === at ? " tagger-handle-chosen" : "";
        const side = chosen ? 14 : 11;
        const box = { x: cx - side / 2, y: cy - side / 2, width: side, height: side, rx: 2 };
        return svg("rect", { class: `tagger-handle${chosen}`, ...box });
      }),
    );
  }

  /** The part that is meant, outlined on the photo by the map that lies on it. */
  #drawPart() {
    const { outline } = this.board;
    const paths = (outline?.paths ?? []).flatMap(({ d, flipped }) => {
      const turn = flipped ? ` translate(${outline.width} 0) scale(-1 1)` : "";
      const transform = this.#matrix(outline.toPhoto) + turn;
      const kinds = ["casing", "ink"].map((kind) => `tagger-part-${kind}`);
      return kinds.map((kind) => svg("path", { class: kind, d, transform }));
    });
    this.part.replaceChildren(...paths);
  }

  #matrix([a, b, c, d, e, f]) {
    const { view } = this;
    const [wide, high] = [view.photoWidth * view.scale, view.photoHeight * view.scale];
    const parts = [a * wide, b * high, c * wide, d * high, e * wide + view.x, f * high + view.y];
    return `matrix(${parts.join(" ")})`;
  }

  /** Places that were tapped and are not tags yet. */
  #drawPlaces() {
    const crosses = this.board.places.map((share) => {
      const [x, y] = this.view.toSpot(share);
      const d = `M${x - PLACE} ${y} H${x + PLACE} M${x} ${y - PLACE} V${y + PLACE}`;
      const kinds = ["casing", "ink"].map((kind) => `tagger-place-${kind}`);
      return svg("g", {}, ...kinds.map((kind) => svg("path", { class: kind, d })));
    });
    this.places.replaceChildren(...crosses);
  }

  #drawSketch() {
    const { drawing, cursor } = this.board;
    this.sketch.style.display = drawing ? "" : "none";
    if (!drawing) return;
    const fixed = drawing.points.map((point) => this.view.toSpot(point));
    const loose = [fixed.at(-1), this.view.toSpot(cursor)];
    const [casing, ink, bandCasing, band, marks] = this.sketch.children;
    for (const path of [casing, ink]) path.setAttribute("d", chain(fixed));
    for (const path of [bandCasing, band]) path.setAttribute("d", chain(loose));
    const closes = drawing.shape === "polygon" && fixed.length > 2;
    marks.replaceChildren(
      ...fixed.map(([cx, cy], at) => {
        const first = at === 0 && closes;
        const kind = first ? "tagger-mark tagger-mark-first" : "tagger-mark";
        return svg("circle", { class: kind, cx, cy, r: first ? 9 : 4.5 });
      }),
    );
  }

  #drawCross() {
    const shown = this.board.tool !== "select" && this.board.crossShown;
    const [x, y] = this.view.toSpot(this.board.cursor);
    const arm = (gap, long) =>
      `M${x - long} ${y} H${x - gap} M${x + gap} ${y} H${x + long} ` +
      `M${x} ${y - long} V${y - gap} M${x} ${y + gap} V${y + long}`;
    for (const path of [this.cross, this.crossCasing]) {
      path.setAttribute("d", shown ? arm(4, 22) : "");
    }
  }
}

/** What says "this tag" to the eye, in words for the list and the screen reader. */
export function cornerWords(board) {
  const tag = board.selected;
  if (!tag || board.corner === null) return say("corner.whole");
  return say("corner.one", { number: board.corner + 1, count: tag.points.length });
}

function makeSketch() {
  const names = ["casing", "ink", "band-casing", "band"];
  const paths = names.map((name) => svg("path", { class: `tagger-${name}` }));
  return svg("g", { class: "tagger-sketch" }, ...paths, svg("g"));
}

/** The leader stops at the ring, so that what the point marks stays in sight. */
function onRing([x, y], [bx, by]) {
  const away = Math.hypot(bx - x, by - y) || 1;
  return [x + ((bx - x) / away) * 8, y + ((by - y) / away) * 8];
}

function chain(spots) {
  return spots.map((spot, at) => `${at ? "L" : "M"}${spot[0]} ${spot[1]}`).join(" ");
}

function outlineOf(shape, spots) {
  if (shape === "point") return `M${spots[0][0] - 8} ${spots[0][1]} ${RING}`;
  if (shape === "polygon") return `${chain(spots)} Z`;
  return `${chain(spots)} ${endBar(spots[1], spots[0])} ${endBar(spots.at(-2), spots.at(-1))}`;
}

/** A short bar across the end of a line: where the crack stops is what one wants to see later. */
function endBar([fx, fy], [x, y]) {
  const length = Math.hypot(x - fx, y - fy) || 1;
  const [nx, ny] = [(-(y - fy) / length) * TICK, ((x - fx) / length) * TICK];
  return `M${x - nx} ${y - ny} L${x + nx} ${y + ny}`;
}

function frame(rect, spots) {
  const margin = 18;
  const xs = spots.map((spot) => spot[0]);
  const ys = spots.map((spot) => spot[1]);
  const [left, top] = [Math.min(...xs) - margin, Math.min(...ys) - margin];
  rect.setAttribute("x", left);
  rect.setAttribute("y", top);
  rect.setAttribute("width", Math.max(...xs) + margin - left);
  rect.setAttribute("height", Math.max(...ys) + margin - top);
}
