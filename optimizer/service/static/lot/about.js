// The lot's own particulars: name, limits, country, soil, and which way is north.

import { button, choice, field, fold, h, number } from "../dom.js";
import { turned } from "./geometry.js";
import { withSite } from "./model.js";
import { turnedSurvey } from "./survey.js";

const COUNTRIES = [
  ["", "another"],
  ["GB", "United Kingdom"],
  ["DE", "Germany"],
  ["US", "United States"],
  ["CA", "Canada"],
  ["AU", "Australia"],
  ["JP", "Japan"],
];
const HOME = { GB: [1, "GBP"], DE: [1, "EUR"], US: [2, "USD"], CA: [2, "CAD"], AU: [3, "AUD"], JP: [3, "JPY"] };
const REGIONS = [
  ["1", "1: Europe, Africa, northern Asia"],
  ["2", "2: the Americas"],
  ["3", "3: southern Asia, Pacific"],
];
const SOILS = [
  ["average", "average garden"],
  ["good", "moist clay or loam"],
  ["very good", "rich wet pasture"],
  ["poor", "rocky or sandy"],
  ["very poor", "town ground, rubble"],
  ["sandy dry", "dry sand"],
  ["wet ground", "wet ground"],
  ["medium dry ground", "medium dry"],
  ["very dry ground", "very dry"],
  ["fresh water", "fresh water"],
  ["sea water", "sea water"],
];

export function aboutLot(editor) {
  const { site } = editor.drawing;
  const set = (part) => editor.set(withSite(editor.drawing, part));
  const given = (key, v) => (v === null ? dropped(editor, key) : set({ [key]: v }));
  const country = choice(known(COUNTRIES, site.country ?? ""), site.country ?? "", (v) => {
    const [itu_region, currency] = HOME[v] ?? [site.itu_region, site.currency];
    editor.set({ ...editor.drawing, site: { ...without(editor.drawing.site, "country"), itu_region, currency, ...(v ? { country: v } : {}) } });
  });
  const soil =
    typeof site.soil === "string" ? choice(known(SOILS, site.soil), site.soil, (v) => set({ soil: v })) : h("output", {}, "as in the file");
  return h(
    "div",
    { class: "about" },
    field(
      "Name",
      h("input", { type: "text", maxlength: 80, value: site.name, on: { change: (e) => set({ name: e.target.value.trim() || "My garden" }) } }),
    ),
    h(
      "div",
      { class: "pair" },
      field(
        "Nothing higher than",
        number(site.height_limit_m, (v) => given("height_limit_m", v), { min: 0 }),
        "landlord, council, or what you dare",
        "m",
      ),
      field(
        "Stay off the boundary by",
        number(site.setback_m ?? 0, (v) => set({ setback_m: v ?? 0 }), { min: 0 }),
        "",
        "m",
      ),
    ),
    h(
      "div",
      { class: "pair" },
      field("Country", country, "for bands and exposure rules"),
      field(
        "Prices in",
        h("input", {
          type: "text",
          maxlength: 3,
          value: site.currency,
          on: { change: (e) => set({ currency: e.target.value.trim().toUpperCase() }) },
        }),
        "three letters",
      ),
    ),
    field(
      "Radio region",
      choice(REGIONS, String(site.itu_region), (v) => set({ itu_region: Number(v) })),
    ),
    h(
      "div",
      { class: "pair" },
      field("Soil", soil, "unsure: leave average"),
      field(
        "Storm wind to stand",
        number(site.wind_m_per_s ?? 25, (v) => given("wind_m_per_s", v), { min: 0 }),
        "25 is usual inland",
        "m/s",
      ),
    ),
    fold("North is not up on this drawing", northTurn(editor)),
  );
}

const known = (options, value) => (options.some(([v]) => v === value) ? options : [...options, [value, value]]);

const without = (site, key) => Object.fromEntries(Object.entries(site).filter(([k]) => k !== key));

const dropped = (editor, key) => editor.set({ ...editor.drawing, site: without(editor.drawing.site, key) });

function northTurn(editor) {
  const up = number(0, () => {}, { min: -360, max: 360 });
  const turn = () => {
    const about = editor.drawing.features[0]?.points[0] ?? [0, 0],
      deg = Number(up.value) || 0;
    const go = (p) => turned(p, about, deg).map((c) => Number(c.toFixed(3)));
    editor.set({
      ...editor.drawing,
      features: editor.drawing.features.map((f) => ({ ...f, points: f.points.map(go), holes: f.holes.map((r) => r.map(go)) })),
      survey: turnedSurvey(editor.drawing.survey, go, deg),
    });
    editor.fit();
  };
  return h(
    "div",
    {},
    field("A compass held upwards along the drawing reads", up, "90 if the top of the drawing looks east", "°"),
    button("Turn the drawing", turn, { class: "small" }),
  );
}
