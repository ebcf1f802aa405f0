/** What more is said of the finding just kept: each answer is saved as it is given. */

import { setText } from "../dom.js";
import { postJson } from "../server.js";
import { say } from "../words.js";

const SAVE_AFTER = 900;

export class More {
  constructor(box, data, csrf) {
    Object.assign(this, { box, data, csrf, finding: null, unsent: 0 });
    this.saving = Promise.resolve();
    this.number = box.querySelector("[data-more-number]");
    this.told = box.querySelector("[data-more-told]");
    this.edit = box.querySelector("[data-edit]");
    this.value = box.querySelector("[name=extent_value]");
    this.unit = box.querySelector("[name=extent_unit]");
    this.note = box.querySelector("[name=note]");
    box.addEventListener("change", (event) => this.#changed(event.target));
    this.note.addEventListener("input", () => this.#soon());
  }

  /** Turn to another finding; null folds it away. What is still typed goes to the one before. */
  turnTo(finding) {
    this.#now();
    this.finding = finding;
    this.box.hidden = finding === null;
    setText(this.told, "");
    if (finding === null) return;
    setText(this.number, String(finding.number));
    this.edit.href = this.data.urls.edit.replace("/0/", `/${finding.number}/`);
    for (const radio of this.box.querySelectorAll("[type=radio]")) {
      radio.checked = String(finding[radio.name]) === radio.value;
    }
    this.value.value = "";
    this.note.value = "";
    this.#units(finding.term);
  }

  #units(term) {
    const fitting = this.data.units[term] ?? [];
    for (const option of this.unit.options) {
      option.hidden = fitting.length > 0 && !fitting.includes(option.value);
    }
    this.unit.value = fitting[0] ?? "mm";
  }

  #changed(field) {
    if (field === this.note) this.#now();
    else if (field === this.value || field === this.unit) this.#extent();
    else this.#send({ [field.name]: field.value });
  }

  #extent() {
    const typed = this.value.value.trim();
    this.#send({ extent_value: typed, extent_unit: typed ? this.unit.value : "" });
  }

  #soon() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.#now(), SAVE_AFTER);
  }

  #now() {
    clearTimeout(this.timer);
    const typed = this.note.value;
    if (!this.finding || typed === (this.finding.note ?? "")) return;
    this.finding.note = typed;
    this.#send({ note: typed });
  }

  /** One after the other: each change is based on the revision that the last one made. */
  #send(said) {
    const { finding } = this;
    this.unsent += 1;
    this.saving = this.saving.then(async () => {
      const url = this.data.urls.more.replace("/0/", `/${finding.number}/`);
      const body = { seen: finding.revision, ...said };
      const answer = await postJson(url, body, this.csrf);
      this.unsent -= 1;
      if (answer.kind === "ok") finding.revision = answer.data.finding.revision;
      if (this.finding !== finding) return;
      const words = answer.kind === "ok" ? say("look.saved") : answer.error;
      this.told.classList.toggle("problem", answer.kind !== "ok");
      setText(this.told, words);
    });
  }
}
