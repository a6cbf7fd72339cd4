// Two to four designs side by side: plans, figures with the best marked, SWR curves together.

import { clear, h, link } from "../dom.js";
import * as api from "../api.js";
import { cell, columnsFor } from "../run/columns.js";
import { thumb } from "../run/thumb.js";
import { bandWords } from "../words.js";
import { sample } from "./chart.js";
import { figureTable } from "./figures.js";
import { wiresOf } from "./people.js";
import { swrChart } from "./swr.js";

/** Which way is better, by the end of the column's name; others are told without a star. */
const BETTER = [
  [/score$|covered_share$|efficiency$|gain_\w+_dbi$|on_target_share$|trimmable_share$|wind_stood|exposure_power_w$/, 1],
  [/cost$|mast_m$|swr_best$|swr_worst$|exposure_share$|keep_clear_m$|trim_moves$/, -1],
];

export async function show(main, { run: id, ranks }, { signal }) {
  const chosen = ranks.slice(0, 4),
    [run, table] = await Promise.all([api.run(id), api.table(id)]);
  const site = await api.site(run.site).catch(() => null),
    designs = await Promise.all(chosen.map((r) => api.design(id, r)));
  const rows = chosen.map((r) => table.rows.find((x) => x.rank === r)),
    curvesPlace = h("div", { class: "charts" }, h("p", { class: "quiet" }, "computing the curves …"));
  clear(
    main,
    h("p", { class: "quiet" }, link(`#/run/${id}`, `← all designs for ${run.site_name}`)),
    h("h1", { tabindex: "-1" }, "Side by side"),
    h(
      "div",
      { class: "compare-plans" },
      designs.map((d, i) =>
        h(
          "section",
          { class: "card" },
          h("h2", {}, link(`#/run/${id}/design/${d.rank}`, `${d.rank}. ${d.design}`)),
          h("p", { class: "key" }, sample(i), "in the curves below"),
          site ? thumb(site.drawing, wiresOf(d), `plan of ${d.design}`) : null,
          h("p", {}, d.needs),
        ),
      ),
    ),
    h("h2", {}, "Match"),
    curvesPlace,
    h("h2", {}, "Figures"),
    h("p", { class: "hint" }, "★ marks the best in a line. Small: four gardens of five lie between."),
    figures(table, rows, id),
  );
  const curves = await Promise.all(chosen.map((r) => api.design(id, r, "curves")));
  if (signal.aborted) return;
  const all = curves.map((c, i) => ({ name: designs[i].design, curves: c }));
  clear(
    curvesPlace,
    table.bands.map((b) =>
      swrChart(b.key, all, `${bandWords(b.key)}: SWR of ${all.map((d) => d.name).join(" and ")}; the figures stand in the table below.`),
    ),
  );
}

function figures(table, rows, id) {
  const columns = columnsFor(table.bands).filter(
    (c) => !["rank", "design", "why"].includes(c.key) && rows.some((r) => c.of(r) !== null && c.of(r) !== undefined),
  );
  const lines = columns.map((c) => {
    const top = best(c, rows);
    return [h("span", { title: c.help }, c.label), ...rows.map((r, i) => figure(c, r, top?.has(i)))];
  });
  const head = ["", ...rows.map((r) => link(`#/run/${id}/design/${r.rank}`, `${r.rank}. ${r.design}`))];
  return h(
    "div",
    { class: "table-box side-by-side", tabindex: "0", role: "region", "aria-label": "Figures side by side, scrolls sideways" },
    figureTable({ head, lines }),
  );
}

function figure(c, r, isBest) {
  const { text, range } = cell(c, r),
    shown = isBest ? h("span", { class: "best" }, text, h("span", { class: "sr" }, " best")) : text;
  return [c.words ? h("span", { class: "words" }, shown) : shown, range ? h("small", { class: "range" }, range) : null];
}

/** Indices of the best rows, null where all are alike or no way is better. */
function best(column, rows) {
  const way = BETTER.find(([name]) => name.test(column.key))?.[1],
    values = rows.map((r) => column.of(r));
  const texts = rows.map((r) => cell(column, r).text);
  if (!way || new Set(texts).size === 1) return null;
  const top = Math.max(...values.filter((v) => typeof v === "number").map((v) => way * v));
  const shown = texts[values.findIndex((v) => way * v === top)];
  return new Set(texts.flatMap((t, i) => (t === shown ? [i] : [])));
}
