/** The tools above the photo, and the lines below it that say what happened. */

import { el, setText } from "../dom.js";
import { say, percent } from "../words.js";
import { cornerWords } from "./overlay.js";
import { icon } from "./signs.js";

const TOOLS = ["look", "select", "point", "line", "polygon"];
const MOVES = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };

export class Panel {
  constructor(board, view, section, stage) {
    Object.assign(this, { board, view, stage });
    this.tools = section.querySelector(".tagger-tools") ?? el("div", { class: "tagger-tools" });
    stage.after(this.tools);
    this.tools.setAttribute("role", "toolbar");
    this.tools.setAttribute("aria-label", say("tools.label"));
    const names = TOOLS.filter((name) => name !== "look" || board.look);
    this.radios = board.readonly ? [] : names.map((name) => this.#radio(name));
    this.tools.append(this.#zoomGroup());
    if (!board.readonly) {
      const place = board.look ? section.querySelector(".tagger-marks") : null;
      (place ?? this.tools).append(this.#drawingTools());
    }
    this.tools.after(this.#saying());
    board.addEventListener("change", () => this.draw());
  }

  /** The tool whose shortcut is `letter`; the letters are words, and translated with them. */
  toolOf(letter) {
    return TOOLS.find((name) => say(`tool.${name}.key`).toLowerCase() === letter) ?? null;
  }

  /** Folded away where a tap says all: lines, areas and moving are for what a tap cannot say. */
  #drawingTools() {
    const { board } = this;
    const summary = el("summary", { text: say("tools.more") });
    const groups = [this.#radioGroup(), this.#drawingGroup()];
    const box = el("details", { class: "tagger-more" }, summary, ...groups);
    box.open = !board.look;
    board.addEventListener("change", () => {
      if (board.tool !== board.home) box.open = true;
    });
    return box;
  }

  // Building -----------------------------------------------------------------------------------

  #radio(name) {
    const key = say(`tool.${name}.key`);
    const attributes = {
      type: "button",
      role: "radio",
      class: "tagger-tool",
      "data-tool": name,
      "aria-keyshortcuts": key,
      onclick: () => this.#choose(name),
    };
    const label = el("span", { text: say(`tool.${name}`) });
    return el("button", attributes, icon(name), label, hint(key));
  }

  #choose(name) {
    this.board.setTool(name);
    this.board.changed();
  }

  #radioGroup() {
    const group = el("div", { role: "radiogroup", class: "tagger-group" }, ...this.radios);
    group.setAttribute("aria-label", say("tools.tool"));
    group.addEventListener("keydown", (event) => {
      const step = MOVES[event.key];
      if (!step) return;
      event.preventDefault();
      const at = this.radios.indexOf(event.target.closest("button"));
      const next = this.radios[(at + step + this.radios.length) % this.radios.length];
      this.board.setTool(next.dataset.tool);
      next.focus();
    });
    return group;
  }

  #button(kind, key, sign, deed, shortcut) {
    const shown = `${say(key)}${shortcut ? ` (${shortcut})` : ""}`;
    const attributes = { type: "button", class: `tagger-${kind}`, title: shown, onclick: deed };
    const text = el("span", { text: say(key) });
    return el("button", attributes, icon(sign), text, ...(shortcut ? [hint(shortcut)] : []));
  }

  #drawingGroup() {
    const { board } = this;
    const again = (deed) => () => {
      deed();
      this.stage.focus({ preventScroll: true });
    };
    const enter = say("key.enter");
    const escape = say("key.escape");
    const finish = again(() => board.finishDrawing());
    this.finish = this.#button("finish", "draw.finish", "finish", finish, enter);
    const back = again(() => board.dropVertex());
    const cancel = again(() => board.cancelDrawing());
    this.drawingGroup = el(
      "div",
      { class: "tagger-group tagger-drawing" },
      this.finish,
      unlabelled(this.#button("small", "draw.back", "back", back)),
      unlabelled(this.#button("small", "draw.cancel", "cancel", cancel, escape)),
    );
    return this.drawingGroup;
  }

  #zoomGroup() {
    const { view } = this;
    const zoom = (...parts) => unlabelled(this.#button("zoom", ...parts));
    this.out = zoom("zoom.out", "minus", () => view.zoomTo(view.scale / 1.5), "−");
    this.into = zoom("zoom.in", "plus", () => view.zoomTo(view.scale * 1.5), "+");
    this.whole = zoom("zoom.whole", "whole", () => view.zoomTo(1), "0");
    this.scale = el("output", { class: "tagger-scale", "aria-label": say("zoom.label") });
    const attributes = { role: "group", class: "tagger-group tagger-zooms" };
    attributes["aria-label"] = say("zoom.label");
    return el("div", attributes, this.out, this.scale, this.into, this.whole);
  }

  #saying() {
    this.hint = el("p", { class: "tagger-hint" });
    this.place = el("p", { class: "tagger-place", "aria-hidden": "true" });
    this.message = el("p", { class: "tagger-message", role: "status" });
    this.undo = el("button", { type: "button", class: "tagger-undo", text: say("undo") });
    this.undo.addEventListener("click", () => {
      this.board.undoLast();
      this.stage.focus({ preventScroll: true });
    });
    this.alert = el("p", { class: "tagger-alert", role: "alert" });
    this.live = el("p", { class: "tagger-unseen", "aria-live": "polite" });
    const told = el("div", { class: "tagger-told" }, this.message, this.undo);
    const lines = el("div", { class: "tagger-lines" }, this.hint, this.place);
    lines.hidden = this.board.tool === "look";
    return el("div", { class: "tagger-saying" }, lines, told, this.alert, this.live);
  }

  // Speaking -----------------------------------------------------------------------------------

  speak(text) {
    setText(this.live, text);
  }

  speakCorner() {
    this.speak(cornerWords(this.board));
  }

  focusUndo() {
    if (!this.undo.hidden) this.undo.focus({ preventScroll: true });
  }

  draw() {
    const { board, view } = this;
    for (const radio of this.radios) {
      const chosen = radio.dataset.tool === board.tool;
      radio.setAttribute("aria-checked", String(chosen));
      radio.tabIndex = chosen ? 0 : -1;
    }
    if (this.drawingGroup) {
      this.drawingGroup.classList.toggle("tagger-idle", !board.drawing);
      this.finish.disabled = !board.canFinish;
    }
    setText(this.scale, percent(view.scale, 0));
    this.out.disabled = !view.zoomed;
    this.whole.disabled = !view.zoomed;
    this.into.disabled = view.scale >= 7.99;
    this.#drawLines();
  }

  #drawLines() {
    const { board } = this;
    const hintKey = board.readonly ? "hint.readonly" : `hint.${board.tool}`;
    this.hint.parentElement.hidden = board.tool === "look";
    setText(this.hint, say(hintKey));
    const [x, y] = board.cursor.map((share) => percent(share));
    const still = board.tool === "select" || board.tool === "look";
    setText(this.place, still ? "" : say("cursor.at", { x, y }));
    setText(this.message, board.message);
    this.undo.hidden = !board.undo;
    const failed = board.tags.filter((tag) => tag.error);
    const last = failed.at(-1);
    const words = () => say("tag.unsent", { tag: board.shortName(last), reason: last.error });
    setText(this.alert, last ? words() : "");
  }
}

/** Keep the words of a button for its title and for screen readers only. */
function unlabelled(button) {
  button.querySelector("span").className = "tagger-unseen";
  button.querySelector("kbd")?.remove();
  return button;
}

function hint(key) {
  return el("kbd", { class: "tagger-key", "aria-hidden": "true", text: key });
}
