// What counts how much: sliders that re-rank the table from stored figures, without a new search.

import { button, fold, h, uid } from "../dom.js";

const SLIDERS = [
  ["efficiency", "Power to the sky", 0.25, 0, 0.5, "share of a band's worth"],
  ["gain", "Direction: near or far as wished", 0.25, 0, 0.5, "share of a band's worth; being on the band at all is the rest"],
  ["thrift", "A low price", 0.1, 0, 0.5, "how much of the score a high price may take away"],
  ["ease", "Easy trimming", 0.05, 0, 0.5, "how much of the score a nuisance to trim may take away"],
  ["quantile", "Caution", 0.25, 0.05, 0.5, "the share of gardens that may do worse than the score says; lower is more cautious"],
];

export function weightsPanel(table, rerank) {
  const start = Object.fromEntries(SLIDERS.map(([key, , value]) => [key, table.weights?.[key] ?? value])), now = { ...start }, knobs = [];
  const slider = ([key, label, , low, high, help]) => {
    const id = uid("w"), out = h("output", { for: id }, now[key].toFixed(2));
    const knob = h("input", { type: "range", id, min: low, max: high, step: 0.05, value: now[key], "aria-describedby": `${id}-h`, on: { input: (e) => set(Number(e.target.value)) } });
    const set = (v) => {
      now[key] = v;
      out.textContent = v.toFixed(2);
      rerank({ ...now });
    };
    knobs.push(() => {
      knob.value = start[key];
      out.textContent = start[key].toFixed(2);
    });
    return h("div", { class: "slider" }, h("label", { for: id }, label), knob, out, h("small", { class: "hint", id: `${id}-h` }, help));
  };
  const reset = () => {
    Object.assign(now, start);
    knobs.forEach((k) => k());
    rerank(null);
  };
  return fold("What counts how much", h("div", { class: "sliders" }, SLIDERS.map(slider)), h("p", { class: "row-of" }, button("As at first", reset, { class: "small" })));
}
