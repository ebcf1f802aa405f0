/**
 * The tags of one photo: what is drawn, what is chosen, and what the server has of it.
 *
 * A tag keeps two states, the drawn one and the one the server confirmed. What could not be sent
 * stays drawn, carries the server's sentence in `error`, and can be sent again.
 */

import { freshName } from "../names.js";
import { postJson } from "../server.js";
import { say } from "../words.js";
import { LEAST_POINTS, rounded } from "./geometry.js";

const TOOLS = ["look", "select", "point", "line", "polygon"];
let nextKey = 1;

export class Board extends EventTarget {
  constructor(data, csrf) {
    super();
    this.readonly = Boolean(data.readonly);
    this.urls = data.urls ?? {};
    this.findings = data.findings ?? [];
    this.look = data.look ?? null;
    this.csrf = csrf;
    this.tags = (data.tags ?? []).map(kept);
    this.home = this.look ? "look" : "select";
    this.tool = this.home;
    this.places = [];
    this.outline = null;
    this.nextFinding = data.next ?? null;
    this.selected = null;
    this.corner = null;
    this.drawing = null;
    this.cursor = [0.5, 0.5];
    this.message = "";
    this.undo = null;
    this.#sort();
  }

  /** Ask for one redraw, however many things changed since the last. */
  changed() {
    if (this.waiting) return;
    this.waiting = true;
    requestAnimationFrame(() => {
      this.waiting = false;
      this.dispatchEvent(new Event("change"));
    });
  }

  tell(message, undo = null) {
    this.message = message;
    this.undo = undo;
    this.changed();
  }

  undoLast() {
    const undo = this.undo;
    if (undo) {
      this.tell(say("undo.done"));
      undo();
    }
  }

  setTool(tool) {
    if (!TOOLS.includes(tool) || (this.readonly && tool !== "select")) return;
    if (this.tool === tool || (tool === "look" && !this.look)) return;
    this.tool = tool;
    this.drawing = null;
    if (tool !== "select" && tool !== "look") this.select(null);
    this.tell("");
  }

  select(tag) {
    if (this.selected === tag) return;
    this.selected = tag;
    this.corner = null;
    this.changed();
  }

  /** The finding a tag shows, without the number that stands before it in the list. */
  nameOf(tag) {
    const finding = this.findings.find((each) => each.id === tag.finding);
    return finding ? finding.label.replace(/^\s*\d+\s*[—–·.:-]\s*/, "") : say("tag.unbound");
  }

  describe(tag) {
    const values = { number: tag.number, shape: say(`shape.${tag.shape}`), name: this.nameOf(tag) };
    return say(tag.number === null ? "tag.label.draft" : "tag.label", values);
  }

  shortName(tag) {
    if (tag.number === null) return say("tag.draft");
    return say("tag.short", { number: tag.number });
  }

  // Drawing ------------------------------------------------------------------------------------

  /** A place where something is seen; what it is will be said beside the photo. */
  place(share) {
    this.cursor = share;
    this.dispatchEvent(new CustomEvent("place", { detail: share }));
  }

  addVertex(share) {
    if (this.tool === "look") {
      this.place(share);
      return;
    }
    this.drawing ??= { shape: this.tool, points: [] };
    this.drawing.points = [...this.drawing.points, share];
    this.cursor = share;
    if (this.tool === "point") {
      this.finishDrawing();
      return;
    }
    this.tell(say("draw.corner_set", { count: this.drawing.points.length }));
  }

  dropVertex() {
    if (!this.drawing) return;
    this.drawing.points = this.drawing.points.slice(0, -1);
    const count = this.drawing.points.length;
    if (count === 0) this.drawing = null;
    this.tell(say("draw.corner_dropped", { count }));
  }

  cancelDrawing() {
    if (!this.drawing) return false;
    this.drawing = null;
    this.tell(say("draw.cancelled"));
    return true;
  }

  get canFinish() {
    return Boolean(this.drawing) && this.drawing.points.length >= LEAST_POINTS[this.drawing.shape];
  }

  finishDrawing() {
    if (!this.drawing) return;
    if (!this.canFinish) {
      this.tell(say(`draw.too_few.${this.drawing.shape}`));
      return;
    }
    const { shape, points } = this.drawing;
    this.drawing = null;
    const drawn = { id: null, number: null, finding: this.nextFinding, shape };
    const tag = { ...kept({ ...drawn, points: rounded(points) }), sent: null };
    this.tags.push(tag);
    this.select(tag);
    this.tell(say("draw.finished", { shape: say(`shape.${shape}`) }));
    this.save(tag);
  }

  // Changing -----------------------------------------------------------------------------------

  /** Show new points at once; nothing is sent while the hand holds the tag. */
  reshape(tag, points) {
    tag.held = true;
    tag.points = points;
    this.changed();
  }

  /** End a move that was given up. */
  unmoved(tag, before) {
    tag.held = false;
    tag.points = before;
    this.save(tag);
    this.changed();
  }

  /** Send a move, and offer to take it back. */
  moved(tag, before) {
    tag.held = false;
    tag.points = rounded(tag.points);
    const back = () => {
      tag.points = before;
      this.save(tag);
    };
    this.tell(say("tag.moved", { tag: this.shortName(tag) }), back);
    this.save(tag);
  }

  bind(tag, finding) {
    tag.finding = finding;
    this.changed();
    this.save(tag);
  }

  /** Send what differs from the server, again while the hand went on meanwhile. */
  save(tag) {
    if (this.readonly || tag.busy || tag.gone) return;
    tag.saving = this.#saveAll(tag);
  }

  async #saveAll(tag) {
    tag.busy = true;
    tag.error = null;
    while (differs(tag) && !tag.held && tag.error === null) {
      const sent = { points: tag.points, finding: tag.finding };
      const answer = await this.#send(tag, sent);
      if (answer.kind !== "ok") tag.error = answer.error;
      else accept(tag, answer.data.tag, sent);
      this.changed();
    }
    tag.busy = false;
    this.#sort();
    this.#spread();
  }

  #send(tag, { points, finding }) {
    if (tag.sent === null) {
      tag.tap ??= freshName(); // The same when it is sent again after a lost answer.
      const { shape, tap } = tag;
      return postJson(this.urls.create, { shape, points, finding, tap }, this.csrf);
    }
    const change = {};
    if (points !== tag.sent.points) change.points = rounded(points);
    if (finding !== tag.sent.finding) change.finding = finding;
    return postJson(this.#url("change", tag), change, this.csrf);
  }

  /** Forget what the server refused and show again what it holds. */
  putBack(tag) {
    tag.error = null;
    if (tag.sent === null) this.#takeOut(tag);
    else Object.assign(tag, tag.sent);
    this.tell("");
  }

  async withdraw(tag) {
    if (this.readonly || tag.gone) return;
    await tag.saving;
    const name = this.shortName(tag);
    if (tag.sent !== null) {
      const answer = await postJson(this.#url("withdraw", tag), {}, this.csrf);
      if (answer.kind !== "ok") {
        this.#fail(tag, answer.error);
        return;
      }
    }
    tag.gone = true;
    this.#takeOut(tag);
    this.tell(say("tag.withdrawn", { tag: name }), () => this.restore(tag));
    this.#spread();
  }

  /** Take in a finding that was kept beside the photo, with its tag there if it has one. */
  adopt(finding, tag) {
    if (!this.findings.some(({ id }) => id === finding.id)) this.findings.push(finding);
    if (tag) {
      const known = this.tags.find(({ id }) => id === tag.id);
      if (known) Object.assign(known, kept(tag), { key: known.key });
      else this.tags.push(kept(tag));
    }
    this.#sort();
    this.#spread();
  }

  /** Let go of a finding that was taken back, and of its tags on this photo. */
  forget(finding) {
    this.findings = this.findings.filter(({ id }) => id !== finding.id);
    this.tags = this.tags.filter((tag) => tag.finding !== finding.id);
    if (!this.tags.includes(this.selected)) this.select(null);
    this.#spread();
    this.changed();
  }

  async restore(tag) {
    if (tag.sent !== null) {
      const answer = await postJson(this.#url("restore", tag), {}, this.csrf);
      if (answer.kind !== "ok") {
        this.tell(answer.error, () => this.restore(tag));
        return;
      }
      accept(tag, answer.data.tag, tag.sent);
    }
    tag.gone = false;
    this.tags.push(tag);
    this.#sort();
    this.select(tag);
    this.#spread();
    if (differs(tag)) this.save(tag);
  }

  get unsent() {
    return this.tags.some((tag) => tag.busy || differs(tag));
  }

  #url(deed, tag) {
    return this.urls[deed].replace(/^(.*)\/0(?=\/|$)/, `$1/${tag.id}`);
  }

  #fail(tag, error) {
    tag.error = error;
    this.changed();
  }

  #takeOut(tag) {
    this.tags = this.tags.filter((each) => each !== tag);
    if (this.selected === tag) this.select(null);
    this.changed();
  }

  #sort() {
    const rank = (tag) => [tag.number ?? Infinity, tag.id ?? Infinity, tag.key];
    this.tags.sort((a, b) => {
      const [first, second] = [rank(a), rank(b)];
      const at = first.findIndex((value, index) => value !== second[index]);
      return at < 0 ? 0 : first[at] < second[at] ? -1 : 1;
    });
    this.changed();
  }

  /** Tell the rest of the page, which may list findings without a tag. */
  #spread() {
    document.dispatchEvent(new CustomEvent("tags:changed"));
  }
}

function kept({ id, number, finding, shape, points }) {
  const key = nextKey;
  nextKey += 1;
  const sent = { points, finding };
  return { key, id, number, finding, shape, points, sent, error: null, busy: false, gone: false };
}

function differs(tag) {
  if (tag.sent === null) return true;
  return tag.points !== tag.sent.points || tag.finding !== tag.sent.finding;
}

/** Take the server's word, but not over what the hand did while the answer was on its way. */
function accept(tag, answer, sent) {
  const wasPoints = tag.points === sent.points;
  const wasFinding = tag.finding === sent.finding;
  tag.id = answer.id;
  tag.number = answer.number;
  tag.sent = { points: answer.points, finding: answer.finding };
  if (wasPoints) tag.points = answer.points;
  if (wasFinding) tag.finding = answer.finding;
}
