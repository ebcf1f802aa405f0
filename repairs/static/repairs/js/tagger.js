/**
 * Numbered tags on a photo: `<section data-tagger>` with its `#tagger-data`.
 *
 * board.js holds the tags and speaks with the server; view.js zooms; overlay.js draws; pointer.js
 * and keys.js are the two hands; panel.js and list.js are what stands around the photo. look.js
 * notes findings where the photo is tapped, with drawing.js for the map of parts beside it.
 */

import { onEach } from "./dom.js";
import { say } from "./words.js";
import { Board } from "./tagger/board.js";
import { Keys } from "./tagger/keys.js";
import { TagList } from "./tagger/list.js";
import { Look } from "./tagger/look.js";
import { Loupe } from "./tagger/loupe.js";
import { Overlay } from "./tagger/overlay.js";
import { Panel } from "./tagger/panel.js";
import { Pointer } from "./tagger/pointer.js";
import { View } from "./tagger/view.js";

const boards = new Set();

function dressStage(stage, photo, readonly) {
  stage.tabIndex = 0;
  stage.setAttribute("role", "application");
  stage.setAttribute("aria-label", say(readonly ? "stage.label.readonly" : "stage.label"));
  stage.title = "";
  photo.draggable = false;
}

/** A link such as `#tag-12` from a finding opens the page with that tag chosen. */
function chooseFromAddress(board, view) {
  const match = /^#tag-(\d+)$/.exec(window.location.hash);
  const tag = match && board.tags.find((each) => each.id === Number(match[1]));
  if (!tag) return;
  board.setTool("select");
  board.select(tag);
  view.reveal(tag.points[0]);
}

function start(section) {
  const data = JSON.parse(document.getElementById("tagger-data").textContent);
  const stage = section.querySelector(".tagger-stage");
  const photo = section.querySelector(".tagger-photo");
  const board = new Board(data, section.dataset.csrf ?? "");
  section.classList.add("tagger-live");
  dressStage(stage, photo, board.readonly);
  const view = new View(stage, photo, () => board.changed(), board.look !== null);
  const overlay = new Overlay(board, view, stage);
  const loupe = new Loupe(stage, view);
  const pointer = new Pointer(board, view, overlay, stage, loupe);
  const panel = new Panel(board, view, section, stage);
  const keys = new Keys(board, view, overlay, panel, pointer, section);
  const list = new TagList(board, view, overlay, keys, section);
  const look = board.look && new Look(board, view, overlay, section);
  board.addEventListener("change", () => overlay.draw());
  photo.addEventListener("error", () => board.tell(say("stage.no_photo")));
  window.addEventListener("hashchange", () => chooseFromAddress(board, view));
  chooseFromAddress(board, view);
  boards.add({ board, section, list, look });
  board.changed();
}

/** Leaving with something unsent would lose what was drawn; a removed board no longer counts. */
function guard(event) {
  for (const each of boards) if (!each.section.isConnected) boards.delete(each);
  if ([...boards].some(({ board, look }) => board.unsent || look?.unsent)) event.preventDefault();
}

window.addEventListener("beforeunload", guard);
onEach("[data-tagger]", start);
