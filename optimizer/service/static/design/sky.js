// Where the power goes: by elevation (horizon to overhead) and by bearing (north up, as on the plan).

import { fold, h, s } from "../dom.js";
import { figureTable } from "./figures.js";
import { bandWords, bearingWords, fixed } from "../words.js";

const SIZE = 250,
  RINGS_DB = 10,
  DEEP_DB = 30;
const RAD = Math.PI / 180;

/** Outermost ring: the next 5 dB above everything drawn [dBi]. */
const outer = (values) => Math.ceil(Math.max(...values) / 5 + 1e-9) * 5;
const reach = (dbi, top, radius) => (Math.max(0, dbi - (top - DEEP_DB)) / DEEP_DB) * radius;

/** The design file's sky over the gardens, of a band; undefined where it was not tried in gardens. */
const gardens = (design, key) => design.bands[key]?.sky;

export function skySection({ sky, design }) {
  return h(
    "section",
    { class: "card wide", "aria-labelledby": "s-sky" },
    h("h2", { id: "s-sky" }, "Where it radiates"),
    h(
      "p",
      { class: "hint" },
      `Left: how high above the horizon; far contacts live below 20 degrees, near ones above 60. Right: which way, as on the plan, far (${sky.far_deg}° up, solid) and near (${sky.near_deg}° up, dashed). Rings in dBi, losses counted. Shaded: ${sky.bands.some((b) => gardens(design, b.key)) ? "four gardens of five lie there" : "from the weakest to the strongest bearing"}.`,
    ),
    h(
      "div",
      { class: "charts" },
      sky.bands.map((b) =>
        h(
          "figure",
          { class: "sky" },
          h("figcaption", {}, h("strong", {}, bandWords(b.key)), ` ${told(b, sky)}`),
          h("div", { class: "pair" }, elevationPlot(b, sky, gardens(design, b.key)), bearingPlot(b, sky, gardens(design, b.key))),
        ),
      ),
    ),
    fold(
      "The patterns as figures",
      sky.bands.map((b) => figures(b, sky)),
    ),
  );
}

function told(b, sky) {
  const top = b.mean_dbi.indexOf(Math.max(...b.mean_dbi)),
    far = b.far_dbi.indexOf(Math.max(...b.far_dbi));
  const even = Math.max(...b.far_dbi) - Math.min(...b.far_dbi) < 3;
  return `strongest ${sky.elevation_deg[top].toFixed(0)}° up; far contacts ${even ? "much alike all round" : `best towards ${bearingWords(sky.bearing_deg[far])}`}, ${fixed(b.far_dbi[far])} dBi.`;
}

/** A quarter circle: horizon right, overhead up; the mean over bearings and its spread, else weakest and strongest bearing. */
function elevationPlot(b, sky, spread) {
  const radius = SIZE - 50,
    top = outer([...b.best_dbi, ...(spread?.by_elevation_high_dbi ?? [])]),
    [ox, oy] = [24, SIZE - 22];
  const at = (deg, dbi) => {
    const r = reach(dbi, top, radius);
    return `${(ox + r * Math.cos(deg * RAD)).toFixed(1)} ${(oy - r * Math.sin(deg * RAD)).toFixed(1)}`;
  };
  const run = (values, angles = sky.elevation_deg) => angles.map((e, i) => at(e, values[i]));
  const ends = spread
    ? [run(spread.by_elevation_high_dbi, spread.elevations_deg), run(spread.by_elevation_low_dbi, spread.elevations_deg)]
    : [run(b.best_dbi), run(b.worst_dbi)];
  const area = `M${[...ends[0], ...ends[1].reverse()].join("L")}Z`;
  const arc = (dbi) => {
    const r = reach(dbi, top, radius);
    return s("path", { class: "rule", d: `M${ox + r} ${oy}A${r} ${r} 0 0 0 ${ox} ${oy - r}` });
  };
  const spoke = (deg) => [
    s("path", { class: "rule", d: `M${ox} ${oy}L${at(deg, top)}` }),
    s("text", { ...xy(ox, oy, deg, radius + 6), class: "soft" }, `${deg}°`),
  ];
  return s(
    "svg",
    { viewBox: `0 0 ${SIZE + 14} ${SIZE}`, class: "chart", role: "img", "aria-label": `${bandWords(b.key)}: gain by elevation` },
    rings(top).map((v) => [arc(v), s("text", { x: ox + reach(v, top, radius), y: oy + 14, "text-anchor": "middle", class: "soft" }, `${v}`)]),
    [20, 40, 60, 90].map(spoke),
    s("path", { class: "spread", d: area }),
    s("path", { class: "curve", d: `M${run(b.mean_dbi).join("L")}` }),
    s("path", { class: "axis", d: `M${ox} ${oy}H${ox + radius}` }),
  );
}

const xy = (ox, oy, deg, r) => ({ x: (ox + r * Math.cos(deg * RAD)).toFixed(1), y: (oy - r * Math.sin(deg * RAD) + 4).toFixed(1) });
const rings = (top) => [top, top - RINGS_DB, top - 2 * RINGS_DB];

function bearingPlot(b, sky, spread) {
  const radius = SIZE / 2 - 26,
    mid = SIZE / 2,
    top = outer([...b.far_dbi, ...b.near_dbi, ...(spread?.near_high_dbi ?? [])]);
  const at = (deg, dbi) => {
    const r = reach(dbi, top, radius);
    return `${(mid + r * Math.sin(deg * RAD)).toFixed(1)} ${(mid - r * Math.cos(deg * RAD)).toFixed(1)}`;
  };
  const ring = (values, angles = sky.bearing_deg) => `M${angles.map((d, i) => at(d, values[i])).join("L")}Z`;
  const between = (cut) =>
    spread
      ? s("path", {
          class: "spread",
          d: ring(spread[`${cut}_high_dbi`], spread.bearings_deg) + ring(spread[`${cut}_low_dbi`], spread.bearings_deg),
          "fill-rule": "evenodd",
        })
      : null;
  const letters = [
    ["N", 0],
    ["E", 90],
    ["S", 180],
    ["W", 270],
  ];
  return s(
    "svg",
    { viewBox: `0 0 ${SIZE} ${SIZE}`, class: "chart", role: "img", "aria-label": `${bandWords(b.key)}: gain by bearing` },
    rings(top).map((v) => [
      s("circle", { class: "rule", cx: mid, cy: mid, r: reach(v, top, radius) }),
      s("text", { x: mid + 3, y: mid - reach(v, top, radius) + 12, class: "soft" }, `${v}`),
    ]),
    s("path", { class: "rule", d: `M${mid - radius} ${mid}H${mid + radius}M${mid} ${mid - radius}V${mid + radius}` }),
    letters.map(([t, d]) =>
      s("text", { x: mid + (radius + 13) * Math.sin(d * RAD), y: mid - (radius + 13) * Math.cos(d * RAD) + 4, "text-anchor": "middle" }, t),
    ),
    between("far"),
    between("near"),
    s("path", { class: "curve", d: ring(b.far_dbi) }),
    s("path", { class: "curve curve-1", d: ring(b.near_dbi) }),
  );
}

function figures(b, sky) {
  const rows = sky.elevation_deg
    .map((e, i) => [e, b.mean_dbi[i], b.worst_dbi[i], b.best_dbi[i]])
    .filter(([e]) => e % 10 === 0 || e === 5 || e === 15);
  const round = sky.bearing_deg.map((d, i) => [d, b.far_dbi[i], b.near_dbi[i]]).filter(([d]) => d % 30 === 0);
  const lines = (list) => list.map(([first, ...values]) => [first.toFixed(0), ...values.map((v) => fixed(v))]);
  return h(
    "div",
    { class: "pair" },
    figureTable({ caption: `${bandWords(b.key)} by elevation, dBi`, head: ["up, °", "mean", "weakest bearing", "strongest"], lines: lines(rows) }),
    figureTable({
      caption: `${bandWords(b.key)} by bearing, dBi`,
      head: ["bearing, °", `at ${sky.far_deg}°`, `at ${sky.near_deg}°`],
      lines: lines(round),
    }),
  );
}
