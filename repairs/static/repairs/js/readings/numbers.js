/** Numbers as people type them; the same rule as the server's `read_decimal`. */

const SPACES = /[ \u00a0\u202f']/g;
const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;
const BEGUN = /^([+-]?\.?|[+-]?(\d+\.?\d*|\.\d+)e[+-]?)$/i;
const FULL_TURN = 360;

function plain(text) {
  return text.replace(SPACES, "").replaceAll(",", ".");
}

/** Whether the text is a number, or nothing at all. */
export function isNumber(text) {
  const bare = plain(text);
  return bare === "" || NUMBER.test(bare);
}

/** Whether the text can still become a number, such as a lone minus sign. */
export function mayBecomeNumber(text) {
  return isNumber(text) || BEGUN.test(plain(text));
}

/** The number typed, or NaN. */
export function toNumber(text) {
  const bare = plain(text);
  return NUMBER.test(bare) ? Number(bare) : NaN;
}

/** Whether a column of that key holds angles. */
export function isAngle(key) {
  return /(^|_)(angles?|deg)(_|$)/.test(key);
}

function places(text) {
  return plain(text).split(".")[1]?.length ?? 0;
}

const turned = (angle) => ((angle % FULL_TURN) + FULL_TURN) % FULL_TURN;

/**
 * The angle after those typed, at the step of the last two; empty when there is no step, or when
 * it would come back to a place that was measured already.
 */
export function nextAngle(typed) {
  const [last, end] = typed.slice(-2);
  if (end === undefined) return "";
  const angle = 2 * toNumber(end) - toNumber(last);
  const isThere = (text) => Math.abs(turned(toNumber(text) - angle + 1) - 1) < 1e-6;
  if (!Number.isFinite(angle) || typed.some(isThere)) return "";
  const words = angle.toFixed(Math.min(6, Math.max(places(last), places(end))));
  return `${last}${end}`.includes(",") ? words.replace(".", ",") : words;
}
