/**
 * Entry sheets of readings: `<form data-reading data-try="URL" data-csrf="TOKEN">`.
 *
 * Without this script the form computes by its own button. With it, the tables `[data-cells]` are
 * walked by Enter and the arrows, take what a spreadsheet copied, and `#tried` shows what comes
 * out of the values as they are typed.
 */

import { onEach } from "./dom.js";
import { checkChanged, checkLeft } from "./readings/marks.js";
import { Pad } from "./readings/pad.js";
import { Paste } from "./readings/paste.js";
import { SignKey } from "./readings/sign.js";
import { Table } from "./readings/table.js";
import { Trial } from "./readings/trial.js";
import { followUnits } from "./readings/units.js";

/** The page after a refused form holds values that are not saved yet. */
const UNSAVED = "[aria-invalid=true], [name=so_it_is]";

/** A sentence that appears between press and release would move the button away from the click. */
const AFTER_CLICK = 300;

/** What is typed anew is no longer taken over. */
function forget(field) {
  if (!("known" in field.dataset)) return;
  delete field.dataset.known;
  field.removeAttribute("title");
  document.querySelector(`[data-known-of="${CSS.escape(field.name)}"]`)?.remove();
}

class Sheet {
  constructor(form) {
    this.form = form;
    this.changed = form.querySelector(UNSAVED) !== null;
    this.sending = false;
    this.tables = [...form.querySelectorAll("table[data-cells]")].map((node) => new Table(node));
    for (const table of this.tables) {
      new Paste(table);
      new SignKey(table.node);
      if (table.rows.length) new Pad(table);
    }
    this.#more(form.querySelector("[data-more]"));
    const place = document.getElementById("tried");
    this.trial = place && form.dataset.try ? new Trial(form, place) : null;
    this.#listen();
    followUnits(form);
  }

  /** The button belongs to the last table of the sheet. */
  #more(button) {
    const table = this.tables.at(-1);
    if (!button || !table) return;
    button.hidden = false;
    button.addEventListener("click", () => table.addAndEnter());
  }

  #listen() {
    const { form } = this;
    form.addEventListener("input", (event) => {
      this.changed = true;
      checkChanged(event.target, event.isTrusted);
      forget(event.target);
      this.trial?.soon();
    });
    form.addEventListener("focusout", ({ target }) => setTimeout(checkLeft, AFTER_CLICK, target));
    form.addEventListener("submit", (event) => this.#submit(event));
    form.addEventListener("formdata", (event) => {
      for (const table of this.tables) table.leaveOutUntouched(event.formData);
    });
    // draft.js tells which values it is about to put back, so that each finds its row.
    form.addEventListener("draft:back", (event) => {
      for (const table of this.tables) table.makeRoomFor(Object.keys(event.detail.values));
    });
    window.addEventListener("pageshow", () => (this.sending = false));
    window.addEventListener("beforeunload", (event) => {
      if (this.changed && !this.sending && form.isConnected) event.preventDefault();
    });
  }

  #submit(event) {
    if (event.defaultPrevented) return;
    if (this.trial && event.submitter?.name === "try") {
      event.preventDefault();
      this.trial.show();
    } else {
      this.sending = true;
    }
  }
}

onEach("form[data-reading]", (form) => new Sheet(form));
