/** The whole of the tagger by keyboard. Keys act only while the focus is inside the tagger. */

import { say, percent } from "../words.js";
import { LEAST_POINTS, clamp, distance, rounded, shifted, withCorner } from "./geometry.js";

const STEP = 3;
const BIG_STEP = 30;
const SAME_PLACE = 1.5;
const SEND_AFTER = 700;
const SPEAK_AFTER = 400;
const ARROWS = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

export class Keys {
  constructor(board, view, overlay, panel, pointer, section) {
    Object.assign(this, { board, view, overlay, panel, pointer });
    this.stage = overlay.root.parentElement;
    this.nudge = null;
    section.addEventListener("keydown", (event) => this.#press(event));
    section.addEventListener("keyup", (event) => this.#release(event));
    section.addEventListener("focusout", () => this.settle());
    this.stage.addEventListener("focusin", (event) => this.#focused(event));
    // Screen readers press a button by a click without any pointer.
    this.stage.addEventListener("click", (event) => this.#chosen(event.target));
  }

  #chosen(node) {
    const tag = this.overlay.tagOf(node);
    if (tag) this.board.select(tag);
  }

  #focused(event) {
    this.#chosen(event.target);
    const byKey = event.target === this.stage && this.stage.matches(":focus-visible");
    if (byKey && this.board.tool !== "select" && !this.pointer.gesture) this.#showCross();
  }

  #press(event) {
    if (event.defaultPrevented || event.target.matches("select, input, textarea")) return;
    const letter = event.key.toLowerCase();
    if ((event.ctrlKey || event.metaKey) && letter === "z" && !event.shiftKey) {
      if (this.board.undo) event.preventDefault();
      this.board.undoLast();
      return;
    }
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (this.#general(event, letter) || this.#onStage(event) || this.#onTag(event)) {
      event.preventDefault();
    }
  }

  #release(event) {
    if (event.key !== " " || !this.pointer.hand) return;
    this.pointer.hand = false;
    this.board.changed();
  }

  #general(event, letter) {
    const { board, view } = this;
    if (letter === "+" || letter === "=") view.zoomTo(view.scale * 1.5);
    else if (letter === "-") view.zoomTo(view.scale / 1.5);
    else if (letter === "0") view.zoomTo(1);
    else if (letter === "escape") return this.#escape();
    else {
      const tool = this.panel.toolOf(letter);
      if (!tool || board.readonly) return false;
      board.setTool(tool);
      if (event.target !== this.stage && tool !== "select") this.stage.focus();
      if (tool !== "select") this.#showCross();
    }
    return true;
  }

  #escape() {
    const { board } = this;
    if (this.pointer.abandon() || board.cancelDrawing()) return true;
    if (this.#takeBackNudge()) return true;
    if (board.corner !== null) board.corner = null;
    else if (board.tool !== board.home) board.setTool(board.home);
    else if (board.selected) board.select(null);
    else return false;
    board.changed();
    return true;
  }

  // The crosshair ------------------------------------------------------------------------------

  #onStage(event) {
    if (event.target !== this.stage) return false;
    const { board, view } = this;
    const arrow = ARROWS[event.key];
    if (event.key === " " && view.zoomed) {
      this.pointer.hand = true;
      board.changed();
      return true;
    }
    if (board.tool === "select") {
      if (!arrow || !view.zoomed) return false;
      view.panBy(-arrow[0] * BIG_STEP, -arrow[1] * BIG_STEP);
      return true;
    }
    if (arrow) this.#moveCross(arrow, event.shiftKey ? BIG_STEP : STEP);
    else if (event.key === "Enter") this.#enter();
    else if (event.key === "Backspace") board.dropVertex();
    else return false;
    return true;
  }

  #showCross() {
    const { board, view } = this;
    const [x, y] = view.toSpot(board.cursor);
    const seen = x >= 0 && y >= 0 && x <= view.width && y <= view.height;
    if (!seen) board.cursor = view.toShare([view.width / 2, view.height / 2]);
    board.crossShown = true;
    board.changed();
    this.#speakPlace();
  }

  #moveCross([dx, dy], step) {
    const { board, view } = this;
    const [byX, byY] = view.toStep([dx * step, dy * step]);
    board.cursor = [clamp(board.cursor[0] + byX, 0, 1), clamp(board.cursor[1] + byY, 0, 1)];
    board.crossShown = true;
    view.reveal(board.cursor);
    board.changed();
    this.#speakPlace();
  }

  /** A held arrow key would flood a screen reader: the place is spoken when the key rests. */
  #speakPlace() {
    clearTimeout(this.speaking);
    this.speaking = setTimeout(() => {
      const [x, y] = this.board.cursor.map((share) => percent(share));
      this.panel.speak(say("cursor.at", { x, y }));
    }, SPEAK_AFTER);
  }

  /** Enter sets a vertex; once more in the same place, or on the first one, ends the shape. */
  #enter() {
    const { board, view } = this;
    const points = board.drawing?.points ?? [];
    const here = view.toSpot(board.cursor);
    const at = (point) => distance(view.toSpot(point), here);
    const closes = board.tool === "polygon" && points.length >= LEAST_POINTS.polygon;
    const again = points.length > 0 && at(points.at(-1)) <= SAME_PLACE;
    clearTimeout(this.speaking);
    if (again || (closes && at(points[0]) <= 2 * STEP)) board.finishDrawing();
    else board.addVertex(board.cursor);
  }

  // A tag --------------------------------------------------------------------------------------

  #onTag(event) {
    const tag = this.overlay.tagOf(event.target);
    if (!tag) return false;
    if (event.key === "Enter" || event.key === " ") {
      this.nextCorner();
      return true;
    }
    if (this.board.readonly) return false;
    if (event.key === "Delete" || event.key === "Backspace") {
      this.remove(tag);
      return true;
    }
    const arrow = ARROWS[event.key];
    if (!arrow) return false;
    this.push(tag, arrow, event.shiftKey ? BIG_STEP : STEP);
    return true;
  }

  /** Choose the whole tag, then each of its vertices in turn, for the arrow keys to move. */
  nextCorner() {
    const { board } = this;
    const tag = board.selected;
    if (!tag || board.readonly || tag.shape === "point") return;
    const next = board.corner === null ? 0 : board.corner + 1;
    board.corner = next < tag.points.length ? next : null;
    this.panel.speakCorner();
    board.changed();
  }

  /** Move by one step; a run of steps is sent, and can be undone, as one move. */
  push(tag, [dx, dy], step) {
    const { board, view } = this;
    if (this.nudge?.tag !== tag) this.settle();
    this.nudge ??= { tag, before: tag.points };
    const by = view.toStep([dx * step, dy * step]);
    if (board.corner === null) board.reshape(tag, shifted(tag.points, by));
    else {
      const [x, y] = tag.points[board.corner];
      board.reshape(tag, withCorner(tag.points, board.corner, [x + by[0], y + by[1]]));
    }
    view.reveal(tag.points[board.corner ?? 0]);
    clearTimeout(this.nudge.timer);
    this.nudge.timer = setTimeout(() => this.settle(), SEND_AFTER);
  }

  settle() {
    const nudge = this.nudge;
    if (!nudge) return;
    this.nudge = null;
    clearTimeout(nudge.timer);
    const [before, after] = [nudge.before, nudge.tag.points].map(rounded);
    const same = JSON.stringify(before) === JSON.stringify(after);
    if (same) this.board.unmoved(nudge.tag, nudge.before);
    else this.board.moved(nudge.tag, nudge.before);
  }

  #takeBackNudge() {
    const nudge = this.nudge;
    if (!nudge) return false;
    this.nudge = null;
    clearTimeout(nudge.timer);
    this.board.unmoved(nudge.tag, nudge.before);
    return true;
  }

  /** Withdraw, and leave the focus on the next tag rather than nowhere. */
  async remove(tag) {
    this.settle();
    const { board } = this;
    const at = board.tags.indexOf(tag);
    const focused = this.overlay.nodeOf(tag)?.contains(document.activeElement);
    await board.withdraw(tag);
    if (!tag.gone) return;
    if (focused) {
      const next = board.tags[at] ?? board.tags[at - 1];
      (next ? this.overlay.nodeOf(next) : this.stage).focus({ preventScroll: true });
    } else {
      this.panel.focusUndo();
    }
  }
}
