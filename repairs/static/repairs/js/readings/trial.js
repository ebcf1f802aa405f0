/** What comes out of the values being typed: asked of the server when the typing pauses. */

import { el } from "../dom.js";
import { judge } from "../server.js";
import { say } from "../words.js";

const PAUSE = 400;
const SLOW = 20000;
const AGAIN = 15000;

async function ask(url, body, csrf, signal) {
  const headers = { "X-CSRFToken": csrf, Accept: "text/html" };
  const how = { method: "POST", credentials: "same-origin", redirect: "manual" };
  try {
    const response = await fetch(url, { ...how, headers, body, signal });
    const text = await response.text();
    return judge(response.status, response.ok ? text : null);
  } catch {
    return { kind: "offline", error: say("trial.offline") };
  }
}

export class Trial {
  constructor(form, place) {
    this.form = form;
    this.place = place;
    this.current = null;
    this.isAway = false;
    window.addEventListener("online", () => this.isAway && this.now());
  }

  /** After a pause: each further key puts it off. */
  soon(pause = PAUSE) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.now(), pause);
  }

  /** Ask now, and bring the answer into sight: the person pressed the button. */
  async show() {
    if (await this.now()) this.place.scrollIntoView({ block: "nearest" });
  }

  /** Ask; an answer that a newer question has overtaken is dropped. True when it was used. */
  async now() {
    clearTimeout(this.timer);
    this.current?.abort();
    const mine = new AbortController();
    this.current = mine;
    this.place.setAttribute("aria-busy", "true");
    const slow = setTimeout(() => mine.abort(), SLOW);
    const { dataset } = this.form;
    const answer = await ask(dataset.try, new FormData(this.form), dataset.csrf, mine.signal);
    clearTimeout(slow);
    if (this.current !== mine || !this.form.isConnected) return false;
    this.current = null;
    this.isAway = answer.kind === "offline";
    if (answer.kind === "ok") this.#steady(() => this.#replace(answer.data));
    else this.#steady(() => this.#excuse(answer.error));
    this.place.removeAttribute("aria-busy");
    if (this.isAway) this.soon(AGAIN); // Weak networks come back without a word.
    return true;
  }

  #replace(text) {
    const template = document.createElement("template");
    template.innerHTML = text;
    for (const script of template.content.querySelectorAll("script")) script.remove();
    this.place.replaceChildren(template.content);
  }

  /** Say quietly why the picture is not of these values; the one before stays. */
  #excuse(reason) {
    const older = this.place.querySelector("svg, table") ? say("trial.older") : "";
    const words = `${reason} ${older}`.trim();
    const note = this.place.querySelector(".tried-note");
    if (note?.textContent === words) return;
    note?.remove();
    this.place.prepend(el("p", { class: "tried-note", text: words }));
  }

  /** Change the place without moving the field being typed into, or losing the focus in here. */
  #steady(change) {
    const held = document.activeElement;
    const isInside = this.place.contains(held);
    const region = this.place.querySelector("[tabindex]");
    const left = region?.scrollLeft ?? 0;
    const top = held.getBoundingClientRect().top;
    change();
    const next = this.place.querySelector("[tabindex]");
    if (next) next.scrollLeft = left;
    if (isInside && !held.isConnected) next?.focus({ preventScroll: true });
    const moved = held.isConnected ? held.getBoundingClientRect().top - top : 0;
    if (moved && this.form.contains(held) && !isInside) window.scrollBy(0, moved);
  }
}
