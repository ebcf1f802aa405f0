/**
 * Findings on their way to the server, one after the other, in the order in which they were seen.
 *
 * What does not get through stays on this device, also when the page is closed, and goes when the
 * network is back. The server knows a finding that arrived before and keeps it once.
 */

import { postJson } from "../server.js";
import { say } from "../words.js";

const PREFIX = "look:";

export class Outbox extends EventTarget {
  constructor(key, url, csrf) {
    super();
    Object.assign(this, { key: PREFIX + key, url, csrf, busy: false });
    this.items = this.#load();
    window.addEventListener("online", () => this.send());
  }

  /** What this device kept of an earlier visit. */
  #load() {
    try {
      const kept = JSON.parse(localStorage.getItem(this.key)) ?? [];
      return kept.map((item) => ({ ...item, error: say("look.kept_here"), fixed: false }));
    } catch {
      return [];
    }
  }

  /** A full or forbidden storage must not stop anyone: the page then asks before it is left. */
  #store() {
    const kept = this.items.map(({ body, label }) => ({ body, label }));
    try {
      if (kept.length === 0) localStorage.removeItem(this.key);
      else localStorage.setItem(this.key, JSON.stringify(kept));
    } catch {
      // As said above.
    }
    this.dispatchEvent(new Event("change"));
  }

  add(body, label) {
    this.items.push({ body, label, error: null, fixed: false });
    this.#store();
    this.send();
  }

  drop(item) {
    this.items = this.items.filter((each) => each !== item);
    this.#store();
  }

  /** Send all that waits; what the server refused waits for a hand. */
  async send() {
    if (this.busy) return;
    this.busy = true;
    const tried = new Set();
    const next = () => this.items.find((item) => !item.fixed && !tried.has(item));
    for (let item = next(); item; item = next()) {
      tried.add(item);
      item.error = null;
      const answer = await postJson(this.url, item.body, this.csrf);
      if (!this.items.includes(item)) continue;
      if (answer.kind === "ok") {
        this.dispatchEvent(new CustomEvent("kept", { detail: answer.data }));
        this.drop(item);
        continue;
      }
      item.error = answer.error;
      item.fixed = answer.kind === "refused";
      this.#store();
      if (!item.fixed) break;
    }
    this.busy = false;
    this.dispatchEvent(new Event("change"));
  }

  again(item) {
    item.fixed = false;
    this.send();
  }
}
