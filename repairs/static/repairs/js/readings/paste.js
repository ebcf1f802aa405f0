/** Cells copied from a spreadsheet fill the table downwards and rightwards; one undo for all. */

import { el } from "../dom.js";
import { say, sayCount } from "../words.js";
import { isNumber } from "./numbers.js";
import { setValue, valueOf } from "./table.js";

const TICKED = /^(1|x|✓|✔|●|true|yes|oui)$/i;
const MINUS = /^[\u2212\u2013](?=[\d.,])/;

function cellText(text) {
  const bare = text.trim().replace(/^"(.*)"$/, "$1").replaceAll('""', '"');
  return bare.trim().replace(MINUS, "-");
}

/** The lines and cells of a copied text: tabs part the cells, or else semicolons. */
export function readGrid(text) {
  const lines = text.replace(/^\ufeff/, "").replace(/\r\n?/g, "\n").split("\n");
  while (lines.length > 1 && !/[^\s;]/.test(lines.at(-1))) lines.pop();
  const between = text.includes("\t") ? "\t" : ";";
  return lines.map((line) => line.split(between).map(cellText));
}

const isFigure = (text) => text !== "" && isNumber(text);

/** Is the first line a heading: words above columns of numbers? */
export function hasHeading(grid, isNumberColumn) {
  const above = grid[0].filter((text, index) => text && isNumberColumn[index]);
  const below = grid[1]?.some((text, index) => isNumberColumn[index] && isFigure(text));
  return Boolean(below) && above.length > 0 && !above.some(isFigure);
}

/** Put a text into a field of any kind; false when it has no place there. */
function put(field, text) {
  if (field.type === "checkbox") {
    setValue(field, TICKED.test(text));
  } else if (field.matches("select")) {
    const wanted = text.toLowerCase();
    const isIt = ({ value, label }) => [value, label].some((each) => each.toLowerCase() === wanted);
    const option = [...field.options].find(isIt);
    if (!option) return false;
    setValue(field, option.value);
  } else {
    setValue(field, text);
  }
  return true;
}

export class Paste {
  constructor(table) {
    this.table = table;
    this.before = null;
    this.button = el("button", { type: "button", class: "entry-undo", text: say("undo") });
    this.button.hidden = true;
    this.button.addEventListener("click", () => this.undo());
    table.told.append(this.button);
    table.node.addEventListener("paste", (event) => this.#paste(event));
    table.node.addEventListener("input", (event) => event.isTrusted && (this.isLast = false));
    table.node.addEventListener("keydown", (event) => this.#key(event));
  }

  #paste(event) {
    const field = event.target.closest("td input, td select");
    const text = event.clipboardData?.getData("text/plain") ?? "";
    if (!field || !text.trim()) return;
    const grid = readGrid(text);
    if (grid.length === 1 && grid[0].length === 1) {
      if (grid[0][0] === text.trim() || !field.matches("input")) return;
      event.preventDefault();
      document.execCommand("insertText", false, grid[0][0]); // It keeps the browser's own undo.
      return;
    }
    event.preventDefault();
    this.#fill(field, grid);
  }

  #fill(start, grid) {
    const { table } = this;
    const [row, column] = table.placeOf(start);
    const fields = table.fields(table.rows[row]).slice(column);
    const kinds = fields.map((field) => field.dataset.kind === "number");
    const lines = hasHeading(grid, kinds) ? grid.slice(1) : grid;
    this.before = { start, count: table.rows.length, values: [] };
    let filled = 0;
    let left = 0;
    lines.forEach((texts, down) => {
      if (!table.rows[row + down]) table.add();
      const cells = table.fields(table.rows[row + down]).slice(column);
      texts.forEach((text, right) => {
        const cell = cells[right];
        if (cell) this.before.values.push([cell, valueOf(cell)]);
        if (cell && put(cell, text)) filled += 1;
        else if (text) left += 1;
      });
    });
    this.isLast = true;
    this.button.hidden = false;
    this.#tell(filled, left, lines !== grid);
  }

  #tell(filled, left, isHeadingLeft) {
    const sentences = [sayCount("paste.filled", filled)];
    if (isHeadingLeft) sentences.push(say("paste.heading"));
    if (left) sentences.push(sayCount("paste.left", left));
    this.table.tell(sentences.join(" "));
  }

  /** Right after a paste, undo takes the whole of it back; later the browser's own is meant. */
  #key(event) {
    const isUndo = event.key.toLowerCase() === "z" && (event.ctrlKey || event.metaKey);
    if (!isUndo || event.shiftKey || event.altKey || !this.isLast) return;
    event.preventDefault();
    this.undo();
  }

  undo() {
    if (!this.before) return;
    const { start, count, values } = this.before;
    this.before = null;
    this.isLast = false;
    for (const [field, value] of values.reverse()) setValue(field, value);
    this.table.shrinkTo(count);
    this.button.hidden = true;
    this.table.tell(say("undo.done"));
    start.focus({ preventScroll: true });
  }
}
