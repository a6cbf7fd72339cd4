// Kinds of wire that got no row, with the limit that kept each out.

import { fold, h } from "../dom.js";
import { familyWords } from "../words.js";

export function rejectedList({ rejected = {}, relaxations = [] }) {
  const entries = Array.isArray(rejected) ? rejected.map((r) => [r.family, r.reason ?? r.why]) : Object.entries(rejected);
  if (!entries.length) return null;
  return fold(
    `Kinds of wire without a row, and why (${entries.length})`,
    h(
      "dl",
      { class: "reasons" },
      entries.map(([family, why]) => [h("dt", {}, familyWords(family)), h("dd", {}, why)]),
    ),
    relaxations.length ? h("p", {}, `Would let one in: ${relaxations.join("; ")}.`) : null,
  );
}
