/** Signs of the three shapes: the same badge on the photo and in the list, told apart by form. */

import { svg } from "../dom.js";

const HEXAGON = "M-14.5 0 L-7.5 -13 L7.5 -13 L14.5 0 L7.5 13 L-7.5 13 Z";
const DISC = "M-13 0 a13 13 0 1 0 26 0 a13 13 0 1 0 -26 0 Z";
const TILE =
  "M-9 -12.5 H9 a3 3 0 0 1 3 3 V9.5 a3 3 0 0 1 -3 3 " +
  "H-9 a3 3 0 0 1 -3 -3 V-9.5 a3 3 0 0 1 3 -3 Z";

const OUTLINES = { point: DISC, line: TILE, polygon: HEXAGON };
const TOOLS = {
  look: "M0 -11 V11 M-11 0 H11",
  select: "M-5 -8 L7 2 L1.5 3 L4.5 9 L2 10 L-1 4 L-5 8 Z",
  point: "M-6 0 a6 6 0 1 0 12 0 a6 6 0 1 0 -12 0 M-1 0 a1 1 0 1 0 2 0 a1 1 0 1 0 -2 0",
  line: "M-9 6 L-2 -3 L3 2 L9 -6 M-11 4 L-7 8 M7 -8 L11 -4",
  polygon: "M-8 -3 L2 -8 L9 1 L3 8 L-7 6 Z",
  finish: "M-8 1 L-3 6 L8 -6",
  cancel: "M-6 -6 L6 6 M6 -6 L-6 6",
  back: "M-8 0 H8 M-8 0 L-2 -6 M-8 0 L-2 6",
  plus: "M-7 0 H7 M0 -7 V7",
  minus: "M-7 0 H7",
  whole: "M-9 -3 V-8 H-4 M4 -8 H9 V-3 M9 3 V8 H4 M-4 8 H-9 V3",
  left: "M4 -7 L-4 0 L4 7",
  right: "M-4 -7 L4 0 L-4 7",
  up: "M-7 4 L0 -4 L7 4",
  down: "M-7 -4 L0 4 L7 -4",
};

/** The filled badge with its number; a draft says "?" and has a dashed edge. */
export function badge(shape) {
  const outline = svg("path", { class: "tagger-badge-form", d: OUTLINES[shape] });
  const text = svg("text", { class: "tagger-badge-text", "text-anchor": "middle", y: 5 });
  return svg("g", { class: "tagger-badge" }, outline, text);
}

export function writeBadge(node, tag) {
  const text = tag.number === null ? "?" : String(tag.number);
  const label = node.querySelector("text");
  if (label.textContent !== text) label.textContent = text;
  node.classList.toggle("tagger-badge-draft", tag.number === null);
  node.classList.toggle("tagger-badge-long", text.length > 2);
}

/** A badge on its own, for the list. */
export function badgeIcon(shape) {
  const box = { viewBox: "-16 -16 32 32", "aria-hidden": "true" };
  return svg("svg", { class: "tagger-icon-badge", ...box }, badge(shape));
}

/** The picture on a button. */
export function icon(name) {
  const attributes = { class: "tagger-icon", viewBox: "-12 -12 24 24", "aria-hidden": "true" };
  return svg("svg", attributes, svg("path", { d: TOOLS[name] }));
}
