/**
 * Many photos at once: `<form data-upload>`. Without this script the form posts as any other.
 *
 * Two files travel at a time. `photos:changed` is dispatched on the document when photos became
 * ready, with their ids in `detail.photos`, so that a gallery can refresh itself.
 */

import { el, onEach, setText } from "./dom.js";
import { getJson } from "./server.js";
import { say, sayCount } from "./words.js";
import { Row } from "./upload/row.js";
import { Transfer, pause } from "./upload/transfer.js";

const AT_ONCE = 2;
const ASK_EVERY = 1500;
const ASK_SLOWEST = 15000;

class Uploads {
  constructor(form) {
    this.form = form;
    this.list = form.querySelector("[data-upload-list]");
    this.input = form.querySelector('input[type="file"]');
    this.rows = new Map();
    this.sending = 0;
    this.asking = false;
    this.summary = el("p", { class: "upload-summary", role: "status" });
    this.list.after(this.summary);
    this.list.classList.add("upload-list");
    this.#listen();
  }

  get transfers() {
    return [...this.rows.keys()];
  }

  get unfinished() {
    return this.transfers.some((transfer) => !transfer.finished);
  }

  #listen() {
    const { form, input } = this;
    for (const button of form.querySelectorAll('[type="submit"], button:not([type])')) {
      // Choosing is enough: nothing is left to send by hand. What is told of it takes the place of
      // the button, so that nothing below jumps.
      button.before(this.summary);
      button.hidden = true;
    }
    input.required = false;
    input.addEventListener("change", () => {
      this.add([...input.files]);
      input.value = "";
    });
    form.addEventListener("submit", (event) => event.preventDefault());
    const over = (on) => (event) => {
      if (!event.dataTransfer?.types.includes("Files")) return;
      event.preventDefault();
      form.classList.toggle("upload-over", on);
    };
    form.addEventListener("dragover", over(true));
    form.addEventListener("dragleave", over(false));
    form.addEventListener("drop", (event) => {
      over(false)(event);
      this.add([...(event.dataTransfer?.files ?? [])]);
    });
  }

  add(files) {
    const { dataset, elements } = this.form;
    const urls = { begin: dataset.begin, send: dataset.send };
    const chosen = (name) => elements[name]?.value ?? "";
    const labels = { phase: chosen("phase"), view: chosen("view"), carries: chosen("carries") };
    const twice = [];
    for (const file of files) {
      if (this.#holds(file)) {
        twice.push(file.name);
        continue;
      }
      const onChange = (transfer) => this.#changed(transfer);
      const transfer = new Transfer(file, { urls, csrf: dataset.csrf, labels, onChange });
      const row = new Row(transfer, (again) => this.#retry(again));
      this.rows.set(transfer, row);
      this.list.append(row.node);
    }
    this.note = twice.length ? say("upload.twice", { names: twice.join(", ") }) : "";
    this.#summarise();
    this.#fill();
  }

  /** The same file chosen twice would send two streams into one upload. */
  #holds(file) {
    return this.transfers.some(({ file: other, state }) => {
      const same = other.name === file.name && other.size === file.size;
      return same && other.lastModified === file.lastModified && state !== "refused";
    });
  }

  #fill() {
    for (const transfer of this.transfers) {
      if (this.sending >= AT_ONCE) return;
      if (transfer.state === "queued") this.#run(transfer);
    }
  }

  async #run(transfer) {
    this.sending += 1;
    await transfer.run();
    this.sending -= 1;
    this.#fill();
    if (transfer.state === "received") this.#ask();
  }

  #retry(transfer) {
    if (transfer.state === "failed") transfer.to("queued");
    else window.dispatchEvent(new Event("upload:now")); // Ends the pause of those who wait.
    this.#fill();
  }

  #changed(transfer) {
    this.rows.get(transfer).draw();
    this.#summarise();
  }

  /** Ask how the received photos stand until none waits any more. */
  async #ask() {
    if (this.asking) return;
    this.asking = true;
    let every = ASK_EVERY;
    while (this.form.isConnected) {
      const open = this.transfers.filter((transfer) => transfer.state === "received");
      if (open.length === 0) break;
      await pause(every);
      const answer = await getJson(this.#statesUrl(open));
      every = answer.kind === "ok" ? ASK_EVERY : Math.min(ASK_SLOWEST, every * 2);
      if (answer.kind === "ok") this.#settle(open, answer.data.photos ?? []);
      if (answer.kind !== "signed-out") continue;
      for (const transfer of open) transfer.to("failed", answer.error);
    }
    this.asking = false;
  }

  #statesUrl(open) {
    const { states } = this.form.dataset;
    const ids = open.map((transfer) => encodeURIComponent(transfer.photo)).join(",");
    return `${states}${states.includes("?") ? "&" : "?"}ids=${ids}`;
  }

  #settle(open, photos) {
    const ready = [];
    for (const transfer of open) {
      const photo = photos.find((each) => each.id === transfer.photo);
      if (!photo || photo.state === "waiting") continue;
      if (photo.state === "ready") {
        transfer.thumb = photo.thumb || null;
        ready.push(photo.id);
      }
      transfer.to(photo.state, photo.message ?? "");
    }
    if (ready.length === 0) return;
    document.dispatchEvent(new CustomEvent("photos:changed", { detail: { photos: ready } }));
  }

  #summarise() {
    const all = this.transfers;
    const count = (state) => all.filter((transfer) => transfer.state === state).length;
    const parts = [];
    if (all.length) parts.push(sayCount("upload.summary", all.length, { ready: count("ready") }));
    const refused = count("refused");
    if (refused) parts.push(sayCount("upload.summary_refused", refused));
    const failed = count("failed");
    if (failed) parts.push(sayCount("upload.summary_failed", failed));
    const line = parts.join(", ");
    setText(this.summary, this.note ? `${line}. ${this.note}` : line);
  }
}

const FRESHENED = ["[data-naming]", "[data-gallery]"];

/** What the page shows of the photos, as the server has it now. */
async function refreshGallery() {
  const shown = FRESHENED.filter((name) => document.querySelector(name));
  if (shown.length === 0) return;
  try {
    const answer = await fetch(window.location.href, { credentials: "same-origin" });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    for (const name of shown) {
      const fresh = page.querySelector(name);
      if (fresh) document.querySelector(name).replaceWith(fresh);
    }
  } catch {
    // The list above says what became of each; the next visit shows the gallery.
  }
}

const all = new Set();

document.addEventListener("photos:changed", refreshGallery);
onEach("form[data-upload]", (form) => all.add(new Uploads(form)));

window.addEventListener("beforeunload", (event) => {
  const busy = [...all].some((each) => each.form.isConnected && each.unfinished);
  if (busy) event.preventDefault();
});
