/**
 * A finding born where the photo is tapped: place, part, damage, and the severity keeps it.
 *
 * The part is proposed by the map: for the place on the photo where the map lies on it, for a tap
 * on the map otherwise. What more is to be said is added to the finding that was kept.
 */

import { el, setText } from "../dom.js";
import { freshName } from "../names.js";
import { postJson } from "../server.js";
import { say, sayCount } from "../words.js";
import { Drawing } from "./drawing.js";
import { rounded } from "./geometry.js";
import { More } from "./more.js";
import { Outbox } from "./outbox.js";
import { Picks } from "./picks.js";

const MOST_PARTS = 5;
const DESK = window.matchMedia("(min-width: 60rem)");

export class Look {
  constructor(board, view, overlay, section) {
    const data = board.look;
    Object.assign(this, { board, view, overlay, data, kept: [], count: data.kept });
    this.form = section.querySelector("[data-look]");
    this.parts = new Map(data.parts.map((part) => [String(part.id), part]));
    this.ids = new Map(data.parts.map((part) => [part.key, String(part.id)]));
    this.near = data.near.map(String);
    const find = (name) => section.querySelector(`[data-${name}]`);
    this.partPicks = new Picks(find("parts"), find("part-list"), (id) => this.#choosePart(id));
    this.termPicks = new Picks(find("terms"), find("term-list"), (key) => this.#chooseTerm(key));
    const box = find("drawing");
    this.drawing = box && new Drawing(box, data, board.csrf);
    this.more = new More(find("more"), data, board.csrf);
    this.outbox = new Outbox(data.key, data.urls.note, board.csrf);
    this.photo = section.querySelector(".look-photo");
    this.later = [...this.form.querySelectorAll("[data-later]")];
    Object.assign(this, { disc: find("number"), hint: find("hint"), lines: find("unsent") });
    Object.assign(this, { told: find("kept"), undo: find("undo"), next: data.next });
    this.#listen();
    this.#begin(null);
    this.outbox.send();
  }

  #listen() {
    const { board, drawing, outbox } = this;
    board.addEventListener("place", ({ detail }) => this.#placed(detail));
    board.addEventListener("change", () => this.#follow());
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.#keep(event.submitter.value);
    });
    this.undo.addEventListener("click", () => this.#takeBack());
    outbox.addEventListener("kept", ({ detail }) => this.#keptBy(detail));
    outbox.addEventListener("change", () => this.#tell());
    drawing?.addEventListener("part", ({ detail }) => this.#mapTapped(detail));
    drawing?.addEventListener("laying", () => this.#laying());
    drawing?.addEventListener("laid", () => this.place && this.#propose());
  }

  get unsent() {
    return this.outbox.items.length > 0 || this.more.unsent > 0;
  }

  // One finding, step by step ------------------------------------------------------------------

  /** Begin anew, with nothing or with a draft that was drawn. */
  #begin(place) {
    this.place = place;
    this.location = "";
    this.#offer([], null);
    if (place) this.#propose();
    else this.partPicks.show(this.near);
    this.#tell();
  }

  #placed(share) {
    if (this.drawing?.tapPhoto(share)) return this.#laying();
    this.board.select(null);
    this.#begin({ shape: "point", points: rounded([share]), tag: null });
    this.#show();
    return undefined;
  }

  /** On a phone: the drawing where a part is asked, else the photo with its questions below. */
  #show() {
    if (DESK.matches) return;
    const wanted = this.place && !this.part && this.drawing ? this.form : this.photo;
    wanted.scrollIntoView({ block: "start", behavior: "instant" });
  }

  /** A draft that is chosen, such as a line drawn along a crack, is the place of what comes. */
  #follow() {
    const chosen = this.board.selected;
    const draft = chosen && chosen.number === null && !chosen.gone ? chosen : null;
    if (draft === (this.place?.tag ?? null)) return;
    if (draft) this.#begin({ shape: draft.shape, points: draft.points, tag: draft });
    else if (this.place?.tag) this.#begin(null);
  }

  #propose() {
    const share = middleOf(this.place.points);
    const keys = this.drawing?.partsOn(share, this.view.photoWidth * this.view.scale) ?? [];
    const ids = keys.map((key) => this.ids.get(key)).filter(Boolean).slice(0, MOST_PARTS);
    if (ids.length > 0) this.#offer(ids, ids[0]);
    else {
      this.#offer(this.near.slice(0, MOST_PARTS), null);
      this.drawing?.ask();
    }
    this.#tell();
  }

  #mapTapped({ keys, n, sure }) {
    const ids = keys.map((key) => this.ids.get(key)).filter(Boolean).slice(0, MOST_PARTS);
    if (ids.length === 0) return;
    this.#offer(ids, ids[0]);
    this.location = n ? say("look.one_of", { number: n }) : "";
    this.drawing.mark(keys[0], n);
    if (!sure) return;
    this.drawing.fold();
    this.#show();
  }

  #offer(ids, chosen) {
    this.partPicks.show(ids, chosen);
    if (chosen) this.#choosePart(chosen);
    else {
      this.part = null;
      this.#chooseNothing();
    }
  }

  #chooseNothing() {
    this.term = null;
    this.termPicks.show([]);
    this.drawing?.mark(null, null);
    this.#draw();
  }

  #choosePart(id) {
    this.part = this.parts.get(id);
    this.location = "";
    this.term = null;
    this.termPicks.show(this.part.usual);
    this.drawing?.mark(this.part.key, null);
    this.#draw();
    this.#tell();
  }

  #chooseTerm(key) {
    this.term = key;
    this.#tell();
  }

  /** The severity is the last tap: what was said is on its way from here on. */
  #keep(severity) {
    const term = this.term ?? this.termPicks.select.value;
    if (!this.part || !term) {
      setText(this.hint, say(this.part ? "look.term_first" : "look.part_first"));
      const wanted = this.part ? this.termPicks : this.partPicks;
      wanted.box.querySelector("input").focus();
      return;
    }
    const { place, part, location } = this;
    const said = { part: part.id, term, severity, location };
    const body = { ...said, tap: freshName(), ...this.#placeOf(place) };
    this.near = [String(part.id), ...this.near.filter((id) => id !== String(part.id))];
    this.outbox.add(body, `${part.label}, ${this.#wordsOf(term)}`);
    this.board.select(null);
    this.#begin(null);
    if (!this.drawing?.knowsPhoto) this.drawing?.ask();
    this.#show();
  }

  #placeOf(place) {
    if (!place) return {};
    if (place.tag?.id) return { tag: place.tag.id };
    if (place.tag) this.board.putBack(place.tag);
    return { shape: place.shape, points: rounded(place.points) };
  }

  #wordsOf(term) {
    const options = [...this.termPicks.select.options];
    return options.find((option) => option.value === term)?.text ?? term;
  }

  // What the server says -----------------------------------------------------------------------

  #keptBy({ finding, tag }) {
    const isNew = this.board.findings.every(({ id }) => id !== finding.id);
    if (isNew) this.count += 1;
    this.kept.push(finding);
    this.next = Math.max(this.next, finding.number + 1);
    this.board.adopt(finding, tag);
    this.more.turnTo(finding);
  }

  async #takeBack() {
    const finding = this.kept.at(-1);
    if (!finding) return;
    this.undo.disabled = true;
    const url = this.data.urls.back.replace("/0/", `/${finding.number}/`);
    const answer = await postJson(url, {}, this.board.csrf);
    if (answer.kind === "ok") {
      this.kept.pop();
      this.count -= 1;
      this.next = answer.data.next;
      this.board.forget(finding);
      this.more.turnTo(this.kept.at(-1) ?? null);
    }
    this.#tell();
    setText(this.told, answer.kind === "ok" ? say("look.undone", finding) : answer.error);
  }

  // Saying -------------------------------------------------------------------------------------

  #laying() {
    const { laying } = this.drawing;
    if (!laying) {
      this.#tell();
      return;
    }
    setText(this.hint, say("look.lay_photo"));
    this.board.places = Object.values(laying.taps);
    this.board.outline = null;
    this.board.changed();
  }

  #draw() {
    const waiting = this.outbox.items.filter(({ body }) => body.points).map((item) => item.body);
    const here = this.place && !this.place.tag ? [this.place] : [];
    this.board.places = [...waiting, ...here].map(({ points }) => middleOf(points));
    const share = this.place && middleOf(this.place.points);
    this.board.outline = this.drawing?.outlineOf(this.part?.key, share) ?? null;
    this.board.changed();
  }

  #tell() {
    const { outbox } = this;
    setText(this.disc, String(this.next + outbox.items.length));
    setText(this.hint, this.#hintNow());
    setText(this.told, sayCount("look.count", this.count));
    this.undo.disabled = this.kept.length === 0;
    for (const step of this.later) step.classList.toggle("known", Boolean(this.part));
    const failed = outbox.items.filter((item) => item.error !== null);
    this.lines.replaceChildren(...failed.map((item) => this.#line(item)));
    this.#draw();
  }

  #hintNow() {
    if (this.part) return this.term ? say("look.severity") : "";
    if (!this.place) return say("look.tap");
    return say(this.drawing ? "look.tap_part" : "look.choose_part");
  }

  #line(item) {
    const text = say("look.unsent", { finding: item.label, reason: item.error });
    const again = { type: "button", text: say("tag.again") };
    again.onclick = () => this.outbox.again(item);
    const drop = { type: "button", text: say("tag.throw_away") };
    drop.onclick = () => this.outbox.drop(item);
    const keys = el("div", { class: "row" }, el("button", again), el("button", drop));
    return el("li", {}, el("p", { class: "problem", text }), keys);
  }
}

function middleOf(points) {
  const sum = points.reduce(([x, y], point) => [x + point[0], y + point[1]], [0, 0]);
  return [sum[0] / points.length, sum[1] / points.length];
}
