/** A magnifier above the finger, which hides the very place it points at. */

import { el } from "../dom.js";

const SIZE = 104;
const ABOVE = 92;
const GROWTH = 2;

export class Loupe {
  constructor(stage, view) {
    this.view = view;
    this.node = el("div", { class: "tagger-loupe", "aria-hidden": "true" });
    this.node.hidden = true;
    stage.append(this.node);
  }

  show([x, y]) {
    const { view, node } = this;
    const grown = view.scale * GROWTH;
    const high = y - ABOVE - SIZE / 2 >= -40;
    const left = high ? x - SIZE / 2 : x + (x > view.width / 2 ? -ABOVE - SIZE : ABOVE);
    const top = high ? y - ABOVE - SIZE / 2 : Math.max(4, y - SIZE / 2);
    const source = view.photo.src;
    node.hidden = false;
    node.style.left = `${Math.min(Math.max(left, 4), view.width - SIZE - 4)}px`;
    node.style.top = `${Math.max(top, 4)}px`;
    node.style.backgroundImage = `url("${source.replaceAll('"', "%22")}")`;
    node.style.backgroundSize = `${view.photoWidth * grown}px ${view.photoHeight * grown}px`;
    const fromLeft = (x - view.x) * GROWTH - SIZE / 2;
    const fromTop = (y - view.y) * GROWTH - SIZE / 2;
    node.style.backgroundPosition = `${-fromLeft}px ${-fromTop}px`;
  }

  hide() {
    this.node.hidden = true;
  }
}
