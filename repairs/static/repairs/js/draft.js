/**
 * What was typed survives a closed page: `<form data-draft="KEY">`.
 *
 * Drafts stay on this device, in a list per key with the newest last, so that typing before an
 * older draft was put back or discarded does not overwrite it. They go when the server's next
 * page says `<meta name="draft-sent" content="KEY">`, and after thirty days.
 */

import { el, onEach } from "./dom.js";
import { moment, say } from "./words.js";

const PREFIX = "draft:";
const SAVE_AFTER = 400;
const MOST = 3;
const KEPT_FOR = 30 * 24 * 3600 * 1000;
const NEVER = new Set(["file", "password", "hidden", "submit", "button", "reset", "image"]);
/** A page that refuses a form holds what was typed in it: nothing older is offered beside it. */
const REFUSED = ".problems, .caution[role=alert]";
const visit = `${Date.now()}-${Math.random().toString(36).slice(2)}`;

// The store -------------------------------------------------------------------------------------

/** A full or forbidden storage must not stop anyone from working: the draft is then not kept. */
function load(key) {
  try {
    const drafts = JSON.parse(localStorage.getItem(PREFIX + key)) ?? [];
    return drafts.filter((draft) => Date.now() - draft.at < KEPT_FOR);
  } catch {
    return [];
  }
}

function store(key, drafts) {
  try {
    if (drafts.length === 0) localStorage.removeItem(PREFIX + key);
    else localStorage.setItem(PREFIX + key, JSON.stringify(drafts.slice(-MOST)));
    return true;
  } catch {
    return false;
  }
}

function dropOld() {
  try {
    const keys = Object.keys(localStorage).filter((name) => name.startsWith(PREFIX));
    for (const name of keys) store(name.slice(PREFIX.length), load(name.slice(PREFIX.length)));
  } catch {
    // No storage, nothing old in it.
  }
}

// The form --------------------------------------------------------------------------------------

function fields(form) {
  return [...form.elements].filter(
    (field) => field.name && !NEVER.has(field.type) && !field.matches("fieldset, output, button"),
  );
}

/** The typed values: name → list, since a name may come several times. */
function typed(form) {
  const values = {};
  for (const field of fields(form)) {
    values[field.name] ??= [];
    if (field.type === "checkbox" || field.type === "radio") {
      if (field.checked) values[field.name].push(field.value);
    } else if (field.type === "select-multiple") {
      values[field.name].push([...field.selectedOptions].map((option) => option.value));
    } else {
      values[field.name].push(field.value);
    }
  }
  return values;
}

function put(field, value) {
  if (field.type === "select-multiple") {
    for (const option of field.options) option.selected = value.includes(option.value);
  } else {
    field.value = value;
  }
}

function putBack(form, values) {
  form.dispatchEvent(new CustomEvent("draft:back", { detail: { values } }));
  const next = {};
  for (const field of fields(form)) {
    const kept = values[field.name];
    if (!kept) continue;
    if (field.type === "checkbox" || field.type === "radio") {
      field.checked = kept.includes(field.value);
    } else {
      const at = next[field.name] ?? 0;
      next[field.name] = at + 1;
      if (kept[at] === undefined) continue;
      put(field, kept[at]);
    }
    for (const name of ["input", "change"]) field.dispatchEvent(new Event(name, { bubbles: true }));
  }
}

/** Whether putting a draft back would change anything here. */
function differs(form, values) {
  const now = typed(form);
  const isGrown = (name) => !(name in now) && /-\d+$/.test(name) && values[name].some(Boolean);
  if (Object.keys(values).some(isGrown)) return true;
  return Object.keys(now).some(
    (name) => name in values && JSON.stringify(now[name]) !== JSON.stringify(values[name]),
  );
}

class Draft {
  constructor(form) {
    this.form = form;
    this.key = form.dataset.draft;
    this.first = JSON.stringify(typed(form));
    form.addEventListener("input", () => this.#soon());
    form.addEventListener("change", () => this.#soon());
    window.addEventListener("pagehide", () => this.save());
    document.addEventListener("visibilitychange", () => document.hidden && this.save());
    if (!document.querySelector(REFUSED)) this.offer();
  }

  #soon() {
    this.touched = true;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.save(), SAVE_AFTER);
  }

  save() {
    clearTimeout(this.timer);
    if (!this.touched || !this.form.isConnected) return true;
    const others = load(this.key).filter((draft) => draft.visit !== visit);
    const values = typed(this.form);
    const same = JSON.stringify(values) === this.first;
    const mine = same ? [] : [{ visit, at: Date.now(), values }];
    return store(this.key, [...others, ...mine]);
  }

  /** Offer the newest draft that says something else than the form; then the one before it. */
  offer() {
    this.bar?.remove();
    const drafts = load(this.key).filter((each) => each.visit !== visit);
    const draft = drafts.reverse().find((each) => differs(this.form, each.values));
    if (!draft) return;
    const words = say("draft.found", { time: moment(new Date(draft.at)) });
    const back = el("button", { type: "button", class: "draft-back", text: say("draft.put_back") });
    const drop = el("button", { type: "button", class: "draft-drop", text: say("draft.discard") });
    back.addEventListener("click", () => {
      putBack(this.form, draft.values);
      this.#forget(draft);
      this.save();
      fields(this.form)[0]?.focus();
    });
    drop.addEventListener("click", () => this.#forget(draft));
    const text = el("p", { text: words });
    this.bar = el("div", { class: "draft-offer", role: "status" }, text, back, drop);
    this.form.prepend(this.bar);
    const room = this.form.closest("details"); // What is offered must be seen.
    if (room) room.open = true;
  }

  #forget(draft) {
    const isIt = (each) => each.visit === draft.visit && each.at === draft.at;
    this.bar.remove();
    this.touched = true;
    store(this.key, load(this.key).filter((each) => !isIt(each)));
    this.offer();
  }

  warn(key) {
    this.warning ??= el("p", { class: "draft-offline", role: "alert" });
    if (!this.warning.isConnected) this.form.append(this.warning);
    this.warning.textContent = say(key);
  }
}

const drafts = new WeakMap();

/** Before the forms: the page after a sent form may hold the same form again, empty. */
onEach('meta[name="draft-sent"]', (meta) => store(meta.content, []));
dropOld();
onEach("form[data-draft]", (form) => drafts.set(form, new Draft(form)));

/** Caught on the way down, so that no other script sends the form first. */
document.addEventListener(
  "submit",
  (event) => {
    const draft = drafts.get(event.target);
    // A tap is kept and sent by a script of its own.
    if (!draft || event.submitter?.closest("[data-tap]")) return;
    draft.touched = true;
    const kept = draft.save();
    if (navigator.onLine) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    draft.warn(kept ? "draft.offline" : "draft.offline_unkept");
  },
  true,
);

window.addEventListener("online", () => {
  for (const form of document.querySelectorAll("form[data-draft]")) {
    const draft = drafts.get(form);
    if (draft?.warning?.isConnected) draft.warn("draft.online");
  }
});
