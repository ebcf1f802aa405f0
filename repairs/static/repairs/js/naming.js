/**
 * Views named by one tap each: `[data-naming]` holds forms, each button of which says a view.
 *
 * Without this script every tap loads the page anew; with it photos that are still being sent go
 * on, and only the naming and the gallery are exchanged.
 */

import { el } from "./dom.js";

const PARTS = ["[data-naming]", "[data-gallery]"];
let busy = false;

/** What is sent must name the button that was pressed, as a form without script does. */
function sentBy(form, button) {
  const body = new FormData(form);
  if (button?.name) body.append(button.name, button.value);
  return body;
}

async function send(form, button) {
  const body = sentBy(form, button);
  const answer = await fetch(form.action, { method: "POST", body, credentials: "same-origin" });
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const fresh = page.querySelector("[data-naming]");
  if (!answer.ok || !fresh) throw new Error("no page of photos");
  for (const name of PARTS) {
    const part = page.querySelector(name);
    if (part) document.querySelector(name)?.replaceWith(part);
  }
  window.history.replaceState(null, "", answer.url);
  fresh.focus({ preventScroll: true });
}

function sendWhole(form, button) {
  if (button?.name) {
    form.append(el("input", { type: "hidden", name: button.name, value: button.value }));
  }
  form.submit();
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!form.closest("[data-naming]")) return;
  event.preventDefault();
  if (busy) return;
  busy = true;
  try {
    await send(form, event.submitter);
  } catch {
    sendWhole(form, event.submitter); // The page itself then says what is the matter.
  } finally {
    busy = false;
  }
});
