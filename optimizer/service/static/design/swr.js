// SWR at the radio over each wished part, the spread of gardens around it, what the radio accepts, and the part wished.

import { fold, h } from "../dom.js";
import { bandWords, fixed } from "../words.js";
import { chart } from "./chart.js";
import { figureTable } from "./figures.js";

const TOP = 4;
const mhz = (hz) => hz / 1e6;

/** What four gardens of five keep to, from the design file; undefined where it was not tried in gardens. */
function spreadOf(design, key) {
  const b = design?.bands[key];
  return b?.radio_swr_low && { xs: b.case.frequencies_mhz, lows: b.radio_swr_low, highs: b.radio_swr_high };
}

/** One chart for a band; `designs`: [{name, curves, design}], with the answer of …/curves, and the design file where its spread shows. */
export function swrChart(key, designs, words) {
  const parts = designs.map((d) => ({ ...d, band: d.curves.bands.find((b) => b.key === key) })).filter((d) => d.band);
  if (!parts.length) return null;
  const first = parts[0].band,
    limit = designs[0].curves.swr_limit;
  const least = Math.min(...parts.flatMap((p) => p.band.swr)),
    top = Math.max(TOP, Math.ceil(Math.min(10, least + 1)), limit + 1);
  const lines = parts.map(({ name, band, design }) => ({ name, xs: band.freq_hz.map(mhz), ys: band.swr, spread: spreadOf(design, key) }));
  const xs = lines.flatMap((l) => l.xs);
  return chart({
    title: `${bandWords(key)}: SWR at the radio`,
    lines,
    limit: { at: limit, words: `the radio accepts ${limit}` },
    span: [mhz(first.low_hz), mhz(first.high_hz)],
    x: { low: Math.min(...xs), high: Math.max(...xs), name: "MHz" },
    y: { low: 1, high: top, show: (v) => fixed(v, Number.isInteger(v) ? 0 : 1) },
    words,
  });
}

export function swrSection({ curves, design }) {
  const told = (b) => {
    const within = b.freq_hz.map((f, i) => [f, b.swr[i]]).filter(([f]) => f >= b.low_hz - 1 && f <= b.high_hz + 1);
    const best = within.reduce((a, c) => (c[1] < a[1] ? c : a)),
      edges = [within[0], within.at(-1)];
    return `${bandWords(b.key)}: best ${fixed(best[1], 2)} at ${mhz(best[0]).toFixed(3)} MHz; ${edges.map(([f, v]) => `${fixed(v, 2)} at ${mhz(f).toFixed(3)}`).join(", ")}.`;
  };
  return h(
    "section",
    { class: "card wide", "aria-labelledby": "s-swr" },
    h("h2", { id: "s-swr" }, "Match"),
    h(
      "p",
      { class: "hint" },
      "Green: the part you wished. Under the dashed line the radio is content.",
      curves.bands.some((b) => spreadOf(design, b.key)) ? " Shaded: four gardens of five lie there." : "",
    ),
    h(
      "div",
      { class: "charts" },
      curves.bands.map((b) => swrChart(b.key, [{ name: design.design, curves, design }], told(b))),
    ),
    fold(
      "The curves as figures",
      curves.bands.map((b) => figures(b, spreadOf(design, b.key))),
    ),
  );
}

function figures(b, spread) {
  const every = Math.ceil(b.freq_hz.length / 14),
    rows = b.freq_hz.map((f, i) => [mhz(f), b.swr[i]]).filter((_, i) => i % every === 0);
  const lines = (list) => list.map(([f, ...values]) => [f.toFixed(3), ...values.map((v) => fixed(v, 2))]);
  const around = spread && spread.xs.map((f, i) => [f, spread.lows[i], spread.highs[i]]);
  return [
    figureTable({ caption: bandWords(b.key), head: ["MHz", "SWR"], lines: lines(rows) }),
    around && figureTable({ caption: `${bandWords(b.key)}, four gardens of five`, head: ["MHz", "from", "to"], lines: lines(around) }),
  ];
}
