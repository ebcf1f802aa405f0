/**
 * A field to sign in with a finger, a pen or a mouse: `<fieldset data-sign>`.
 *
 * What is drawn goes as strokes of points between 0 and 1 into the hidden field of the fieldset.
 * Without this module, and by keyboard, the name typed once more signs as well.
 */

import { el, onEach } from "./dom.js";
import { say } from "./words.js";

const INK = "#14181b";
const PROPORTION = 3; // width to height, as the server draws it again
const STEP = 0.004; // closer points add nothing that can be seen
const MOST_STROKES = 80;
const MOST_POINTS = 4000;

class Signature {
  constructor(place) {
    this.field = place.querySelector("input[type=hidden]");
    this.strokes = [];
    this.canvas = el("canvas", { role: "img", "aria-label": say("sign.field") });
    const again = el("button", { type: "button", text: say("sign.again") });
    again.addEventListener("click", () => this.#put([]));
    const row = el("div", { class: "row" }, again);
    this.field.after(el("p", { text: say("sign.hint") }), this.canvas, row);
    this.#listen();
    new ResizeObserver(() => this.#draw()).observe(this.canvas);
    this.#put(this.#kept());
  }

  /** What was drawn before the page came back with a fault, or with the back button. */
  #kept() {
    try {
      const kept = JSON.parse(this.field.value);
      return Array.isArray(kept) ? kept : [];
    } catch {
      return [];
    }
  }

  #listen() {
    this.canvas.addEventListener("pointerdown", (event) => {
      if (!event.isPrimary || event.button !== 0 || this.strokes.length >= MOST_STROKES) return;
      event.preventDefault();
      this.canvas.setPointerCapture(event.pointerId);
      this.strokes.push([this.#point(event)]);
      this.drawing = true;
    });
    this.canvas.addEventListener("pointermove", (event) => {
      if (!this.drawing || !event.isPrimary) return;
      const all = event.getCoalescedEvents?.() ?? [];
      for (const each of all.length ? all : [event]) this.#add(this.#point(each));
      this.#draw();
    });
    for (const name of ["pointerup", "pointercancel"]) {
      this.canvas.addEventListener(name, () => this.#end());
    }
  }

  #point(event) {
    const box = this.canvas.getBoundingClientRect();
    const share = (at, from, size) => Math.min(1, Math.max(0, (at - from) / size));
    const x = share(event.clientX, box.left, box.width);
    const y = share(event.clientY, box.top, box.height);
    return [Number(x.toFixed(4)), Number(y.toFixed(4))];
  }

  #add(point) {
    const stroke = this.strokes.at(-1);
    const [x, y] = stroke.at(-1);
    const far = Math.hypot(point[0] - x, (point[1] - y) / PROPORTION) >= STEP;
    if (far && this.#count() < MOST_POINTS) stroke.push(point);
  }

  #count() {
    return this.strokes.reduce((sum, stroke) => sum + stroke.length, 0);
  }

  #end() {
    if (!this.drawing) return;
    this.drawing = false;
    this.#put(this.strokes);
  }

  #put(strokes) {
    this.strokes = strokes;
    this.field.value = strokes.length ? JSON.stringify(strokes) : "";
    this.#draw();
  }

  #draw() {
    const { width, height } = this.canvas.getBoundingClientRect();
    const scale = window.devicePixelRatio || 1;
    this.canvas.width = width * scale;
    this.canvas.height = height * scale;
    const ink = this.canvas.getContext("2d");
    Object.assign(ink, { strokeStyle: INK, lineCap: "round", lineJoin: "round" });
    ink.lineWidth = (1.6 / 300) * this.canvas.width;
    for (const stroke of this.strokes) {
      ink.beginPath();
      for (const [x, y] of stroke) ink.lineTo(x * this.canvas.width, y * this.canvas.height);
      ink.stroke();
    }
  }
}

onEach("[data-sign]", (place) => new Signature(place));
