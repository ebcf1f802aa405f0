/** A cell that is not a number says so at once, by a sign and a sentence beside it. */

import { el } from "../dom.js";
import { say } from "../words.js";
import { isNumber, mayBecomeNumber } from "./numbers.js";

const notes = new WeakMap();

function describe(field, id, isOn) {
  const ids = (field.getAttribute("aria-describedby") ?? "").split(/\s+/).filter(Boolean);
  const next = ids.filter((each) => each !== id).concat(isOn ? [id] : []);
  if (next.length) field.setAttribute("aria-describedby", next.join(" "));
  else field.removeAttribute("aria-describedby");
}

function mark(field) {
  field.setAttribute("aria-invalid", "true");
  if (notes.get(field)?.isConnected) return;
  const id = `not-a-number-${field.name}`;
  const note = el("p", { class: "problem", id, text: say("number.wrong") });
  (field.closest("td, .field") ?? field.parentElement).append(note);
  notes.set(field, note);
  describe(field, id, true);
}

function clear(field) {
  field.removeAttribute("aria-invalid");
  const note = notes.get(field);
  note?.remove();
  if (note) describe(field, note.id, false);
}

function check(field, isNumberSoFar) {
  if (!field.matches("[data-kind=number]")) return;
  if (isNumberSoFar(field.value)) clear(field);
  else mark(field);
}

function serverNote(field) {
  return field.name ? document.getElementById(`problem-${field.name}`) : null;
}

/** The value changed: the server's sentence was about the one before. Typing may be half done. */
export function checkChanged(field, isTyping) {
  const said = serverNote(field);
  if (said) {
    said.remove();
    describe(field, said.id, false);
    field.removeAttribute("aria-invalid");
  }
  check(field, isTyping ? mayBecomeNumber : isNumber);
}

/** The field is left: what was passed as the beginning of a number has to be one now. */
export function checkLeft(field) {
  if (!serverNote(field)) check(field, isNumber);
}
