/** Small helpers to build pages without a template language: text is always set as text. */

const SVG = "http://www.w3.org/2000/svg";

function fill(node, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (name === "text") node.textContent = value;
    else if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value === true) node.setAttribute(name, "");
    else if (value !== false && value !== null) node.setAttribute(name, value);
  }
  node.append(...children);
  return node;
}

/** An HTML element; `text` sets its text, `onclick` and friends add listeners. */
export function el(tag, attributes = {}, ...children) {
  return fill(document.createElement(tag), attributes, children);
}

/** An SVG element, with the same conventions. */
export function svg(tag, attributes = {}, ...children) {
  return fill(document.createElementNS(SVG, tag), attributes, children);
}

/** Set a text only when it differs, so that live regions do not speak twice. */
export function setText(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

/**
 * Run `start` once for each element that matches, now and when a part of the page is swapped in.
 *
 * The observer keeps this independent of the library that swaps, and of its event names.
 */
export function onEach(selector, start) {
  const seen = new WeakSet();
  const look = () => {
    for (const node of document.querySelectorAll(selector)) {
      if (seen.has(node)) continue;
      seen.add(node);
      start(node);
    }
  };
  look();
  new MutationObserver(look).observe(document.documentElement, { childList: true, subtree: true });
}
