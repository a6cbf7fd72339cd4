// Narrowing the table: words, most money, tallest mast, least coverage on every band.

import { h, uid } from "../dom.js";

export function matches(row, { words = "", cost = null, mast = null, covered = null }, bands) {
  if (words && !`${row.design} ${row.needs} ${row.why}`.toLowerCase().includes(words.toLowerCase())) return false;
  if (cost !== null && row.cost > cost) return false;
  if (mast !== null && row.mast_m > mast + 1e-9) return false;
  return covered === null || bands.every((b) => (row[`${b.key}_covered_share`] ?? 0) >= covered / 100);
}

export function filterBar(table, onChange) {
  const now = {};
  const entry = (label, key, more, read) => {
    const id = uid("filter");
    const set = (e) => {
      now[key] = read(e.target.value);
      onChange({ ...now });
    };
    return h("span", { class: "filter" }, h("label", { for: id }, label), h("input", { id, ...more, on: { input: set } }));
  };
  const numeric = (v) => (v.trim() === "" ? null : Number(v));
  return h(
    "div",
    { class: "filters", role: "group", "aria-label": "Show only" },
    entry("with the word", "words", { type: "search", size: 10 }, (v) => v.trim()),
    entry(`cost up to, ${table.currency}`, "cost", { type: "number", min: 0 }, numeric),
    entry("mast up to, m", "mast", { type: "number", min: 0, step: "any" }, numeric),
    entry("every band covered, %", "covered", { type: "number", min: 0, max: 100 }, numeric),
  );
}
