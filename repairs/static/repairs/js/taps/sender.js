/** Sends the taps of a queue one after the other, and again until the server has them. */

import { getJson, postForm } from "../server.js";

const FIRST_PAUSE = 2000;
const LONGEST_PAUSE = 60_000;

export class Sender {
  constructor(queue, { address, states, csrf, who }) {
    Object.assign(this, { queue, address, states, csrf, who });
    this.pause = FIRST_PAUSE;
    this.hindered = "";
    this.through = false;
    this.onChange = () => {};
  }

  async run() {
    clearTimeout(this.timer);
    if (this.busy) return;
    this.busy = true;
    while (this.queue.waiting.length > 0) {
      const tap = this.queue.waiting[0];
      const answer = await this.#send(tap);
      if (answer.kind === "ok") this.#arrived(tap, answer.data.steps);
      else if (answer.kind === "refused") this.#refused(tap, answer.error);
      else {
        this.#later(answer.error);
        break;
      }
    }
    this.busy = false;
  }

  #arrived(tap, steps) {
    this.queue.drop(tap.tap);
    this.pause = FIRST_PAUSE;
    this.hindered = "";
    this.through = true;
    this.onChange(steps);
  }

  #refused(tap, why) {
    this.queue.refuse(tap.tap, why);
    this.onChange();
  }

  #later(why) {
    this.hindered = why;
    this.timer = setTimeout(() => this.run(), this.pause);
    this.pause = Math.min(LONGEST_PAUSE, this.pause * 2);
    this.onChange();
  }

  async #send(tap) {
    const { step, state, words, at, tap: name } = tap;
    const waited = Math.max(0, Date.now() - at);
    const fields = { tap: name, step, state, words, waited_ms: waited, who: this.who };
    const answer = await postForm(this.address, fields, this.csrf);
    if (answer.status !== 403 || answer.data !== null) return answer;
    // Who signed in anew has another guard against foreign pages than this page knew.
    const fresh = await getJson(this.states);
    if (fresh.kind !== "ok") return fresh;
    this.csrf = fresh.data.csrf;
    return postForm(this.address, fields, this.csrf);
  }
}
