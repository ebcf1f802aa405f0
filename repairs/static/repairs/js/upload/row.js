/** One photo in the list of those being sent. */

import { el, setText } from "../dom.js";
import { fileSize, say } from "../words.js";

export class Row {
  constructor(transfer, onRetry) {
    this.transfer = transfer;
    const { file } = transfer;
    const label = say("upload.progress", { name: file.name });
    this.picture = el("span", { class: "upload-picture", "aria-hidden": "true" });
    this.bar = el("progress", { class: "upload-bar", max: file.size || 1, value: 0 });
    this.bar.setAttribute("aria-label", label);
    this.state = el("span", { class: "upload-state" });
    this.retry = el("button", { type: "button", class: "upload-retry", text: say("upload.retry") });
    this.retry.setAttribute("aria-label", say("upload.retry_file", { name: file.name }));
    this.retry.addEventListener("click", () => onRetry(transfer));
    const name = el("span", { class: "upload-name", text: file.name });
    const size = el("span", { class: "upload-size", text: fileSize(file.size) });
    const body = el("span", { class: "upload-body" }, name, size, this.bar, this.state);
    this.node = el("li", { class: "upload-row" }, this.picture, body, this.retry);
    this.draw();
  }

  draw() {
    const { transfer } = this;
    this.node.dataset.state = transfer.state;
    const working = ["queued", "sending", "waiting", "failed"].includes(transfer.state);
    this.bar.hidden = !working;
    this.bar.value = transfer.sent;
    setText(this.state, this.#words());
    this.retry.hidden = !["failed", "waiting"].includes(transfer.state);
    if (transfer.thumb && !this.picture.firstChild) {
      this.picture.append(el("img", { src: transfer.thumb, alt: "", class: "upload-thumb" }));
    }
  }

  #words() {
    const { file, kept, sent, state, message } = this.transfer;
    const figures = { kept: fileSize(kept), sent: fileSize(sent), size: fileSize(file.size) };
    if (state === "waiting" && !message) return say("upload.waiting", figures);
    if (state === "waiting" || state === "failed") {
      return say("upload.failed", { reason: message, ...figures });
    }
    if (state === "refused") return say("upload.refused", { name: file.name, reason: message });
    return say(`upload.${state}`, figures);
  }
}
