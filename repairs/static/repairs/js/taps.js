/**
 * Steps noted by one tap each, with wet hands and bad wifi: `<section data-taps="KEY">`.
 *
 * A tap shows at once and is kept on this device until the server has it; taps travel one after
 * the other, in their order, each with a name of its own, so that one sent twice is noted once.
 * Without this script each tap sends the page, which comes back to the next step.
 */

import { el, onEach, setText } from "./dom.js";
import { getJson } from "./server.js";
import { say, sayCount } from "./words.js";
import { Board } from "./taps/board.js";
import { runClock } from "./taps/clock.js";
import { Queue, newTap } from "./taps/queue.js";
import { Sender } from "./taps/sender.js";

const ASK_EVERY = 30_000;
/** A wet thumb touches twice: the second touch must not note the step that came after. */
const BOUNCE = 600;

class Taps {
  constructor(root) {
    const { taps, address, states, csrf } = root.dataset;
    this.root = root;
    this.board = new Board(root);
    this.queue = new Queue(taps);
    this.states = states;
    this.last = 0;
    this.sent = 0;
    this.sender = new Sender(this.queue, { address, states, csrf, who: taps.split("-")[0] });
    this.sender.onChange = (steps) => this.#changed(steps);
    document.addEventListener("submit", (event) => this.#submitted(event));
    document.addEventListener("click", (event) => this.#clicked(event));
    this.#wakeUp();
    for (const tap of this.queue.waiting) this.#show(tap);
    this.#changed();
    this.sender.run();
  }

  /** Whenever the network or the person may be back. */
  #wakeUp() {
    const now = () => document.hidden || this.#lookAgain();
    window.addEventListener("online", now);
    window.addEventListener("pageshow", (event) => event.persisted && now());
    document.addEventListener("visibilitychange", now);
    setInterval(now, ASK_EVERY);
  }

  async #lookAgain() {
    if (this.queue.waiting.length > 0) {
      this.sender.run();
      return;
    }
    const answer = await getJson(this.states);
    if (answer.kind === "ok") this.#changed(answer.data.steps);
  }

  #submitted(event) {
    const part = event.submitter?.closest("[data-tap]");
    if (!part) return;
    event.preventDefault();
    const at = Date.now();
    if (at - this.last < BOUNCE) return;
    const words = part.querySelector("input");
    if (words && !words.reportValidity()) return;
    this.last = at;
    const undo = part.dataset.tap === "undo";
    const step = undo ? part.dataset.stepKey : part.closest("[data-step]").dataset.step;
    const tap = newTap(step, undo ? "open" : part.dataset.tap, words?.value.trim() ?? "");
    this.queue.add(tap);
    this.#show(tap);
    for (const way of document.querySelectorAll("details.tap-other[open]")) way.open = false;
    if (words) {
      words.value = "";
      words.dispatchEvent(new Event("input", { bubbles: true })); // Its draft goes with it.
    }
    this.board.focus();
    this.#changed();
    this.sender.run();
  }

  /** What a tap changes here, before the server knows of it. */
  #show(tap) {
    const told = tap.state === "open" ? "" : say(`taps.said.${tap.state}`);
    const said = [told, tap.words, tap.state === "open" ? "" : say("taps.here")];
    this.board.note(tap.step, { state: tap.state, said: said.filter(Boolean).join(" · ") });
  }

  #clicked(event) {
    const link = event.target.closest?.("[data-take], [data-way]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    if (link.dataset.way) this.board.asList(link.dataset.way === "list");
    else this.board.take(link.closest("[data-step]").dataset.step);
    this.board.focus();
  }

  #changed(steps) {
    const waiting = this.queue.waiting;
    if (steps) {
      this.sent += 1;
      const own = new Set(waiting.map((tap) => tap.step));
      this.board.apply(steps.filter((each) => !own.has(each.key)));
    }
    this.#tell(waiting);
    this.#tellRefused();
  }

  #tell(waiting) {
    const line = this.root.querySelector("[data-kept]");
    line.hidden = waiting.length === 0 && !this.sender.through;
    if (line.hidden) return;
    if (waiting.length === 0) {
      setText(line, say("taps.through"));
      return;
    }
    const kept = this.queue.isKept ? sayCount("taps.kept", waiting.length) : say("taps.unkept");
    setText(line, [kept, this.sender.hindered].filter(Boolean).join(" "));
  }

  /** What the server will not take is told with its reason, until the person lets it go. */
  #tellRefused() {
    const list = this.root.querySelector("[data-refused]");
    const items = this.queue.refused.map((tap) => {
      const number = this.board.number(tap.step);
      const what = [say(`taps.said.${tap.state}`), tap.words].filter(Boolean).join(", ");
      const words = say("taps.refused", { number, what, reason: tap.refused });
      const drop = el("button", { type: "button", text: say("taps.let_go") });
      drop.addEventListener("click", () => {
        this.queue.drop(tap.tap);
        this.#tellRefused();
        this.#lookAgain();
      });
      return el("li", {}, el("span", { text: words }), drop);
    });
    list.replaceChildren(...items);
    list.parentElement.hidden = items.length === 0;
  }
}

onEach("[data-taps]", (root) => new Taps(root));
onEach("[data-clock][data-runs]", runClock);
