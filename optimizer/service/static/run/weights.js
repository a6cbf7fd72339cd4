// What counts how much: sliders that re-rank the table from stored figures, without a new search.

import { button, fold, h, uid } from "../dom.js";

const SLIDERS = [
  ["efficiency", "Power to the sky", 0, 0.5, "share of a band's worth"],
  ["gain", "Direction: near or far as wished", 0, 0.5, "share of a band's worth; being on the band at all is the rest"],
  ["thrift", "A low price", 0, 0.5, "how much of the score a high price may take away"],
  ["handling", "No handwork for a change of band", 0, 0.5, "how much of the score it may take away that a wire is let down for another band"],
  ["ease", "Easy trimming", 0, 0.5, "how much of the score a nuisance to trim may take away"],
  ["quantile", "Caution", 0.05, 0.5, "the share of gardens that may do worse than the score says; lower is more cautious"],
];

/** `rerank(weights)`, null for those of the search; `searchOn(weights)` starts a new search with them. */
export function weightsPanel(table, rerank, searchOn) {
  if (!table.weights) return null;
  const start = table.weights,
    now = { ...start },
    knobs = [];
  const slider = ([key, label, low, high, help]) => {
    const id = uid("w"),
      out = h("output", { for: id }, now[key].toFixed(2));
    const knob = h("input", {
      type: "range",
      id,
      min: low,
      max: high,
      step: 0.05,
      value: now[key],
      "aria-describedby": `${id}-h`,
      on: { input: (e) => set(Number(e.target.value)) },
    });
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
  return fold(
    "What counts how much",
    h("div", { class: "sliders" }, SLIDERS.filter(([key]) => key in start).map(slider)),
    h(
      "p",
      { class: "row-of" },
      button("As at first", reset, { class: "small" }),
      button("Search on with these weights", () => searchOn({ ...now }), { class: "small" }),
    ),
  );
}
