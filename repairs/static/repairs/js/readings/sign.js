/**
 * A “±” in the cell being typed into, on touch screens: the decimal keypad of some phones has no
 * minus sign, and a dial reads to both sides.
 */

import { el } from "../dom.js";
import { say } from "../words.js";
import { isAngle } from "./numbers.js";
import { keyOf, setValue } from "./table.js";

const isTouch = window.matchMedia("(pointer: coarse)");

function takesSign(field) {
  if (!field.matches("td input[data-kind=number]") || isAngle(keyOf(field))) return false;
  return !(Number(field.dataset.least) >= 0);
}

export class SignKey {
  constructor(table) {
    const label = say("number.sign");
    const look = { type: "button", class: "cell-sign", tabindex: -1, text: "±" };
    this.button = el("button", { ...look, "aria-label": label });
    // The field keeps the focus, and so the keypad stays.
    this.button.addEventListener("pointerdown", (event) => event.preventDefault());
    this.button.addEventListener("mousedown", (event) => event.preventDefault());
    this.button.addEventListener("click", () => this.#turn());
    table.addEventListener("focusin", (event) => this.#show(event.target));
    table.addEventListener("focusout", (event) => {
      if (event.relatedTarget !== this.button) this.button.remove();
    });
  }

  #show(field) {
    if (!isTouch.matches || !takesSign(field)) return;
    this.field = field;
    field.after(this.button);
  }

  #turn() {
    const typed = this.field.value.trim();
    setValue(this.field, /^[-−]/.test(typed) ? typed.slice(1) : `-${typed.replace("+", "")}`);
    this.field.focus({ preventScroll: true });
    this.field.setSelectionRange(this.field.value.length, this.field.value.length);
  }
}
