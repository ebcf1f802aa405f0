/**
 * One row at a time on a phone, with big figure keys: the inputs are those of the table, so that
 * what is sent, drafted and tried is the same. On a desk, and whoever asks for it, has the table.
 */

import { el, setText } from "../dom.js";
import { say } from "../words.js";
import { setValue } from "./table.js";

const isNarrow = window.matchMedia("screen and (max-width: 40rem)");
const SEPARATOR = document.documentElement.lang.startsWith("fr") ? "," : ".";
const KEYS = ["1", "2", "3", "4", "5", "6", "7", "8", "9", SEPARATOR, "0", "±"];
const MOST_FIGURES = 12;
/** More fields than that would push the figure keys out of sight: they come one by one. */
const MOST_IN_SIGHT = 3;

export class Pad {
  constructor(table) {
    this.table = table;
    this.row = 0;
    this.field = null;
    this.isOn = false;
    this.wantsTable = false;
    this.#build();
    isNarrow.addEventListener("change", () => this.#fit());
    window.addEventListener("hashchange", () => this.#toProblem(location.hash.slice(1)));
    table.node.addEventListener("focusin", (event) => this.#follow(event.target));
    // Before the table itself, which would walk down a column that is out of sight.
    table.node.addEventListener("keydown", (event) => this.#key(event), { capture: true });
    new MutationObserver(() => this.#rowsChanged()).observe(table.body, { childList: true });
    this.#fit();
  }

  #build() {
    const key = (name, text, label, act) => {
      const node = el("button", { type: "button", class: `pad-key ${name}` });
      if (label === text) node.textContent = text;
      else {
        node.append(
          el("span", { "aria-hidden": "true" }, text),
          el("span", { class: "visually-hidden" }, label),
        );
      }
      // The field keeps the focus.
      node.addEventListener("pointerdown", (event) => event.preventDefault());
      node.addEventListener("mousedown", (event) => event.preventDefault());
      node.addEventListener("click", act);
      return node;
    };
    this.where = el("p", { class: "pad-where", role: "status" });
    const named = { [SEPARATOR]: say("pad.comma"), "±": say("number.sign") };
    const figures = KEYS.map((one) => key("figure", one, named[one] ?? one, () => this.#type(one)));
    this.keys = el("div", { class: "pad-keys" });
    this.keys.append(
      ...figures,
      key("delete", "⌫", say("pad.delete"), () => this.#delete()),
      key("back", "←", say("pad.back"), () => this.go(-1)),
      key("next", say("pad.next"), say("pad.next"), () => this.go(1)),
    );
    this.pad = el("div", { class: "pad", role: "group", "aria-label": say("pad.label") });
    this.pad.append(this.where, this.keys);
    this.turn = el("button", { type: "button", class: "pad-turn" });
    this.turn.addEventListener("click", () => this.#turn());
    this.table.told.before(this.pad);
    this.pad.append(this.turn);
    this.table.node.classList.add("ready");
  }

  // Which row is in sight -----------------------------------------------------------------------

  #fit() {
    this.#set(isNarrow.matches && !this.wantsTable);
    this.turn.hidden = !isNarrow.matches;
  }

  #turn() {
    this.wantsTable = !this.wantsTable;
    this.#fit();
  }

  #set(isOn) {
    this.isOn = isOn;
    this.table.node.classList.toggle("single", isOn);
    this.where.hidden = this.keys.hidden = !isOn;
    setText(this.turn, say(isOn ? "pad.whole" : "pad.one"));
    for (const input of this.table.node.querySelectorAll("input[data-kind=number]")) {
      input.inputMode = isOn ? "none" : "decimal";
    }
    if (isOn) this.show(this.#firstToFill());
  }

  #walked(row) {
    return this.table
      .fields(row)
      .filter((field) => !(field.closest("td").dataset.index !== undefined && field.value))
      .filter((field) => !this.#isAside(field.closest("td")));
  }

  /** A column that is seldom filled stays away until something is typed in it, in any row. */
  #isAside(cell) {
    if (cell.dataset.seldom === undefined) return false;
    const same = this.table.rows.map((row) => row.cells[cell.cellIndex]);
    return !same.some((one) => one?.querySelector("input, select")?.value);
  }

  #firstToFill() {
    const rows = this.table.rows;
    const wrong = rows.findIndex((row) => row.querySelector("[aria-invalid=true]"));
    if (wrong >= 0) return wrong;
    const empty = rows.findIndex((row) => this.#walked(row).every((field) => !field.value));
    return Math.max(0, empty);
  }

  show(index) {
    const { rows } = this.table;
    this.row = Math.min(Math.max(0, index), rows.length - 1);
    rows.forEach((row, place) => row.classList.toggle("here", place === this.row));
    for (const cell of rows[this.row].cells) {
      cell.classList.toggle("aside", this.#isAside(cell));
    }
    const fields = this.#walked(rows[this.row]);
    this.table.node.classList.toggle("many", fields.length > MOST_IN_SIGHT);
    this.field = fields.find((field) => !field.value) ?? fields[0] ?? null;
    setText(this.where, say("pad.place", { place: this.row + 1, count: rows.length }));
    this.#lit();
  }

  #lit() {
    for (const field of this.table.fields(this.table.rows[this.row])) {
      field.classList.toggle("pad-here", field === this.field);
    }
  }

  #rowsChanged() {
    if (!this.isOn) return;
    for (const input of this.table.node.querySelectorAll("input[data-kind=number]")) {
      input.inputMode = "none";
    }
    this.show(this.table.rows.length - 1);
  }

  #toProblem(id) {
    const field = this.isOn && id ? document.getElementById(id) : null;
    if (!field || !this.table.node.contains(field)) return;
    this.show(this.table.rows.indexOf(field.closest("tr")));
    this.#to(field);
  }

  #follow(field) {
    if (!this.isOn || !this.table.fields(this.table.rows[this.row]).includes(field)) return;
    this.field = field;
    this.#lit();
  }

  // Walking and typing --------------------------------------------------------------------------

  #key(event) {
    if (!this.isOn || event.key !== "Enter" || event.isComposing) return;
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    event.preventDefault();
    event.stopPropagation();
    this.go(event.shiftKey ? -1 : 1);
  }

  /** To the next field, then to the next row; behind the last one to the key that keeps. */
  go(by) {
    const fields = this.#walked(this.table.rows[this.row]);
    const place = fields.indexOf(this.field) + by;
    if (fields[place]) {
      this.#to(fields[place]);
      return;
    }
    const next = this.row + by;
    if (next < 0) return;
    if (next >= this.table.rows.length) {
      this.table.node.closest("form").querySelector(".save-bar button")?.focus();
      return;
    }
    this.show(next);
    const there = this.#walked(this.table.rows[next]);
    this.#to(by > 0 ? there[0] : there.at(-1));
  }

  #to(field) {
    if (!field) return;
    this.field = field;
    this.#lit(); // Where fields come one by one, it is out of sight until then.
    field.focus({ preventScroll: true });
    if (field.matches("input:not([type=checkbox])")) field.select();
  }

  #takes() {
    return this.field?.matches("input:not([type=checkbox])") ? this.field : null;
  }

  #type(figure) {
    const field = this.#takes();
    if (!field) return;
    const isChosen = field.value && field.selectionStart === 0 && this.#isAllChosen(field);
    const typed = isChosen && figure !== "±" ? "" : field.value;
    if (figure === "±") {
      setValue(field, /^[-−]/.test(typed) ? typed.slice(1) : `-${typed.replace("+", "")}`);
    } else if (figure === SEPARATOR && /[.,]/.test(typed)) {
      return;
    } else if (typed.length < MOST_FIGURES) {
      setValue(field, `${typed}${figure}`);
    }
    field.setSelectionRange(field.value.length, field.value.length);
  }

  #isAllChosen(field) {
    return document.activeElement === field && field.selectionEnd === field.value.length;
  }

  #delete() {
    const field = this.#takes();
    if (!field) return;
    const isChosen = field.selectionStart === 0 && this.#isAllChosen(field);
    setValue(field, isChosen ? "" : field.value.slice(0, -1));
  }
}
