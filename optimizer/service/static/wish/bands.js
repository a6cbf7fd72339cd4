// The bands: a tick each; what is ticked gets a line: which part, how much it matters, near or far, a bearing.

import { button, choice, clear, field, h, number } from "../dom.js";
import { bandWords } from "../words.js";
import { CONTACTS, SEGMENTS, WEIGHTS, freshPart } from "./model.js";

const mhz = (range) => range.map((f) => (f / 1e6).toFixed(3).replace(/0+$/, "").replace(/\.$/, "")).join(" to ");

/** All bands; `wished`: {band: [part, …]} is changed in place, `keep` is told. */
export function bandChooser(bands, wished, keep) {
  const rows = h("div", { class: "band-rows" });
  const tick = (b) => {
    const set = (e) => {
      if (e.target.checked) wished[b.name] = [freshPart()];
      else delete wished[b.name];
      changed();
    };
    return h(
      "label",
      { class: "band" },
      h("input", { type: "checkbox", id: `band-${b.name}`, checked: Boolean(wished[b.name]), on: { change: set } }),
      h("strong", {}, bandWords(b.name)),
      h("small", { class: "quiet" }, `${mhz(b.segments_hz.all)} MHz`),
    );
  };
  const changed = () => {
    keep();
    clear(
      rows,
      bands.filter((b) => wished[b.name]).map((b) => bandRow(b, wished[b.name], changed, keep)),
    );
  };
  const chips = h("div", { class: "bands", role: "group", "aria-label": "Bands wished" }, bands.map(tick));
  changed();
  return h("div", {}, chips, rows);
}

function bandRow(band, parts, changed, keep) {
  const title = bandWords(band.name),
    several = parts.length > 1;
  return h(
    "fieldset",
    { class: "band-row" },
    h("legend", {}, title),
    parts.map((part, i) =>
      partLine(
        band,
        part,
        several ? ` ${i + 1}` : "",
        changed,
        keep,
        several
          ? () => {
              parts.splice(i, 1);
              changed();
            }
          : null,
      ),
    ),
    button(
      "+ another part of this band",
      () => {
        parts.push(freshPart());
        changed();
      },
      { class: "small" },
    ),
  );
}

function partLine(band, part, which, changed, keep, remove) {
  const change = (piece) => {
    Object.assign(part, piece);
    keep();
  };
  const own = part.segment === "own";
  const segments = [...Object.keys(band.segments_hz), "own"].map((k) => [
    k,
    k === "own" ? SEGMENTS.own : `${SEGMENTS[k] ?? k}, ${mhz(band.segments_hz[k])}`,
  ]);
  return h(
    "div",
    { class: "part" },
    field(
      `Part${which}`,
      choice(segments, part.segment, (v) => {
        change({ segment: v });
        changed();
      }),
    ),
    own
      ? h(
          "div",
          { class: "pair" },
          field(
            "from",
            number(part.low, (v) => change({ low: v })),
            "",
            "MHz",
          ),
          field(
            "to",
            number(part.high, (v) => change({ high: v })),
            "",
            "MHz",
          ),
        )
      : null,
    field(
      "It is",
      choice(known(WEIGHTS, part.weight), String(part.weight), (v) => change({ weight: Number(v) })),
    ),
    field(
      "Contacts",
      choice(CONTACTS, part.contacts, (v) => change({ contacts: v })),
    ),
    field(
      "Bearing",
      number(part.bearing, (v) => change({ bearing: v }), { min: 0, max: 360, placeholder: "all" }),
      "",
      "°",
    ),
    remove ? button("Remove", remove, { class: "small danger", "aria-label": `remove part${which} of ${bandWords(band.name)}` }) : null,
  );
}

const known = (options, value) => {
  const all = options.map(([v, w]) => [String(v), w]);
  return all.some(([v]) => v === String(value)) ? all : [...all, [String(value), `weight ${value}`]];
};
