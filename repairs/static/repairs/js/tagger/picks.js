/** Picks: one tap, one answer; the last of them opens the whole list. */

import { el } from "../dom.js";
import { say } from "../words.js";

const OTHER = "";

export class Picks {
  /** `box` holds the picks, `list` is the field with the select of all answers. */
  constructor(box, list, onChoose) {
    Object.assign(this, { box, list, onChoose });
    this.select = list.querySelector("select");
    this.name = `pick-${this.select.name}`;
    this.select.addEventListener("change", () => this.#fromList());
    this.show([]);
  }

  /** Offer these answers, one of them chosen; all others stay in the list. */
  show(values, chosen = null) {
    this.values = values.map(String);
    const offered = [...this.values, OTHER].map((value) => this.#pick(value, chosen));
    this.box.replaceChildren(...offered);
    this.select.value = chosen ?? "";
    this.list.classList.remove("open");
  }

  #pick(value, chosen) {
    const other = this.values.length > 0 ? "look.other" : "look.list";
    const text = value === OTHER ? say(other) : this.#words(value);
    const radio = { type: "radio", name: this.name, value, onchange: () => this.#tapped(value) };
    const input = el("input", radio);
    input.checked = value !== OTHER && value === String(chosen);
    return el("label", {}, input, el("span", { text }));
  }

  #words(value) {
    const option = [...this.select.options].find((each) => each.value === value);
    return option ? option.text.trim() : value;
  }

  #tapped(value) {
    this.list.classList.toggle("open", value === OTHER);
    if (value === OTHER) {
      this.select.focus();
      return;
    }
    this.select.value = value;
    this.onChoose(value);
  }

  /** What was chosen in the list stands first among the picks from then on. */
  #fromList() {
    const value = this.select.value;
    if (!value) return;
    const others = this.values.filter((each) => each !== value);
    // By keyboard the arrows go through the list, and each stop is a change: it stays open.
    const inHand = document.activeElement === this.select;
    this.show(this.values.includes(value) ? this.values : [value, ...others.slice(0, 4)], value);
    this.list.classList.toggle("open", inHand);
    this.onChoose(value);
  }
}
