/**
 * The map of parts beside the photo: tapped for a part, exchanged for another, laid over the photo.
 *
 * On a phone it is open only while it is asked; on a desk it stays.
 */

import { setText } from "../dom.js";
import { getJson, postJson } from "../server.js";
import { say } from "../words.js";
import { Laying } from "./laying.js";
import { PartMap, through } from "./partmap.js";

const GUESS_MM = 12; // of two places of a leaning photo, one in twenty is farther off than this
const DESK = window.matchMedia("(min-width: 60rem)");

export class Drawing extends EventTarget {
  constructor(box, data, csrf) {
    super();
    Object.assign(this, { box, data, csrf, laid: data.laid, laying: null });
    this.name = data.map;
    this.holder = box.querySelector("[data-map]");
    this.told = box.querySelector("[data-told]");
    this.#listen();
    this.#take();
    if (!this.laid) this.ask();
  }

  #listen() {
    const on = (name, deed) => {
      this[name] = this.box.querySelector(`[data-${name}]`);
      this[name]?.addEventListener("click", deed);
    };
    on("whole", () => this.#draw(() => this.map.unzoom()));
    on("lay", () => this.#startLaying());
    on("skip", () => this.#draw(() => this.laying.skip()));
    on("stop", () => this.#endLaying());
    on("lift", () => this.#send({ taps: {} }));
    this.holder.addEventListener("click", (event) => this.#tapped(event));
    this.choice = this.box.querySelector("[data-maps]");
    this.choice?.addEventListener("change", () => this.#exchange(this.choice.value));
  }

  #take() {
    this.map = new PartMap(this.holder.querySelector("svg"));
    this.#show();
  }

  async #exchange(name) {
    const answer = await getJson(this.data.urls.map.replace("/name/", `/${name}/`));
    if (answer.kind !== "ok") {
      setText(this.told, answer.error);
      this.choice.value = this.map.name;
      return;
    }
    this.#endLaying();
    const page = new DOMParser().parseFromString(answer.data.svg, "text/html");
    this.holder.replaceChildren(document.adoptNode(page.querySelector("svg")));
    this.#take();
  }

  /** Whether the photo's own places can be asked: the map that lies on it is the one shown. */
  get knowsPhoto() {
    return this.laid !== null && this.map.name === this.name;
  }

  ask() {
    this.box.open = true;
  }

  fold() {
    if (!DESK.matches) this.box.open = false;
    this.map.unzoom();
    this.#show();
  }

  #draw(deed) {
    deed();
    this.#show();
  }

  #show() {
    const laying = this.laying !== null;
    this.whole.hidden = !this.map.zoomed || laying;
    this.lay.hidden = laying || this.laid !== null || this.map.anchors.length < 4;
    this.lift.hidden = laying || !this.knowsPhoto;
    this.skip.hidden = !this.laying?.canSkip;
    this.stop.hidden = !laying;
    if (laying) setText(this.told, say("look.lay", { number: this.laying.count + 1 }));
  }

  // The map is tapped --------------------------------------------------------------------------

  #tapped(event) {
    if (this.laying) return;
    const place = this.map.placeOf(event);
    const keys = this.map.partsAt(place);
    const node = this.map.topmost(place);
    const larger = this.map.zoomAt(place);
    this.#show();
    if (keys.length === 0) return;
    setText(this.told, larger ? say("look.larger") : "");
    const n = node && !larger ? node.n : null;
    this.dispatchEvent(new CustomEvent("part", { detail: { keys, n, sure: !larger } }));
  }

  mark(key, n) {
    this.map.mark(key, n);
  }

  // The photo is tapped ------------------------------------------------------------------------

  /** Keys of the parts that may lie at a place of the photo, which is `wide` pixels wide now. */
  partsOn(share, wide) {
    if (!this.knowsPhoto) return [];
    const [a, b] = this.laid.to_photo;
    const unit = Math.hypot(a, b) * wide;
    const reach = Math.max(12 / unit, GUESS_MM / this.map.mm);
    return this.map.partsAt(through(this.laid.to_map, share), reach);
  }

  /** Outline of the part on the photo, and the way from the map to shares of the photo. */
  outlineOf(key, share) {
    if (!this.knowsPhoto || !key || !share) return null;
    const paths = this.map.outlineOf(key, through(this.laid.to_map, share));
    return { paths, width: this.map.width, toPhoto: this.laid.to_photo };
  }

  // Laying -------------------------------------------------------------------------------------

  #startLaying() {
    this.laying = new Laying(this.map);
    this.#show();
    this.dispatchEvent(new Event("laying"));
  }

  #endLaying() {
    this.laying?.end();
    this.laying = null;
    setText(this.told, "");
    this.#show();
    this.dispatchEvent(new Event("laying"));
  }

  /** Take a tap on the photo for the place that is asked; false when none is. */
  tapPhoto(share) {
    if (!this.laying) return false;
    this.laying.tap(share);
    if (this.laying.done) this.#send({ map: this.map.name, taps: this.laying.taps });
    this.#show();
    return true;
  }

  async #send(body) {
    this.#endLaying();
    const answer = await postJson(this.data.urls.lay, body, this.csrf);
    if (answer.kind === "ok") {
      this.laid = answer.data.laid;
      this.name = this.map.name;
      setText(this.told, say(this.laid ? "look.laid" : "look.lifted"));
      if (this.laid) this.fold();
      else this.ask();
      this.dispatchEvent(new Event("laid"));
    } else setText(this.told, answer.error);
    this.#show();
  }
}
