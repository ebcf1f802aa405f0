/** The list beside the photo: each tag with the finding it shows, and its handles in buttons. */

import { el, setText } from "../dom.js";
import { say } from "../words.js";
import { cornerWords } from "./overlay.js";
import { badgeIcon, icon, writeBadge } from "./signs.js";

const ARROWS = { left: [-1, 0], up: [0, -1], down: [0, 1], right: [1, 0] };
const STEP = 3;

export class TagList {
  constructor(board, view, overlay, keys, section) {
    Object.assign(this, { board, view, overlay, keys });
    this.rows = new Map();
    this.list = el("ol", { class: "tagger-list" });
    this.empty = el("p", { class: "tagger-empty", text: say("list.empty") });
    this.title = el("h2", { class: "tagger-title" });
    this.node = el("details", { class: "tagger-side" }, el("summary", {}, this.title));
    if (!board.readonly) this.node.append(this.#next());
    this.node.append(this.empty, this.list);
    this.node.open = board.readonly;
    (section.querySelector(".tagger-marks") ?? section).append(this.node);
    board.addEventListener("change", () => this.draw());
  }

  /** Several tags often show one finding: it can be chosen before drawing. */
  #next() {
    const { board } = this;
    const select = findingSelect(board);
    select.value = board.nextFinding ?? "";
    board.addEventListener("change", () => freshen(select, board));
    select.addEventListener("change", () => {
      board.nextFinding = select.value ? Number(select.value) : null;
    });
    const words = el("span", { text: say("list.next") });
    return el("label", { class: "tagger-next" }, words, select);
  }

  draw() {
    const { tags } = this.board;
    const live = new Set(tags.map((tag) => tag.key));
    for (const [key, row] of this.rows) {
      if (live.has(key)) continue;
      row.node.remove();
      this.rows.delete(key);
    }
    tags.forEach((tag) => this.#row(tag).draw());
    this.#order(tags.map((tag) => this.rows.get(tag.key).node));
    this.empty.hidden = tags.length > 0;
    setText(this.title, say("list.title", { count: tags.length }));
    this.#openForWork();
    this.#showChosen();
  }

  /** What waits for a hand is in sight; what is done may be folded away. */
  #openForWork() {
    const { board } = this;
    const waits = board.tags.filter((tag) => tag.number === null || tag.error).length;
    const wanted = waits > (this.waits ?? 0) || (board.selected && board.selected !== this.shown);
    if (wanted) this.node.open = true;
    this.waits = waits;
  }

  /** Scroll the list, never the page: on a phone the list is below and the photo must stay. */
  #showChosen() {
    const chosen = this.board.selected;
    if (chosen === this.shown) return;
    this.shown = chosen;
    const row = chosen && this.rows.get(chosen.key)?.node.getBoundingClientRect();
    if (!row || this.node.scrollHeight <= this.node.clientHeight) return;
    const box = this.node.getBoundingClientRect();
    if (row.top < box.top) this.node.scrollTop -= box.top - row.top;
    else if (row.bottom > box.bottom) this.node.scrollTop += row.bottom - box.bottom;
  }

  #row(tag) {
    if (!this.rows.has(tag.key)) this.rows.set(tag.key, new Row(this, tag));
    return this.rows.get(tag.key);
  }

  #order(wanted) {
    if (wanted.every((node, at) => this.list.children[at] === node)) return;
    const focused = document.activeElement;
    this.list.append(...wanted);
    if (this.list.contains(focused)) focused.focus({ preventScroll: true });
  }
}

class Row {
  constructor(list, tag) {
    this.list = list;
    this.board = list.board;
    this.tag = tag;
    this.sign = badgeIcon(tag.shape);
    this.name = el("span", { class: "tagger-name" });
    const pick = { type: "button", class: "tagger-pick", onclick: () => this.#pick() };
    this.before = el("span", { class: "visually-hidden" });
    this.after = el("span", { class: "visually-hidden" });
    this.pick = el("button", pick, this.sign, this.before, this.name, this.after);
    this.node = el("li", { class: "tagger-row" }, this.pick);
    if (!this.board.readonly) this.#build();
  }

  #build() {
    const { board, tag } = this;
    this.select = findingSelect(board);
    this.select.addEventListener("change", () => {
      board.bind(tag, this.select.value ? Number(this.select.value) : null);
    });
    this.error = el("p", { class: "tagger-error" });
    const send = () => board.save(tag);
    const back = () => board.putBack(tag);
    this.drop = el("button", { type: "button", class: "tagger-small", onclick: back });
    const again = { type: "button", class: "tagger-again", onclick: send, text: say("tag.again") };
    const failed = { class: "tagger-failed" };
    this.failed = el("div", failed, this.error, el("button", again), this.drop);
    this.edit = this.#editing();
    this.node.append(this.select, this.edit, this.failed);
  }

  /** Buttons for what otherwise needs a drag: WCAG asks for it, and so do thick fingers. */
  #editing() {
    const { keys } = this.list;
    const edit = el("div", { class: "tagger-edit" });
    if (this.tag.shape !== "point") {
      const next = () => keys.nextCorner();
      this.corner = el("button", { type: "button", class: "tagger-corner", onclick: next });
      edit.append(this.corner);
    }
    for (const [name, arrow] of Object.entries(ARROWS)) {
      const push = () => keys.push(this.tag, arrow, STEP);
      const attributes = { type: "button", class: "tagger-nudge", onclick: push };
      attributes["aria-label"] = say(`nudge.${name}`);
      edit.append(el("button", attributes, icon(name)));
    }
    const remove = () => keys.remove(this.tag);
    const attributes = { type: "button", class: "tagger-remove", onclick: remove };
    edit.append(el("button", attributes, say("tag.withdraw")));
    return edit;
  }

  #pick() {
    const { board, list, tag } = this;
    board.setTool("select");
    board.select(tag);
    list.view.reveal(tag.points[0]);
  }

  /** Number, shape and finding to the ear; to the eye the badge and one of the others. */
  #name() {
    const { board, tag } = this;
    const [number, shape] = [board.shortName(tag), say(`shape.${tag.shape}`)];
    setText(this.before, board.readonly ? `${number}, ${shape}, ` : `${number}, `);
    setText(this.name, board.readonly ? board.nameOf(tag) : shape);
    setText(this.after, board.readonly ? "" : `, ${board.nameOf(tag)}`);
  }

  draw() {
    const { board, tag } = this;
    const chosen = board.selected === tag;
    this.node.classList.toggle("tagger-row-chosen", chosen);
    this.pick.setAttribute("aria-pressed", String(chosen));
    writeBadge(this.sign.firstChild, tag);
    this.#name();
    if (board.readonly) return;
    freshen(this.select, board);
    this.select.value = tag.finding ?? "";
    this.select.setAttribute("aria-label", say("list.finding", { tag: board.shortName(tag) }));
    this.edit.hidden = !chosen;
    if (this.corner) setText(this.corner, cornerWords(board));
    this.failed.hidden = !tag.error;
    setText(this.error, tag.error ?? "");
    setText(this.drop, say(tag.sent === null ? "tag.throw_away" : "tag.put_back"));
  }
}

function findingSelect(board) {
  const select = el("select", {});
  freshen(select, board);
  return select;
}

/** Findings are noted and taken back while the page stands. */
function freshen(select, board) {
  const known = [...select.options].slice(1).map((option) => Number(option.value));
  const ids = board.findings.map(({ id }) => id);
  if (select.options.length > 0 && known.join() === ids.join()) return;
  const chosen = select.value;
  const options = board.findings.map(({ id, label }) => el("option", { value: id, text: label }));
  const none = el("option", { value: "", text: say("list.no_finding") });
  select.replaceChildren(none, ...options);
  select.value = ids.includes(Number(chosen)) ? chosen : "";
}
