// The first view: begin with a lot, or go on where things were left.

import { button, clear, h, link } from "./dom.js";
import * as api from "./api.js";
import { draftLot } from "./store.js";
import { thumb } from "./run/thumb.js";
import { wishWords } from "./run/wish_words.js";
import { stateWords } from "./words.js";

export async function show(main, _, { signal }) {
  const kept = h("div", { class: "kept" }),
    draft = draftLot();
  clear(
    main,
    h(
      "section",
      { class: "welcome" },
      h(
        "div",
        {},
        h("h1", { tabindex: "-1" }, "Which wire fits your garden?"),
        h(
          "p",
          { class: "lead" },
          "Draw the lot, say which bands you want to be on, and see what to put up: which wire, where, from what, at what price, cut to what length.",
        ),
        h(
          "p",
          { class: "row-of" },
          link("#/lot/new/empty", "Draw my lot", { class: "as-button strong" }),
          link("#/lot/new/example", "Try the example lot", { class: "as-button" }),
          draft?.drawing?.features?.length ? link("#/lot", `Go on drawing: ${draft.drawing.site.name}`, { class: "as-button" }) : null,
        ),
        h(
          "ol",
          { class: "way" },
          h("li", {}, h("strong", {}, "Lot"), " Tap the corners; house, trees, overhead lines, hooks, where the radio is. A tape measure is enough."),
          h("li", {}, h("strong", {}, "Wishes"), " Bands, near or far, power, purse, how tall a mast may be."),
          h("li", {}, h("strong", {}, "Designs"), " Thousands of placements are computed over real soil; the best few are ranked with reasons."),
          h("li", {}, h("strong", {}, "Build"), " A sheet to print: parts, cuts, where it stands; then trim by the log."),
        ),
      ),
      picture(),
    ),
    kept,
  );
  await fill(kept, signal).catch((error) => {
    if (error.status === 401) throw error;
    clear(kept, h("p", { class: "fault" }, `! ${error.message}`));
  });
}

/** What it is about, in one drawing: a garden with a wire over one mast. Not the answer to anything. */
function picture() {
  const area = (role, ...points) => ({ role, rings_m: [points] });
  const garden = {
    features: [
      area("lot", [0, 0], [19, 0], [20, 15], [0, 15]),
      area("building", [1, 1.5], [7, 1.5], [7, 8], [1, 8]),
      area("people", [8, 2], [11, 2], [11, 5], [8, 5]),
      { role: "tree", at_m: [16.5, 4], crown_radius_m: 2.2 },
    ],
  };
  const wires = [
    {
      role: "radiator",
      points_m: [
        [7, 7.6],
        [13, 10.5],
        [19, 14],
      ],
    },
    {
      role: "line",
      points_m: [
        [7, 3.5],
        [7.2, 7.5],
      ],
    },
  ];
  return h("div", { class: "picture", "aria-hidden": "true" }, thumb(garden, wires, "a garden with a wire", { width: 360, height: 280 }));
}

async function fill(box, signal) {
  const [sites, runs] = await Promise.all([api.sites(), api.runs()]);
  if (signal.aborted) return;
  const names = Object.fromEntries(sites.items.map((s) => [s.id, s.name]));
  const again = () => fill(box, signal);
  clear(
    box,
    sites.items.length
      ? h(
          "section",
          { "aria-label": "Kept lots" },
          h("h2", {}, "Your lots"),
          h(
            "ul",
            { class: "cards" },
            sites.items.map((s) => siteCard(s, again)),
          ),
        )
      : null,
    runs.items.length
      ? h(
          "section",
          { "aria-label": "Searches" },
          h("h2", {}, "Searches"),
          h(
            "ul",
            { class: "cards" },
            runs.items.map((r) => runCard(r, names, again)),
          ),
        )
      : null,
  );
}

const siteCard = (s, again) =>
  h(
    "li",
    { class: "card" },
    h("h3", {}, link(`#/lot/${s.id}`, s.name)),
    h("p", { class: "quiet" }, `${s.summary?.area_m2?.toFixed?.(0) ?? "?"} m²`),
    h(
      "p",
      { class: "row-of" },
      link(`#/wish/${s.id}`, "Wishes", { class: "small" }),
      link(`#/planner/${s.id}`, "Space planner", { class: "small" }),
      remove(`Remove lot ${s.name}`, () => api.dropSite(s.id), again),
    ),
  );

const runCard = (r, names, again) =>
  h(
    "li",
    { class: "card" },
    h("h3", {}, link(`#/run/${r.id}`, names[r.site] ?? r.site_name ?? "a search")),
    h("p", { class: "quiet" }, `${stateWords(r.state)}${r.made_at ? ` · ${new Date(r.made_at * 1000).toLocaleString()}` : ""}`),
    h("p", {}, wishWords(r.wish, r.change)),
    h(
      "p",
      { class: "row-of" },
      remove("Remove this search", () => api.dropRun(r.id), again),
    ),
  );

function remove(words, run, again) {
  const key = button(
    "Remove",
    async () => {
      if (key.dataset.sure) {
        try {
          await run();
        } catch (error) {
          key.after(h("span", { class: "fault" }, ` ! ${error.message}`));
          return;
        }
        return again();
      }
      key.dataset.sure = "yes";
      key.textContent = "Really remove?";
    },
    { class: "small danger", "aria-label": words },
  );
  return key;
}
