// A wish list as one line for reading.

import { bandWords, secondsWords } from "../words.js";

const CHANGED = {
  seconds: (v) => `searched for ${secondsWords(v)}`,
  trials: (v) => `${v} designs tried`,
  budget: (v) => `at most ${v} to spend`,
  mast_limit_m: (v) => (v ? `mast up to ${v} m` : "no mast"),
  power_w: (v) => `${v} W`,
  tuner: (v) => (v === "none" ? "no tuner" : `tuner: ${v}`),
  site: () => "another lot",
};

const segmentWords = (s) => (Array.isArray(s) ? ` ${s.join("–")} MHz` : s && s !== "all" ? ` ${s}` : "");

export function wishWords(wish, change) {
  const { bands } = wish;
  const list =
    typeof bands === "string"
      ? bands
      : bands
          .map((b) =>
            typeof b === "string"
              ? b
              : `${bandWords(b.band)}${segmentWords(b.segment)}${b.weight && b.weight !== 1 ? ` ×${b.weight}` : ""}${b.contacts && b.contacts !== "both" ? `, ${b.contacts}` : ""}`,
          )
          .join("; ");
  const more = [
    `${wish.power_w ?? 100} W`,
    wish.budget != null ? `at most ${wish.budget} to spend` : null,
    wish.mast_limit_m != null ? CHANGED.mast_limit_m(wish.mast_limit_m) : null,
    wish.tuner && wish.tuner !== "none" ? `tuner: ${wish.tuner}` : null,
  ];
  const changed =
    change && Object.keys(change).length
      ? `Changed: ${Object.entries(change)
          .filter(([, v]) => v !== null && typeof v !== "object")
          .map(([k, v]) => CHANGED[k]?.(v) ?? `${k.replaceAll("_", " ")} ${v}`)
          .join(", ")}. `
      : "";
  return `${changed}${list}; ${more.filter(Boolean).join(", ")}.`;
}
