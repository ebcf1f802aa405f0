/**
 * Words and figures shown to a person.
 *
 * Every sentence comes from the page (`<script type="application/json" id="words-…">`, one beside
 * each module that it loads), already translated by the server; figures are written as the language of the page writes them.
 */

let words = {};

function readWords() {
  const sources = [...document.querySelectorAll('script[id^="words-"]')];
  words = Object.assign({}, ...sources.map((source) => JSON.parse(source.textContent)));
}

/** The language of the page, or undefined so that the browser's own is taken. */
export function language() {
  return document.documentElement.lang || undefined;
}

/** The sentence kept under `key`, its `%(name)s` filled in; the key itself when it is missing. */
export function say(key, values = {}) {
  if (!(key in words)) readWords();
  const sentence = words[key] ?? key;
  return sentence.replace(/%\((\w+)\)s/g, (whole, name) =>
    name in values ? String(values[name]) : whole,
  );
}

/** As `say`, with the keys `key.one` and `key.other` chosen by the plural rule of the language. */
export function sayCount(key, count, values = {}) {
  const form = new Intl.PluralRules(language()).select(count) === "one" ? "one" : "other";
  return say(`${key}.${form}`, { count, ...values });
}

/** A share of one, as "42.5%" or "42,5 %". */
export function percent(share, digits = 1) {
  const figures = { minimumFractionDigits: digits, maximumFractionDigits: digits };
  return new Intl.NumberFormat(language(), { style: "percent", ...figures }).format(share);
}

/** A number of bytes, as "2.8 MB" or "2,8 Mo". */
export function fileSize(bytes) {
  const [unit, divisor] = bytes < 1e6 ? ["kilobyte", 1e3] : ["megabyte", 1e6];
  const digits = bytes < 1e6 ? 0 : 1;
  const style = { style: "unit", unit, maximumFractionDigits: digits };
  return new Intl.NumberFormat(language(), style).format(bytes / divisor);
}

/** A moment, as the reader's language and time zone write it. */
export function moment(date) {
  const style = { dateStyle: "medium", timeStyle: "short" };
  return new Intl.DateTimeFormat(language(), style).format(date);
}
