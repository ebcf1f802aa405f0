/** The steps on the page: the one in hand, those to come, those noted, and what may be undone. */

import { setText } from "../dom.js";
import { say } from "../words.js";

const SIGNS = { open: "○", done: "✓", otherwise: "◐", left_out: "✕" };

function fill(list, nodes) {
  const same = nodes.length === list.children.length;
  if (same && nodes.every((node, at) => node === list.children[at])) return;
  list.replaceChildren(...nodes);
}

export class Board {
  constructor(root) {
    const find = (name) => document.querySelector(`[data-${name}]`);
    this.main = document.querySelector("main");
    this.lists = { hand: find("at-hand"), coming: find("coming"), noted: find("noted") };
    this.boxes = { coming: find("coming-box"), noted: find("noted-box"), all: find("all-noted") };
    this.undo = document.querySelector('[data-tap="undo"]');
    this.count = root.querySelector("[data-count]");
    this.filet = find("filet");
    const all = [...document.querySelectorAll("[data-step]")];
    this.steps = all.sort((one, other) => one.dataset.number - other.dataset.number);
    this.spoken = Math.max(0, ...this.steps.map((step) => Number(step.dataset.mine)));
    this.now = this.lists.hand.firstElementChild;
    this.draw();
  }

  get isList() {
    return this.main.classList.contains("as-list");
  }

  #step(key) {
    return this.steps.find((step) => step.dataset.step === key);
  }

  number(key) {
    return this.#step(key)?.dataset.number ?? "";
  }

  #isOpen(step) {
    return step.dataset.state === "open";
  }

  /** The next open step after this one; when there is none, one that was passed over. */
  #after(step) {
    const at = this.steps.indexOf(step);
    return [...this.steps.slice(at + 1), ...this.steps.slice(0, at)].find(this.#isOpen);
  }

  #write(step, { state, sign, said }) {
    step.dataset.state = state;
    for (const node of step.querySelectorAll("[data-sign]")) {
      setText(node, sign ?? SIGNS[state]);
      node.classList.toggle("moss", state === "done");
    }
    for (const node of step.querySelectorAll("[data-said]")) setText(node, said);
  }

  /** One's own tap: the step goes to where it belongs, and the next comes to hand. */
  note(key, told) {
    const step = this.#step(key);
    if (!step) return;
    this.#write(step, told);
    this.spoken += 1;
    step.dataset.mine = told.state === "open" ? 0 : this.spoken;
    this.now = told.state === "open" ? step : this.#after(step);
    this.draw();
  }

  /** What the server knows of steps that no tap of this device is under way for. */
  apply(states) {
    for (const told of states) {
      const step = this.#step(told.key);
      if (!step) continue;
      this.#write(step, told);
      if (!told.mine) step.dataset.mine = 0;
    }
    this.draw();
  }

  take(key) {
    this.main.classList.remove("as-list");
    this.now = this.#step(key);
    this.draw();
  }

  asList(yes) {
    this.main.classList.toggle("as-list", yes);
    this.now ??= this.steps.find(this.#isOpen);
    this.draw();
  }

  /** Told to who does not see: the next step is read out. */
  focus() {
    const place = this.isList ? this.boxes.coming : this.lists.hand.firstElementChild;
    place?.querySelector("h2")?.focus({ preventScroll: false });
  }

  draw() {
    const inHand = this.isList ? null : this.now;
    const others = this.steps.filter((step) => step !== inHand);
    const noted = others.filter((step) => !this.#isOpen(step));
    fill(this.lists.hand, inHand ? [inHand] : []);
    fill(this.lists.coming, others.filter(this.#isOpen));
    fill(this.lists.noted, noted.reverse());
    const left = this.steps.filter(this.#isOpen).length;
    this.boxes.coming.hidden = this.lists.coming.children.length === 0;
    this.boxes.noted.hidden = this.lists.noted.children.length === 0;
    if (this.boxes.all) this.boxes.all.hidden = left > 0;
    this.#drawCount(this.steps.length - left);
    this.#drawUndo();
  }

  #drawCount(done) {
    const all = this.steps.length;
    if (this.count) setText(this.count, `${done} / ${all}`);
    if (!this.filet) return;
    this.filet.setAttribute("aria-label", say("taps.count", { done, all }));
    this.steps.forEach((step, at) => {
      const block = this.filet.children[at];
      block.className = this.#isOpen(step) ? (step === this.now ? "here" : "") : "done";
    });
  }

  #drawUndo() {
    if (!this.undo) return;
    const own = this.steps.filter((step) => Number(step.dataset.mine) > 0 && !this.#isOpen(step));
    const last = own.sort((one, other) => other.dataset.mine - one.dataset.mine)[0];
    this.undo.hidden = !last;
    this.undo.dataset.stepKey = last?.dataset.step ?? "";
    setText(this.undo.querySelector("[data-undo-number]"), last?.dataset.number ?? "");
  }
}
