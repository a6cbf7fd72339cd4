// The ranked table: sort, filter, choose columns, tick two to four for comparison, move weights and see it re-ranked.

import { button, clear, fold, h, later, link, say } from "../dom.js";
import * as api from "../api.js";
import { remember, remembered } from "../store.js";
import { fixed } from "../words.js";
import { cell, columnsFor } from "./columns.js";
import { matches, filterBar } from "./filter.js";
import { rejectedList } from "./rejected.js";
import { weightsPanel } from "./weights.js";

const MOST = 4;

export function rankedTable(run, table) {
  const columns = columnsFor(table.bands),
    state = { rows: table.rows, sort: { key: "rank", up: true }, picked: new Set(), filter: {}, shown: shownColumns(columns) };
  const place = h("div", { class: "table-box", tabindex: "0", role: "region", "aria-label": "Ranked designs, scrolls sideways" }),
    count = h("p", { class: "quiet", "aria-live": "polite" });
  const compare = button(
    "Compare",
    () => {
      location.hash = `#/run/${run.id}/compare/${[...state.picked].sort((a, b) => a - b).join(",")}`;
    },
    { disabled: true },
  );
  const draw = () => {
    const rows = sorted(
      state.rows.filter((r) => matches(r, state.filter, table.bands)),
      state.sort,
      columns,
    );
    clear(place, grid(rows));
    count.textContent = rows.length === state.rows.length ? `${rows.length} designs` : `${rows.length} of ${state.rows.length} designs`;
    compare.disabled = state.picked.size < 2;
    compare.textContent = state.picked.size ? `Compare ${state.picked.size} side by side` : "Compare: tick two to four";
  };

  function grid(rows) {
    const visible = columns.filter((c) => c.fixed || state.shown.has(c.key));
    return h(
      "table",
      { class: "ranked", role: "table" },
      h("caption", { class: "sr" }, `Ranked designs for ${table.site}`),
      h(
        "thead",
        { role: "rowgroup" },
        h("tr", { role: "row" }, h("th", { role: "columnheader", scope: "col" }, h("span", { class: "sr" }, "compare")), visible.map(head)),
      ),
      h(
        "tbody",
        { role: "rowgroup" },
        rows.map((r) => line(r, visible)),
      ),
    );
  }
  function head(c) {
    const now = state.sort.key === c.key,
      way = now ? (state.sort.up ? "ascending" : "descending") : "none";
    return h(
      "th",
      { scope: "col", role: "columnheader", "aria-sort": way, title: c.help, class: c.number ? "num" : "" },
      h(
        "button",
        { type: "button", class: "sort", on: { click: () => sortBy(c) } },
        c.label,
        h("span", { "aria-hidden": "true" }, now ? (state.sort.up ? "\u00a0▲" : "\u00a0▼") : ""),
      ),
    );
  }
  function sortBy(c) {
    const startsUp = !c.number || ["rank", "cost"].includes(c.key);
    state.sort = { key: c.key, up: state.sort.key === c.key ? !state.sort.up : startsUp };
    draw();
    place.querySelector(`[aria-sort="${state.sort.up ? "ascending" : "descending"}"] button`)?.focus();
    say(`Sorted by ${c.label}, ${state.sort.up ? "rising" : "falling"}.`);
  }
  function line(r, visible) {
    const id = idOf(r),
      tick =
        id === null
          ? null
          : h("input", {
              type: "checkbox",
              checked: state.picked.has(id),
              "aria-label": `compare ${r.design}, rank ${r.rank}`,
              on: { change: (e) => pick(id, e.target) },
            });
    return h(
      "tr",
      { role: "row" },
      h("td", { role: "cell", class: "pick" }, tick),
      visible.map((c) => figure(c, r)),
    );
  }
  function figure(c, r) {
    if (c.key === "design")
      return h(
        "th",
        { scope: "row", role: "rowheader", data: { label: c.label } },
        idOf(r) === null
          ? [r.design, h("small", { class: "range" }, "drawn once you search on with these weights")]
          : link(`#/run/${run.id}/design/${idOf(r)}`, r.design),
      );
    const { text, range } = cell(c, r);
    return h(
      "td",
      { role: "cell", class: c.number ? "num" : "words", data: { label: c.label } },
      c.key === "rank" ? rankWords(r) : text,
      range ? h("small", { class: "range" }, range) : null,
    );
  }
  function pick(id, box) {
    if (box.checked && state.picked.size >= MOST) {
      box.checked = false;
      return say("At most four can be compared.");
    }
    box.checked ? state.picked.add(id) : state.picked.delete(id);
    compare.disabled = state.picked.size < 2;
    compare.textContent = state.picked.size ? `Compare ${state.picked.size} side by side` : "Compare: tick two to four";
  }

  const chooser = fold(
    "Columns",
    h(
      "div",
      { class: "columns" },
      columns
        .filter((c) => !c.fixed)
        .map((c) =>
          h(
            "label",
            { class: "tick", title: c.help },
            h("input", { type: "checkbox", checked: state.shown.has(c.key), on: { change: (e) => toggle(c.key, e.target.checked) } }),
            c.label,
          ),
        ),
    ),
  );
  function toggle(key, on) {
    on ? state.shown.add(key) : state.shown.delete(key);
    remember("columns", Object.fromEntries(columns.map((c) => [generic(c), state.shown.has(c.key)])));
    draw();
  }
  let asked = 0;
  const rerank = later(async (weights) => {
    const mine = ++asked;
    try {
      if (weights) count.textContent = "ranking again …";
      const answer = weights ? await api.rerank(run.id, weights) : table;
      if (mine !== asked) return; // moved on meanwhile
      state.rows = answer.rows;
      state.sort = { key: "rank", up: true };
      draw();
      say(`Ranked again: first is ${state.rows[0]?.design}, score ${fixed(state.rows[0]?.score)}.`);
    } catch (error) {
      count.textContent = `! ${error.message}`;
    }
  }, 150);
  const searchOn = (weights) =>
    api.rerun(run.id, { weights, ...api.effortOf(run) }).then(
      (again) => {
        location.hash = `#/run/${again.id}`;
      },
      (error) => {
        count.textContent = `! ${error.message}`;
      },
    );
  const weights = weightsPanel(table, rerank, searchOn);
  const wake = () => [1, 2].forEach(() => api.rerank(run.id, table.weights).catch(() => null)); // both processes of the desk
  weights?.addEventListener("toggle", wake, { once: true });
  draw();
  return h(
    "div",
    { class: "results" },
    (table.warnings ?? []).map((w) => h("p", { class: "warn" }, `▲ ${w}`)),
    h(
      "div",
      { class: "table-tools" },
      filterBar(table, (f) => {
        state.filter = f;
        draw();
      }),
      h(
        "p",
        { class: "row-of" },
        compare,
        link(api.address(`runs/${run.id}/table?format=csv`), "As CSV", { download: `${run.id}.csv` }),
        link(api.address(`runs/${run.id}/table`), "As JSON"),
      ),
    ),
    h("div", { class: "folds" }, weights, chooser),
    count,
    place,
    rejectedList(table),
    h("p", { class: "quiet" }, table.note ?? ""),
  );

  function rankWords(r) {
    const first = table.rows.find((x) => x.rank === idOf(r)),
      moved = first && first.rank !== r.rank;
    return moved ? `${r.rank} (was ${first.rank})` : `${r.rank}`;
  }
}

/** The number a design is filed under, null for a row that only this ranking brought up. */
const idOf = (r) => (r.design_rank === undefined ? r.rank : r.design_rank);
const generic = (c) => (c.band ? c.key.replace(c.band, "BAND") : c.key);

function shownColumns(columns) {
  const kept = remembered("columns", {});
  return new Set(columns.filter((c) => kept[generic(c)] ?? c.on).map((c) => c.key));
}

function sorted(rows, { key, up }, columns) {
  const { of } = columns.find((c) => c.key === key);
  const order = (a, b) => (typeof a === "string" ? a.localeCompare(b) : a - b);
  const known = (v) => v !== null && v !== undefined;
  return [...rows].sort((p, q) => {
    const [a, b] = [of(p), of(q)];
    if (!known(a) || !known(b)) return Number(known(b)) - Number(known(a));
    return (up ? 1 : -1) * order(a, b);
  });
}
