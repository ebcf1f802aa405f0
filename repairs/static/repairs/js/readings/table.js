/** The rows of an entry table: walking them by keys, and adding more. */

import { el, setText } from "../dom.js";
import { say } from "../words.js";
import { isAngle, nextAngle } from "./numbers.js";

const FIELDS = "td input:not([type=hidden]), td select, td textarea";
const NUMBERED = ["name", "id", "for", "aria-label", "aria-labelledby"];
const MOST = 400;

/** What stands in a field, as one value to compare and to put back. */
export function valueOf(field) {
  return field.type === "checkbox" ? field.checked : field.value;
}

/** Set a field as if it had been typed. */
export function setValue(field, value) {
  if (field.type === "checkbox") field.checked = value;
  else field.value = value;
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

export function keyOf(field) {
  return field.name.replace(/-\d+$/, "");
}

function empty(field) {
  if (field.type === "checkbox") field.checked = field.defaultChecked = false;
  else if (field.matches("select")) field.selectedIndex = 0;
  else field.value = field.defaultValue = "";
}

/** A copy of the row, emptied, its names and labels carrying the next number. */
function copyOf(row, old, number) {
  const copy = row.cloneNode(true);
  for (const node of copy.querySelectorAll(".problem, .cell-sign")) node.remove();
  const end = new RegExp(`(^|\\D)${old}$`);
  for (const node of copy.querySelectorAll("*")) {
    for (const name of NUMBERED) {
      const value = node.getAttribute(name);
      if (value) node.setAttribute(name, value.replace(end, `$1${number}`));
    }
    if (node.matches("[aria-invalid]")) {
      node.removeAttribute("aria-invalid");
      node.removeAttribute("aria-describedby");
    }
  }
  const head = copy.querySelector("th");
  if (head?.textContent.trim() === String(old)) head.textContent = number;
  copy.querySelectorAll(FIELDS).forEach(empty);
  return copy;
}

export class Table {
  constructor(node) {
    this.node = node;
    this.body = node.tBodies[0];
    this.most = Number(node.dataset.most) || MOST;
    this.grown = new Map(); // Row added here → what stood in it at first.
    this.status = el("p", { role: "status" });
    this.told = el("div", { class: "entry-told" }, this.status);
    (node.closest(".scroll") ?? node).after(this.told);
    for (const field of node.querySelectorAll(FIELDS)) field.enterKeyHint = "next";
    node.addEventListener("keydown", (event) => this.#key(event));
  }

  get rows() {
    return [...this.body.rows];
  }

  fields(row) {
    return row ? [...row.querySelectorAll(FIELDS)] : [];
  }

  /** The row and the column of a field of this table, both from 0. */
  placeOf(field) {
    const row = field.closest("tr");
    return [this.rows.indexOf(row), this.fields(row).indexOf(field)];
  }

  tell(sentence) {
    setText(this.status, sentence);
  }

  // Walking -----------------------------------------------------------------------------------

  #key(event) {
    const field = event.target;
    if (!field.matches(FIELDS) || field.matches("textarea") || event.isComposing) return;
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.key === "Enter") {
      event.preventDefault(); // Enter would send the form.
      const [row, column] = this.placeOf(field);
      const isLast = row === this.rows.length - 1;
      if (isLast && !event.shiftKey && !event.repeat) this.add();
      this.#enter(row + (event.shiftKey ? -1 : 1), column);
    } else if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      if (event.shiftKey || field.matches("select, [list], [type=number]")) return;
      const [row, column] = this.placeOf(field);
      event.preventDefault();
      this.#enter(row + (event.key === "ArrowDown" ? 1 : -1), column);
    }
  }

  #enter(row, column) {
    const field = this.fields(this.rows[row])[column];
    if (!field) return;
    field.focus({ preventScroll: true });
    if (field.matches("input")) field.select();
    field.scrollIntoView({ block: "nearest", inline: "nearest" });
  }

  // Rows --------------------------------------------------------------------------------------

  /** Add a row at the end, if the sheet takes one more. */
  add() {
    const last = this.rows.at(-1);
    const number = this.rows.length + 1;
    if (!last || number > this.most) {
      this.tell(say("rows.full", { count: this.most }));
      return null;
    }
    const angle = this.#nextAngle();
    const row = copyOf(last, number - 1, number);
    const fields = this.fields(row);
    if (angle) fields[0].value = angle;
    this.body.append(row);
    this.grown.set(row, fields.map(valueOf));
    return row;
  }

  #nextAngle() {
    const column = this.rows.map((row) => this.fields(row)[0]);
    return column.every((field) => field && isAngle(keyOf(field)))
      ? nextAngle(column.map((field) => field.value))
      : "";
  }

  /** Add a row and stand in the first of its cells that is empty. */
  addAndEnter() {
    const fields = this.fields(this.add());
    const index = fields.findIndex((field) => field.matches("input") && !field.value);
    if (fields.length) this.#enter(this.rows.length - 1, Math.max(0, index));
  }

  /** Add the rows that fields of those names need. */
  makeRoomFor(names) {
    const keys = new Set(this.fields(this.rows[0]).map(keyOf));
    for (const name of names) {
      const [, key, number] = name.match(/^(.*)-(\d+)$/) ?? [];
      if (!keys.has(key)) continue;
      while (this.rows.length < number) if (!this.add()) return;
    }
  }

  #isUntouched(row) {
    const first = this.grown.get(row);
    return first?.every((value, index) => value === valueOf(this.fields(row)[index])) ?? false;
  }

  /** Take the last rows away again while nothing was typed into them, down to `count`. */
  shrinkTo(count) {
    while (this.rows.length > count && this.#isUntouched(this.rows.at(-1))) {
      this.grown.delete(this.rows.at(-1));
      this.rows.at(-1).remove();
    }
  }

  /**
   * A row that Enter added and nobody filled is no reading: it is not sent.
   *
   * In the midst of filled rows it is sent empty, since the server reads on until a row is missing.
   */
  leaveOutUntouched(data) {
    let atEnd = true;
    for (const row of this.rows.reverse()) {
      if (!this.#isUntouched(row)) {
        atEnd = false;
        continue;
      }
      for (const { name } of this.fields(row)) {
        if (atEnd) data.delete(name);
        else data.set(name, "");
      }
    }
  }
}
