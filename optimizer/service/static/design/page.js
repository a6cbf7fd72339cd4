// One design: where it hangs, how it matches and radiates, what it loses and costs, people, sheet, trimming, and what if.

import { button, clear, h, link } from "../dom.js";
import * as api from "../api.js";
import { fixed, money, share, bandWords, spread } from "../words.js";
import { partsSection, powerSection } from "./budget.js";
import { figureTable } from "./figures.js";
import { thumb } from "../run/thumb.js";
import { peopleSection, wiresOf } from "./people.js";
import { rerunSection } from "./rerun.js";
import { skySection } from "./sky.js";
import { held } from "./stock.js";
import { swrSection } from "./swr.js";

export async function show(main, { run: id, rank }, { signal }) {
  const [run, design] = await Promise.all([api.run(id), api.design(id, rank)]);
  const site = await api.site(run.site).catch(() => null),
    base = `runs/${id}/designs/${rank}`;
  const ticks = new Map();
  const onHand = () => (ticks.size ? { on_hand: held(run.wish.on_hand ?? {}, design.parts, ticks) } : {});
  const curves = h("div", { class: "wide" }, h("p", { class: "quiet" }, "computing the curves …")),
    sky = h("div", { class: "wide" });
  clear(
    main,
    h("p", { class: "quiet" }, link(`#/run/${id}`, `← all designs for ${run.site_name}`)),
    h("h1", { tabindex: "-1" }, `${design.rank}. ${design.design}`),
    facts(design),
    h("p", {}, h("strong", {}, "Needs: "), design.needs, "."),
    design.weak_point ? h("p", { class: "quiet" }, h("strong", {}, "Weak point: "), design.weak_point) : null,
    h(
      "p",
      { class: "row-of" },
      link(api.address(`${base}/sheet.html`), "Sheet to print", { class: "as-button strong", target: "_blank" }),
      pdf(`${base}/sheet.pdf`),
      link(api.address(`${base}/sheet.html?lengths=imperial`), "in feet and inches", { target: "_blank" }),
      link(`#/run/${id}/design/${rank}/trim`, "Trim log", { class: "as-button" }),
      link(api.address(base), "design file", { download: `design-${rank}.json` }),
    ),
    h(
      "div",
      { class: "design-page" },
      h(
        "div",
        { class: "column" },
        drawing(
          "From above",
          `${base}/plan.svg`,
          `Plan of ${design.design}`,
          site && thumb(site.drawing, wiresOf(design), "plan, being drawn", { width: 420, height: 420 }),
        ),
      ),
      h("div", { class: "column" }, drawing("From the side", `${base}/side.svg`, `Side view of ${design.design}`), powerSection(design)),
      curves,
      sky,
      h("div", { class: "column" }, peopleSection(design, site)),
      h(
        "div",
        { class: "column" },
        h("section", { class: "card", "aria-labelledby": "s-certain" }, h("h2", { id: "s-certain" }, "How sure"), sureness(design)),
        rerunSection(run, design, site?.drawing.height_limit_m ?? 15, onHand),
      ),
      partsSection(design, (row, yes) => ticks.set(row, yes)),
    ),
  );
  const late = (place, part, make) =>
    api.design(id, rank, part).then(
      (answer) => {
        if (!signal.aborted) place.replaceWith(make(answer));
      },
      (error) => clear(place, h("p", { class: "fault" }, `! ${error.message}`)),
    );
  late(curves, "curves", (answer) => swrSection({ curves: answer, design }));
  late(sky, "sky", (answer) => skySection({ sky: answer, design }));
}

function facts(design) {
  const masts = design.placement.masts.map((m) => `${fixed(m.height_m)} m`).join(" + ") || "none";
  const wire = Object.values(design.bands)[0]
    .case.wires.filter((w) => w.role !== "line")
    .reduce((t, w) => t + w.points_m.slice(1).reduce((u, p, i) => u + Math.hypot(...p.map((c, k) => c - w.points_m[i][k])), 0), 0);
  return h(
    "dl",
    { class: "facts-row" },
    [
      ["Score", fixed(design.score)],
      ["Cost", money(design.cost, design.currency)],
      ["Mast", masts],
      ["Wire in the air", `${fixed(wire)} m`],
      ["Line", `${fixed(design.feed.line_length_m)} m`],
      ["Feed", design.feed.impedance_ratio ? `${design.feed.impedance_ratio}:1` : "direct"],
    ].map(([k, v]) => h("div", {}, h("dt", {}, k), h("dd", {}, v))),
  );
}

/** The PDF is made on demand, which takes a while: first made, then a link. */
function pdf(path) {
  const key = button("Make a PDF", async () => {
    key.disabled = true;
    key.textContent = "making the PDF …";
    const answer = await fetch(api.address(path)).catch(() => null);
    const why = answer?.ok ? null : ((await answer?.json().catch(() => null))?.error?.message ?? "the service gave no answer");
    key.replaceWith(
      why
        ? h("span", { class: "fault", role: "alert" }, `! no PDF: ${why}`)
        : link(api.address(path), "Open the PDF", { target: "_blank", class: "as-button" }),
    );
  });
  return key;
}

/** The service's drawing; until it is there, the page's own small plan. */
function drawing(title, path, alt, meanwhile) {
  const picture = h("img", { src: api.address(path), alt, hidden: true }),
    wait = meanwhile ?? h("p", { class: "quiet" }, "drawing …");
  const box = h("div", { class: "drawing-box", tabindex: "0", role: "region", "aria-label": `${alt}, scrolls sideways` }, wait, picture);
  picture.addEventListener("load", () => {
    picture.hidden = false;
    wait.remove();
  });
  picture.addEventListener("error", () => wait.replaceWith(h("p", { class: "fault" }, "! The drawing could not be made.")));
  return h(
    "section",
    { class: "card" },
    h("h2", {}, title),
    box,
    h("p", { class: "quiet" }, link(api.address(path), "larger", { target: "_blank" })),
  );
}

function sureness({ spread: s }) {
  if (!s) return h("p", {}, "The plan alone: time did not reach the trial in many gardens for this one. Search a little longer to see the spread.");
  const whole = (v) => share(v).replace(" ", "\u00a0"); // a line may break between two figures, not within one
  const line = ([key, b]) => [
    bandWords(key),
    b.covered_share.map(whole).join(" to "),
    b.efficiency.map(whole).join(" to "),
    spread(...b.swr_best, 2),
    spread(...b.gain_far_dbi, 1),
  ];
  const told = `Built and trimmed in ${s.gardens} drawn gardens like yours; four of five come between these. Trimming ends on target in ${share(s.on_target_share)}, by cutting alone in ${share(s.trimmable_share)}, with some ${fixed(s.trim_moves, 0)} cuts and folds.`;
  const table = figureTable({ head: ["", "covered", "to the sky", "best SWR", "far gain, dBi"], lines: Object.entries(s.bands).map(line) });
  return [h("p", {}, told), h("div", { class: "drawing-box" }, table)];
}
