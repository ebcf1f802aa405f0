/**
 * Ticks that stay on this device: `<form data-ticks="KEY">` with named boxes.
 *
 * What was turned is a matter between the hand and the card; the reading after the work is what
 * counts. Old ticks go after ninety days.
 */

import { onEach } from "./dom.js";

const PREFIX = "ticks:";
const KEPT_FOR = 90 * 24 * 3600 * 1000;

function load(name) {
  try {
    return JSON.parse(localStorage.getItem(name)) ?? {};
  } catch {
    return {};
  }
}

function dropOld() {
  try {
    for (const name of Object.keys(localStorage)) {
      if (name.startsWith(PREFIX) && Date.now() - load(name).at > KEPT_FOR) {
        localStorage.removeItem(name);
      }
    }
  } catch {
    // No storage, nothing old in it.
  }
}

function keepTicks(form) {
  const name = PREFIX + form.dataset.ticks;
  const boxes = [...form.querySelectorAll("input[type=checkbox]")];
  const ticked = new Set(load(name).ticked ?? []);
  for (const box of boxes) box.checked = ticked.has(box.name);
  form.addEventListener("change", () => {
    const now = boxes.filter((box) => box.checked).map((box) => box.name);
    try {
      localStorage.setItem(name, JSON.stringify({ at: Date.now(), ticked: now }));
    } catch {
      // The ticks then live as long as the page.
    }
  });
}

dropOld();
onEach("[data-ticks]", keepTicks);
