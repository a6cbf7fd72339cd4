// Where the watts go, part by part, and where the money goes.

import { fold, h, s } from "../dom.js";
import { figureTable } from "./figures.js";
import { bandWords, money, share } from "../words.js";

const WORDS = {
  sky: "to the sky",
  soil: "warms the soil",
  line: "line",
  wire: "wire",
  traps: "traps",
  coils: "coils",
  transformer: "transformer",
  choke: "choke",
  tuner: "tuner",
  counterpoise: "counterpoise",
  shield: "outside of the line",
};
const LOOK = { sky: "sky", soil: "soil", line: "line" };
const WIDE = 420,
  HIGH = 26;

export function powerSection(design) {
  const bands = Object.entries(design.bands).map(([key, b]) => [key, sortedBudget(b.power_budget ?? {})]);
  const names = [...new Set(bands.flatMap(([, parts]) => parts.map(([n]) => n)))];
  return h(
    "section",
    { class: "card", "aria-labelledby": "s-power" },
    h("h2", { id: "s-power" }, "Where the watts go"),
    h("p", { class: "hint" }, "Of every 100 W the radio gives, mean over the wished part."),
    bands.map(([key, parts]) => bar(key, parts)),
    figureTable({
      head: ["", ...bands.map(([key]) => bandWords(key))],
      lines: names.map((name) => [wordsOf(name), ...bands.map(([, parts]) => tenths(parts.find(([n]) => n === name)?.[1]))]),
    }),
  );
}

const wordsOf = (name) => WORDS[name] ?? name.replaceAll("_", " ");
const tenths = (v) => (v === undefined ? "–" : `${(100 * v).toFixed(v < 0.1 ? 1 : 0)} %`);
const sortedBudget = (budget) =>
  Object.entries(budget)
    .filter(([, v]) => v > 0.0005)
    .sort(([a, x], [b, y]) => (a === "sky" ? -1 : b === "sky" ? 1 : y - x));

function bar(key, parts) {
  let x = 0;
  const total = parts.reduce((t, [, v]) => t + v, 0) || 1;
  const slabs = parts.map(([name, v]) => {
    const wide = (v / total) * WIDE,
      at = x;
    x += wide;
    const text = wide > 60 ? `${wordsOf(name)} ${share(v)}` : wide > 28 ? share(v) : "";
    return [
      s("rect", { class: `slab budget-${LOOK[name] ?? "other"}`, x: at, y: 0, width: wide, height: HIGH }),
      text ? s("text", { class: "on-slab", x: at + wide / 2, y: 17, "text-anchor": "middle" }, wide > 110 ? text : share(v)) : null,
    ];
  });
  const words = parts.map(([n, v]) => `${wordsOf(n)} ${share(v)}`).join(", ");
  return h(
    "div",
    { class: "watt-bar" },
    h("strong", {}, bandWords(key)),
    s("svg", { viewBox: `-1 -1 ${WIDE + 2} ${HIGH + 2}`, class: "chart", role: "img", "aria-label": `${bandWords(key)}: ${words}` }, washes(), slabs),
  );
}

const washes = () =>
  s(
    "defs",
    {},
    [
      ["soil", "M0 8L8 0"],
      ["line", "M0 4H8"],
      ["other", "M4 0V8"],
    ].map(([id, d]) =>
      s(
        "pattern",
        { id: `b-${id}`, width: 8, height: 8, patternUnits: "userSpaceOnUse" },
        s("rect", { width: 8, height: 8, class: `wash-b-${id}` }),
        s("path", { d, class: "pencil" }),
      ),
    ),
  );

const DEAREST = 6;

/** `onHand(row, yes)` is told what somebody has already. */
export function partsSection(design, onHand) {
  const uses = new Map();
  for (const p of design.parts) uses.set(p.use, (uses.get(p.use) ?? 0) + p.price);
  const dear = [...uses].sort(([, a], [, b]) => b - a).slice(0, DEAREST),
    most = dear[0]?.[1] || 1;
  const costBar = ([use, price]) =>
    h("div", {}, h("span", {}, use), h("meter", { min: 0, max: most, value: price, "aria-label": use }), h("span", { class: "num" }, money(price)));
  const tool = (t) => h("li", {}, `${t.item}${t.price ? `, ${money(t.price, design.currency)}` : ""}`);
  return h(
    "section",
    { class: "card wide", "aria-labelledby": "s-parts" },
    h("h2", { id: "s-parts" }, `Parts, ${money(design.cost, design.currency)}`),
    h("div", { class: "cost-bars" }, dear.map(costBar)),
    fold(
      `All ${design.parts.length} parts`,
      h(
        "div",
        { class: "drawing-box" },
        figureTable({ head: ["Part", "How much", "each", design.currency, "I have it"], lines: design.parts.map((p) => partLine(p, onHand)) }),
      ),
      h("p", { class: "hint" }, "Tick what you have: “Change something” then counts it as free."),
    ),
    fold(`Tools and instruments, not counted (${design.tools.length})`, h("ul", {}, design.tools.map(tool))),
  );
}

function partLine(p, onHand) {
  const tick = h("input", {
    type: "checkbox",
    checked: p.on_hand,
    "aria-label": `I have ${p.item}`,
    on: { change: (e) => onHand(p, e.target.checked) },
  });
  return [
    [p.item, h("small", { class: "range" }, p.use)],
    `${p.quantity} ${p.unit === "piece" ? "" : p.unit}`,
    money(p.unit_price),
    money(p.price),
    p.part ? tick : "",
  ];
}
