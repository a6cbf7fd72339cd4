// Small plans with figures: the best designs so far while a search goes on, and the best of each kind when it is over.

import { h, link } from "../dom.js";
import * as api from "../api.js";
import { wiresOf } from "../design/people.js";
import { bandWords, fixed, money, share } from "../words.js";
import { thumb } from "./thumb.js";

const SHOWN = 6,
  LEADERS = 3;

export function bestSoFar(table, site) {
  return [
    h("h2", {}, "Best so far"),
    h(
      "ol",
      { class: "cards so-far" },
      table.rows.slice(0, SHOWN).map((r) => card(r, table, picture(site, r.wires ?? [], r), r.design)),
    ),
  ];
}

/** The best rows of different kinds, each with its plan, which comes from the design file a moment later. */
export function leaders(run, table, site) {
  const kinds = new Set(),
    best = table.rows.filter((r) => !kinds.has(r.family) && kinds.add(r.family)).slice(0, LEADERS);
  const later = (r) => {
    const place = h("div", { class: "thumb" });
    if (site)
      api.design(run.id, r.rank).then(
        (d) => place.replaceWith(picture(site, wiresOf(d), r)),
        () => {},
      );
    return place;
  };
  return h(
    "ol",
    { class: "cards so-far", "aria-label": "The best of different kinds" },
    best.map((r) => card(r, table, later(r), link(`#/run/${run.id}/design/${r.rank}`, `${r.rank}. ${r.design}`))),
  );
}

const picture = (site, wires, r) => (site ? thumb(site.drawing, wires, `plan of ${r.design}`) : null);

const card = (r, table, drawing, title) =>
  h(
    "li",
    { class: "card" },
    drawing,
    h("h3", {}, title),
    h("p", { class: "big-number" }, fixed(r.score), h("small", {}, " of 100")),
    h("p", { class: "quiet" }, `${money(r.cost, table.currency)} · ${r.mast_m ? `mast ${fixed(r.mast_m)} m` : "no mast"}`),
    h("p", {}, table.bands.map((b) => `${bandWords(b.key)} ${share(r[`${b.key}_covered_share`])}`.replaceAll(" ", "\u00a0")).join(" · ")),
  );
