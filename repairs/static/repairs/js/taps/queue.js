/** Taps that the server does not have yet, kept on this device in the order of the hands. */

import { freshName } from "../names.js";

const PREFIX = "taps:";

export function newTap(step, state, words) {
  return { tap: freshName(), step, state, words, at: Date.now() };
}

export class Queue {
  constructor(key) {
    this.name = PREFIX + key;
    this.isKept = true;
    this.here = [];
  }

  /** Read anew each time: the same work may be open in two windows. */
  get all() {
    if (!this.isKept) return this.here;
    try {
      return JSON.parse(localStorage.getItem(this.name)) ?? [];
    } catch {
      return this.here;
    }
  }

  get waiting() {
    return this.all.filter((tap) => !tap.refused);
  }

  get refused() {
    return this.all.filter((tap) => tap.refused);
  }

  #keep(taps) {
    this.here = taps;
    try {
      if (taps.length === 0) localStorage.removeItem(this.name);
      else localStorage.setItem(this.name, JSON.stringify(taps));
      this.isKept = true;
    } catch {
      this.isKept = false; // Full or forbidden: they live as long as the page.
    }
  }

  add(tap) {
    this.#keep([...this.all, tap]);
  }

  drop(name) {
    this.#keep(this.all.filter((tap) => tap.tap !== name));
  }

  refuse(name, why) {
    this.#keep(this.all.map((tap) => (tap.tap === name ? { ...tap, refused: why } : tap)));
  }
}
