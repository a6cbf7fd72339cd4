// The bands as cards: a tick, and for what is ticked which part, how much it matters, near or far, and a bearing.

import { button, choice, clear, field, h, number } from "../dom.js";
import { bandWords } from "../words.js";
import { CONTACTS, SEGMENTS, WEIGHTS, freshPart } from "./model.js";

const mhz = (range) => range.map((f) => (f / 1e6).toFixed(3).replace(/0+$/, "").replace(/\.$/, "")).join(" to ");

/** One card for a band; `set(parts)` keeps its wished parts, none where it is not wished. */
export function bandCard(band, parts, set) {
  const card = h("fieldset", { class: "band" }), title = bandWords(band.name);
  draw(parts ?? []);
  return card;

  function draw(now) {
    const had = document.activeElement?.id;
    const tick = h("input", { type: "checkbox", checked: now.length > 0, id: `band-${band.name}`, on: { change: (e) => keep(e.target.checked ? [freshPart()] : []) } });
    card.classList.toggle("wished", now.length > 0);
    clear(card, h("legend", { class: "sr" }, title), h("label", { class: "band-name" }, tick, " ", h("strong", {}, title), h("span", { class: "quiet" }, ` ${mhz(band.segments_hz.all)} MHz`)),
      now.map((part, i) => partForm(now, part, i)),
      now.length ? button("+ another part of this band", () => keep([...now, freshPart()]), { class: "small" }) : null);
    if (had) document.getElementById(had)?.focus();
  }
  function keep(next) {
    set(next);
    draw(next);
  }
  function partForm(now, part, i) {
    const change = (piece, redraw) => {
      Object.assign(part, piece);
      set(now);
      if (redraw) draw(now);
    };
    const segments = [...Object.keys(band.segments_hz), "own"].map((k) => [k, k === "own" ? SEGMENTS.own : `${SEGMENTS[k] ?? k}: ${mhz(band.segments_hz[k])}`]);
    const which = now.length > 1 ? `, part ${i + 1}` : "";
    return h("div", { class: "part" },
      field(`Which part${which}`, choice(segments, part.segment, (v) => change({ segment: v }, true), { id: `seg-${band.name}-${i}` })),
      part.segment === "own" ? h("div", { class: "pair" }, field("from", number(part.low, (v) => change({ low: v })), "", "MHz"), field("to", number(part.high, (v) => change({ high: v })), "", "MHz")) : null,
      field("It is", choice(known(WEIGHTS, part.weight), String(part.weight), (v) => change({ weight: Number(v) }))),
      field("Contacts", choice(CONTACTS, part.contacts, (v) => change({ contacts: v }))),
      field("A bearing, if one matters", number(part.bearing, (v) => change({ bearing: v }), { min: 0, max: 360, placeholder: "all round" }), "", "°"),
      now.length > 1 ? button("Remove this part", () => keep(now.filter((p) => p !== part)), { class: "small danger" }) : null);
  }
}

const known = (options, value) => {
  const all = options.map(([v, w]) => [String(v), w]);
  return all.some(([v]) => v === String(value)) ? all : [...all, [String(value), `weight ${value}`]];
};
