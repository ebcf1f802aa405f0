/**
 * Sending one file in pieces, free of the page: it only tells `onChange` how it stands.
 *
 * States: queued, sending, waiting (for the network), received (the server has it all and works
 * on it), ready, refused, failed (may be tried again). The server counts the bytes it holds, so
 * that a broken transfer goes on from there, even after the page was closed.
 */

import { judge, parse, postJson } from "../server.js";
import { say } from "../words.js";

const PIECE = 1024 * 1024;
const LEAST_PIECE = 128 * 1024;
const FIRST_WAIT = 1000;
const LONGEST_WAIT = 30000;
const STALLED_AFTER = 30000;
const MOST_FAILURES = 6;
const NO_UUID = "00000000-0000-0000-0000-000000000000"; // stands in data-send for the upload's own
const WAKES = ["online", "upload:now"];

export class Transfer {
  constructor(file, { urls, csrf, labels, onChange }) {
    Object.assign(this, { file, urls, csrf, labels, onChange });
    this.state = "queued";
    this.sent = 0;
    this.kept = 0;
    this.message = "";
    this.thumb = null;
    this.photo = null;
    this.piece = PIECE;
  }

  get finished() {
    return ["received", "ready", "refused", "failed"].includes(this.state);
  }

  to(state, message = "") {
    this.state = state;
    this.message = message;
    this.onChange(this);
  }

  /** Send to the end, or to a refusal. Waits out a lost network for as long as it takes. */
  async run() {
    if (this.file.size === 0) {
      this.to("refused", say("upload.empty"));
      return;
    }
    this.failures = 0;
    this.rewinds = 0;
    this.to("sending");
    let next = () => this.#begin();
    while (next) next = await this.#step(next);
  }

  /** Take one step; the answer is the next step, or null at the end. */
  async #step(step) {
    const answer = await step();
    if (this.finished) return null;
    if (answer.kind === "ok") return this.#advance(answer.data);
    if (answer.status === 409 && Number.isInteger(answer.data?.offset)) {
      return this.#rewind(answer.data.offset);
    }
    if (answer.kind === "offline" || answer.kind === "again") return this.#wait(answer, step);
    // Signed out is no fault of the file: it can be tried again after signing in.
    this.to(answer.kind === "refused" ? "refused" : "failed", answer.error);
    return null;
  }

  #begin() {
    const { file, labels } = this;
    const facts = { name: file.name, size: file.size, modified: file.lastModified, ...labels };
    return postJson(this.urls.begin, facts, this.csrf);
  }

  #advance(data) {
    const before = this.kept;
    this.failures = 0;
    if (data.upload) this.upload = data.upload;
    else this.piece = Math.min(PIECE, this.piece * 2);
    if (Number.isInteger(data.offset)) this.kept = data.offset;
    this.sent = this.kept;
    if (data.done) {
      this.photo = data.photo;
      this.sent = this.file.size;
      if (this.photo === null || this.photo === undefined) this.to("failed", say("server.failed"));
      else this.to("received");
      return null;
    }
    if (!data.upload && this.kept <= before) return this.#rewind(this.kept);
    this.rewinds = 0;
    this.to("sending");
    return () => this.#send();
  }

  /** The server holds another number of bytes than believed: believe the server. */
  #rewind(offset) {
    this.rewinds += 1;
    if (this.rewinds > MOST_FAILURES) {
      this.to("failed", say("server.failed"));
      return null;
    }
    this.kept = offset;
    this.sent = offset;
    this.to("sending");
    return () => this.#send();
  }

  /** Wait longer each time; the network's return ends the wait at once. */
  async #wait(answer, step) {
    this.failures += 1;
    if (answer.kind === "again" && this.failures > MOST_FAILURES) {
      this.to("failed", answer.error);
      return null;
    }
    this.piece = Math.max(LEAST_PIECE, this.piece / 2);
    this.sent = this.kept;
    this.to("waiting", answer.kind === "again" ? answer.error : "");
    const longest = Math.min(LONGEST_WAIT, FIRST_WAIT * 2 ** (this.failures - 1));
    await pause(longest * (0.8 + 0.4 * Math.random()));
    this.to("sending");
    return step;
  }

  async #send() {
    let piece;
    try {
      piece = await this.file.slice(this.kept, this.kept + this.piece).arrayBuffer();
    } catch {
      // A phone may take the file back, and a moved file is gone: no retry can read it.
      this.to("refused", say("upload.unreadable"));
      return { kind: "refused" };
    }
    const url = this.urls.send.replace(NO_UUID, this.upload);
    const join = url.includes("?") ? "&" : "?";
    return putPiece(`${url}${join}offset=${this.kept}`, piece, this.csrf, (loaded) => {
      this.sent = this.kept + loaded;
      this.onChange(this);
    });
  }
}

/** XMLHttpRequest, because fetch does not tell how much of a body has left. */
function putPiece(url, piece, csrf, onProgress) {
  return new Promise((resolve) => {
    const request = new XMLHttpRequest();
    const offline = () => resolve({ kind: "offline", status: 0, data: null, error: "" });
    let stalled;
    const watch = () => {
      clearTimeout(stalled);
      stalled = setTimeout(() => request.abort(), STALLED_AFTER);
    };
    request.open("POST", url);
    request.setRequestHeader("Content-Type", "application/octet-stream");
    request.setRequestHeader("Accept", "application/json");
    request.setRequestHeader("X-CSRFToken", csrf);
    request.upload.addEventListener("progress", (event) => {
      watch();
      onProgress(Math.min(event.loaded, piece.byteLength));
    });
    request.addEventListener("load", () =>
      resolve(judge(request.status, parse(request.responseText))),
    );
    request.addEventListener("error", offline);
    request.addEventListener("abort", offline);
    request.addEventListener("loadend", () => clearTimeout(stalled));
    watch();
    request.send(piece);
  });
}

/** Wait, or less long if the network is back or a person asks for another try. */
export function pause(milliseconds) {
  return new Promise((resolve) => {
    const end = () => {
      clearTimeout(timer);
      for (const name of WAKES) window.removeEventListener(name, end);
      resolve();
    };
    const timer = setTimeout(end, milliseconds);
    for (const name of WAKES) window.addEventListener(name, end);
  });
}
