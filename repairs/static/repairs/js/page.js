/** Small services of every page, asked for by attributes. */

import { el, onEach } from "./dom.js";
import { say } from "./words.js";

const MEMORY = "open:";
const SAID_FOR = 4000;

/** Is a person typing, so that "/" is a letter and not a wish? */
function typing(node) {
  return node.isContentEditable || node.matches("input, textarea, select");
}

document.addEventListener("keydown", (event) => {
  if (event.key !== "/" || event.ctrlKey || event.altKey || event.metaKey) return;
  const search = document.querySelector("[data-search]");
  if (!search || event.defaultPrevented || typing(event.target)) return;
  event.preventDefault();
  search.focus();
  search.select?.();
});

// <details data-remember="KEY">: open or closed as it was left, while the window lives.

function recall(details) {
  try {
    const kept = sessionStorage.getItem(MEMORY + details.dataset.remember);
    if (kept !== null) details.open = kept === "1";
  } catch {
    // Without storage each page opens as the server sent it.
  }
}

function remember(event) {
  const details = event.target;
  if (!details.matches?.("details[data-remember]")) return;
  try {
    sessionStorage.setItem(MEMORY + details.dataset.remember, details.open ? "1" : "0");
  } catch {
    // As above.
  }
}

onEach("details[data-remember]", recall);
document.addEventListener("toggle", remember, true); // "toggle" does not bubble.

// <form data-carries>: the whole page is one form, and [data-part] what belongs to one of its keys.
// Enter presses the key of its own part, and only the fields of that part are asked about.

document.addEventListener("keydown", (event) => {
  const field = event.target.closest?.("form[data-carries] [data-part] input");
  if (event.key !== "Enter" || !field || event.defaultPrevented || event.isComposing) return;
  event.preventDefault();
  field.closest("[data-part]").querySelector("button:not([type=button])").click();
});

function isPartGood(event) {
  const part = event.submitter?.closest("form[data-carries] [data-part]");
  const fields = [...(part?.querySelectorAll("input, select, textarea") ?? [])];
  if (fields.every((field) => field.reportValidity())) return;
  event.preventDefault();
  event.stopImmediatePropagation();
}

document.addEventListener("submit", isPartGood, true);

// An address that ends in #ROOM opens that room, also where the browser does not do so by itself.

function aimed() {
  return location.hash.length > 1 && document.getElementById(location.hash.slice(1));
}

function openAimed() {
  const room = aimed() && aimed().closest("details");
  if (room && !room.open) {
    room.open = true;
    aimed().scrollIntoView();
  }
}

openAimed();
window.addEventListener("hashchange", openAimed);

// <select data-copies-to="ID">: a choice made outside a form is sent with it too.

onEach("select[data-copies-to]", (select) => {
  const sent = document.getElementById(select.dataset.copiesTo);
  const send = () => (sent.value = select.value);
  select.addEventListener("change", send);
  window.addEventListener("pageshow", send);
});

// [data-copy="TEXT"] copies a text, [data-print] prints.

/** The clipboard is closed to pages without TLS, as on a workshop's own network. */
function copyByHand(text) {
  const field = el("textarea", { readonly: true });
  field.value = text;
  field.style.position = "fixed";
  field.style.opacity = "0";
  document.body.append(field);
  field.select();
  const done = document.execCommand("copy");
  field.remove();
  return done;
}

async function copy(button) {
  const text = button.dataset.copy;
  let done = false;
  try {
    await navigator.clipboard.writeText(text);
    done = true;
  } catch {
    done = copyByHand(text);
    button.focus();
  }
  const said = el("span", { class: "copied", role: "status" });
  button.after(said);
  said.textContent = done ? say("page.copied") : say("page.not_copied", { text });
  if (done) setTimeout(() => said.remove(), SAID_FOR);
}

document.addEventListener("click", (event) => {
  const button = event.target.closest?.("[data-copy], [data-print]");
  if (!button) return;
  event.preventDefault();
  if ("copy" in button.dataset) copy(button);
  else window.print();
});

// A message about a section further down is shown there: at the top nobody would see it.

function beside() {
  const place = aimed();
  const notes = document.querySelector("main > [role=status]");
  if (place && notes && place.matches("section, .room > .in")) place.prepend(notes);
}

beside();
