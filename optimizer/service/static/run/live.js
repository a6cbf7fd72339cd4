// The best designs so far while a search goes on: small plans with figures.

import { h } from "../dom.js";
import { bandWords, fixed, money, share } from "../words.js";
import { thumb } from "./thumb.js";

export function bestSoFar(table, site) {
  const rows = table.rows.slice(0, 6);
  return [h("h2", {}, "Best so far"), h("ol", { class: "cards so-far" }, rows.map((r) => h("li", { class: "card" },
    site ? thumb(site.drawing, r.wires ?? [], `plan of ${r.design}`) : null,
    h("h3", {}, r.design), h("p", { class: "big-number" }, fixed(r.score), h("small", {}, " of 100")),
    h("p", { class: "quiet" }, `${money(r.cost, table.currency)} · ${r.mast_m ? `mast ${fixed(r.mast_m)} m` : "no mast"}`),
    h("p", {}, table.bands.map((b) => `${bandWords(b.key)} ${share(r[`${b.key}_covered_share`])}`).join(" · ")))))];
}
