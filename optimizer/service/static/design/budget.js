// Where the watts go, part by part, and where the money goes.

import { h, s } from "../dom.js";
import { bandWords, money, share } from "../words.js";

const WORDS = { sky: "to the sky", soil: "warms the soil", line: "line", wire: "wire", traps: "traps", coils: "coils", transformer: "transformer", choke: "choke", tuner: "tuner", counterpoise: "counterpoise", shield: "outside of the line" };
const LOOK = { sky: "sky", soil: "soil", line: "line" };
const WIDE = 420, HIGH = 26;

export function powerSection(design) {
  const bands = Object.entries(design.bands).map(([key, b]) => [key, sortedBudget(b.power_budget ?? {})]);
  const names = [...new Set(bands.flatMap(([, parts]) => parts.map(([n]) => n)))];
  return h("section", { class: "card", "aria-labelledby": "s-power" }, h("h2", { id: "s-power" }, "Where the watts go"),
    h("p", { class: "hint" }, "Of every 100 W the radio gives, mean over the wished part."), bands.map(([key, parts]) => bar(key, parts)),
    h("table", { class: "figures" }, h("thead", {}, h("tr", {}, h("td", {}), bands.map(([k]) => h("th", { scope: "col", class: "num" }, bandWords(k))))),
      h("tbody", {}, names.map((n) => h("tr", {}, h("th", { scope: "row" }, WORDS[n] ?? n.replaceAll("_", " ")), bands.map(([, parts]) => h("td", { class: "num" }, tenths(parts.find(([m]) => m === n)?.[1]))))))));
}

const tenths = (v) => (v === undefined ? "–" : `${(100 * v).toFixed(v < 0.1 ? 1 : 0)} %`);
const sortedBudget = (budget) => Object.entries(budget).filter(([, v]) => v > 0.0005).sort(([a, x], [b, y]) => (a === "sky" ? -1 : b === "sky" ? 1 : y - x));

function bar(key, parts) {
  let x = 0;
  const total = parts.reduce((t, [, v]) => t + v, 0) || 1;
  const slabs = parts.map(([name, v]) => {
    const wide = (v / total) * WIDE, at = x;
    x += wide;
    const text = wide > 60 ? `${WORDS[name] ?? name} ${share(v)}` : wide > 28 ? share(v) : "";
    return [s("rect", { class: `slab budget-${LOOK[name] ?? "other"}`, x: at, y: 0, width: wide, height: HIGH }), text ? s("text", { class: "on-slab", x: at + wide / 2, y: 17, "text-anchor": "middle" }, wide > 110 ? text : share(v)) : null];
  });
  const words = parts.map(([n, v]) => `${WORDS[n] ?? n} ${share(v)}`).join(", ");
  return h("div", { class: "watt-bar" }, h("strong", {}, bandWords(key)), s("svg", { viewBox: `-1 -1 ${WIDE + 2} ${HIGH + 2}`, class: "chart", role: "img", "aria-label": `${bandWords(key)}: ${words}` }, washes(), slabs));
}

const washes = () => s("defs", {}, [["soil", "M0 8L8 0"], ["line", "M0 4H8"], ["other", "M4 0V8"]].map(([id, d]) => s("pattern", { id: `b-${id}`, width: 8, height: 8, patternUnits: "userSpaceOnUse" }, s("rect", { width: 8, height: 8, class: `wash-b-${id}` }), s("path", { d, class: "pencil" }))));

export function partsSection(design, onHand) {
  const groups = new Map();
  for (const p of design.parts) groups.set(p.use, (groups.get(p.use) ?? 0) + p.price);
  const dear = [...groups].sort(([, a], [, b]) => b - a).slice(0, 6), most = dear[0]?.[1] || 1;
  const line = (p) => h("tr", {}, onHand ? h("td", {}, p.part ? h("input", { type: "checkbox", checked: p.on_hand, "aria-label": `I have ${p.item}`, on: { change: (e) => onHand(p, e.target.checked) } }) : null) : null,
    h("th", { scope: "row" }, p.item, h("small", { class: "range" }, p.use)), h("td", { class: "num" }, `${p.quantity} ${p.unit === "piece" ? "" : p.unit}`), h("td", { class: "num" }, money(p.unit_price)), h("td", { class: "num" }, p.on_hand ? "have it" : money(p.price)));
  const table = (caption, rows, tick) => h("table", { class: "figures parts" }, h("caption", { class: "sr" }, caption), h("thead", {}, h("tr", {}, tick ? h("th", { scope: "col" }, "have") : null, ["Part", "How much", "each", design.currency].map((t, i) => h("th", { scope: "col", class: i ? "num" : "" }, t)))), h("tbody", {}, rows));
  return h("section", { class: "card wide", "aria-labelledby": "s-parts" }, h("h2", { id: "s-parts" }, `Parts, ${money(design.cost, design.currency)}`),
    h("div", { class: "cost-bars" }, dear.map(([use, price]) => h("div", {}, h("span", {}, use), h("meter", { min: 0, max: most, value: price, "aria-label": use }), h("span", { class: "num" }, money(price))))),
    h("details", {}, h("summary", {}, `All ${design.parts.length} parts`), h("div", { class: "drawing-box" }, table("Parts", design.parts.map(line), Boolean(onHand))), onHand ? h("p", { class: "hint" }, "Tick what you have: “Change something” below then counts it as free.") : null),
    h("details", {}, h("summary", {}, `Tools and instruments, not counted (${design.tools.length})`), h("ul", {}, design.tools.map((t) => h("li", {}, `${t.item}${t.price ? `, ${money(t.price, design.currency)}` : ""}`)))));
}
