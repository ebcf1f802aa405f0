/**
 * Mouse, finger and pen on the stage.
 *
 * A gesture is what one press means until it is let go: "tap" (nothing yet; the page may scroll),
 * "pan", "tag" and "corner" (dragging), "vertex" (placing) or "pinch". After a pinch the gesture
 * is "spent" until every finger is lifted, so that the last one sets no vertex by mistake.
 */

import { BADGE_RADIUS, cornerUnder, distance, shifted, tagUnder, withCorner } from "./geometry.js";

const DRAG_FROM = 5;
const REACH = { touch: 20, pen: 12, mouse: 9 };
const TWICE_WITHIN = 450;
const CLICK_WITHIN = 350;

export class Pointer {
  constructor(board, view, overlay, stage, loupe) {
    Object.assign(this, { board, view, overlay, stage, loupe });
    this.down = new Map();
    this.gesture = null;
    this.hand = false;
    this.lastSet = null;
    this.placed = null;
    const listen = (name, deed) => stage.addEventListener(name, deed, { passive: false });
    listen("pointerdown", (event) => this.#press(event));
    listen("pointermove", (event) => this.#move(event));
    listen("pointerup", (event) => this.#lift(event));
    listen("pointercancel", (event) => this.#drop(event));
    listen("pointerleave", () => this.#leave());
    listen("wheel", (event) => this.#wheel(event));
    listen("touchstart", (event) => this.#holdPage(event));
    listen("touchmove", (event) => this.#holdPage(event));
    listen("gesturestart", (event) => event.preventDefault());
    listen("click", () => this.#place());
    listen("auxclick", (event) => event.preventDefault());
    board.addEventListener("change", () => this.#dress());
  }

  /** Stop a drag half way and leave the tag where it was. */
  abandon() {
    const gesture = this.gesture;
    const held = Boolean(gesture?.before && gesture.moved);
    if (held) this.board.unmoved(gesture.tag, gesture.before);
    if (gesture) this.gesture = { kind: "spent" };
    this.loupe.hide();
    return held;
  }

  #spot(event) {
    const box = this.stage.getBoundingClientRect();
    return [
      event.clientX - box.left - this.stage.clientLeft,
      event.clientY - box.top - this.stage.clientTop,
    ];
  }

  #reach(event) {
    return REACH[event.pointerType] ?? REACH.mouse;
  }

  #press(event) {
    if (event.button !== 0 && event.button !== 1) return;
    const spot = this.#spot(event);
    this.down.set(event.pointerId, spot);
    if (this.down.size === 2) {
      this.#startPinch();
      return;
    }
    if (this.down.size > 2 || this.gesture) return;
    event.preventDefault();
    this.board.crossShown = false;
    this.gesture = { ...this.#meaning(event, spot), from: spot, last: spot, moved: false };
    this.gesture.type = event.pointerType;
    this.stage.setPointerCapture(event.pointerId);
    if (this.gesture.kind === "vertex") this.#aim(spot);
    this.#focus(this.gesture.tag);
  }

  #focus(tag) {
    const node = tag ? this.overlay.nodeOf(tag) : null;
    (node ?? this.stage).focus({ preventScroll: true });
  }

  #meaning(event, spot) {
    const { board, view } = this;
    if (event.button === 1 || (this.hand && view.zoomed)) return { kind: "pan" };
    if (board.tool === "look") return this.#looking(event, spot);
    if (board.tool !== "select") return { kind: "vertex" };
    const chosen = board.selected;
    const reach = this.#reach(event);
    if (chosen && !board.readonly && chosen.shape !== "point") {
      const corner = cornerUnder(spot, this.overlay.spotsOf(chosen), reach);
      if (corner !== null) {
        board.corner = corner;
        return { kind: "corner", tag: chosen, corner, before: chosen.points };
      }
    }
    const under = tagUnder(spot, this.overlay.drawn, reach);
    const kind = view.zoomed ? "pan" : "tap";
    if (!under) return { kind, pick: null };
    // A finger on a tag may only want to scroll, a press inside an area only to pan: until a tag
    // is chosen, these choose it when let go in place, and move nothing.
    const { tag, inner } = under;
    const cautious = chosen !== tag && (event.pointerType === "touch" || inner);
    if (board.readonly || cautious) return { kind, pick: tag };
    board.select(tag);
    board.corner = null;
    return { kind: "tag", tag, before: tag.points };
  }

  /** A tap says where something is seen; on the number of a tag it chooses that. */
  #looking(event, spot) {
    const reach = Math.max(BADGE_RADIUS + 2, this.#reach(event));
    const drawn = this.overlay.drawn.find(({ badge }) => distance(spot, badge) <= reach);
    const kind = this.view.zoomed ? "pan" : "tap";
    return drawn ? { kind, pick: drawn.tag } : { kind, looks: true };
  }

  #move(event) {
    const spot = this.#spot(event);
    if (this.down.has(event.pointerId)) this.down.set(event.pointerId, spot);
    const gesture = this.gesture;
    if (!gesture) {
      this.#hover(event, spot);
      return;
    }
    if (gesture.kind === "pinch") {
      this.#pinch();
      return;
    }
    if (!gesture.moved && distance(spot, gesture.from) < DRAG_FROM) return;
    gesture.moved = true;
    this.#drag(gesture, spot);
    gesture.last = spot;
  }

  #drag(gesture, spot) {
    const { board, view } = this;
    if (gesture.kind === "pan") {
      view.panBy(spot[0] - gesture.last[0], spot[1] - gesture.last[1]);
    } else if (gesture.kind === "tag") {
      const step = view.toStep([spot[0] - gesture.from[0], spot[1] - gesture.from[1]]);
      board.reshape(gesture.tag, shifted(gesture.before, step));
    } else if (gesture.kind === "corner") {
      const corner = withCorner(gesture.before, gesture.corner, view.toShare(spot));
      board.reshape(gesture.tag, corner);
      if (gesture.type === "touch") this.loupe.show(spot);
    } else if (gesture.kind === "vertex") {
      this.#aim(spot);
    }
  }

  #aim(spot) {
    this.board.cursor = this.view.toShare(spot);
    if (this.gesture.type === "touch") {
      this.board.crossShown = true;
      this.loupe.show(spot);
    }
    this.board.changed();
  }

  #hover(event, spot) {
    const { board, stage } = this;
    if (event.pointerType === "touch") return;
    if (board.tool !== "select") {
      if (board.crossShown && Math.hypot(event.movementX, event.movementY) < 1) return;
      board.crossShown = false;
      board.cursor = this.view.toShare(spot);
      board.changed();
      return;
    }
    const over = tagUnder(spot, this.overlay.drawn, this.#reach(event));
    stage.classList.toggle("tagger-over", Boolean(over));
  }

  #lift(event) {
    const spot = this.#spot(event);
    this.down.delete(event.pointerId);
    const gesture = this.gesture;
    if (gesture && this.down.size === 0) this.gesture = null;
    this.loupe.hide();
    if (!gesture) return;
    if (gesture.kind === "pinch") {
      if (this.down.size > 0) this.gesture = { kind: "spent" };
      return;
    }
    if (gesture.kind === "vertex") this.#set(gesture, spot, event);
    else if (gesture.before && gesture.moved) this.board.moved(gesture.tag, gesture.before);
    else if (gesture.pick !== undefined && !gesture.moved) this.#pick(gesture.pick);
    else if (gesture.looks && !gesture.moved) this.#placeSoon(this.view.toShare(spot));
    this.board.changed();
  }

  /**
   * The click that ends a tap comes after the finger is lifted: were the page to scroll before it,
   * it would hit whatever came to lie under the finger.
   */
  #placeSoon(share) {
    clearTimeout(this.placing);
    this.placed = share;
    this.placing = setTimeout(() => this.#place(), CLICK_WITHIN);
  }

  #place() {
    clearTimeout(this.placing);
    const share = this.placed;
    this.placed = null;
    if (share) this.board.place(share);
  }

  #pick(tag) {
    this.board.select(tag);
    this.board.corner = null;
    this.#focus(tag);
  }

  /** Let go in a drawing tool: a vertex, the end of the line, or the closing of the area. */
  #set(gesture, spot, event) {
    const { board, view } = this;
    const points = board.drawing?.points ?? [];
    const reach = this.#reach(event);
    board.crossShown = false;
    const near = (point) => distance(view.toSpot(point), spot) <= reach;
    if (board.tool === "polygon" && points.length >= 3 && near(points[0])) {
      board.finishDrawing();
      return;
    }
    const soon = this.lastSet !== null && event.timeStamp - this.lastSet < TWICE_WITHIN;
    if (points.length > 0 && soon && near(points.at(-1))) {
      this.lastSet = null;
      board.finishDrawing();
      return;
    }
    // A pen or mouse pulled from here to there draws a stretch; a finger only takes better aim.
    const pulled = gesture.moved && gesture.type !== "touch" && board.tool !== "point";
    if (pulled && !(points.length && distance(view.toSpot(points.at(-1)), gesture.from) <= reach)) {
      board.addVertex(view.toShare(gesture.from));
    }
    this.lastSet = event.timeStamp;
    board.addVertex(view.toShare(spot));
  }

  #drop(event) {
    this.abandon();
    this.down.delete(event.pointerId);
    if (this.down.size === 0) this.gesture = null;
    this.board.changed();
  }

  #leave() {
    if (!this.gesture && this.board.drawing) this.board.changed();
    this.stage.classList.remove("tagger-over");
  }

  #startPinch() {
    this.abandon();
    const [a, b] = [...this.down.values()];
    this.gesture = { kind: "pinch", apart: distance(a, b), middle: middle(a, b) };
    this.gesture.scale = this.view.scale;
  }

  #pinch() {
    if (this.down.size < 2) return;
    const [a, b] = [...this.down.values()];
    const gesture = this.gesture;
    const now = middle(a, b);
    this.view.panBy(now[0] - gesture.middle[0], now[1] - gesture.middle[1]);
    this.view.zoomTo((gesture.scale * distance(a, b)) / Math.max(gesture.apart, 1), now);
    gesture.middle = now;
  }

  #wheel(event) {
    if (!event.ctrlKey && !event.metaKey) return;
    event.preventDefault();
    const turn = event.deltaMode === 1 ? event.deltaY * 16 : event.deltaY;
    this.view.zoomTo(this.view.scale * Math.exp(-turn / 300), this.#spot(event));
  }

  /** The page may scroll only under a finger that has begun nothing here. */
  #holdPage(event) {
    const busy = this.gesture && this.gesture.kind !== "tap";
    if ((busy || event.touches.length > 1) && event.cancelable) event.preventDefault();
  }

  #dress() {
    const { board, view, stage } = this;
    const rests = board.tool === "select" || board.tool === "look";
    const free = rests && !view.zoomed;
    stage.style.touchAction = free ? "pan-x pan-y" : "none";
    stage.classList.toggle("tagger-draws", board.tool !== "select" && !this.hand);
    stage.classList.toggle("tagger-pans", view.zoomed && (rests || this.hand));
  }
}

function middle(a, b) {
  return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
}
