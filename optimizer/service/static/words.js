// Figures as people read them.

export const share = (v) => (v === null || v === undefined ? "–" : `${Math.round(100 * v)} %`);
export const fixed = (v, digits = 1) => (v === null || v === undefined || Number.isNaN(v) ? "–" : Number(v).toFixed(digits));
export const money = (v, currency = "") => (v === null || v === undefined ? "–" : `${Number(v).toFixed(2)} ${currency}`.trim());
export const spread = (low, high, digits) =>
  low === null || low === undefined || high === null || high === undefined ? "" : `${fixed(low, digits)} to ${fixed(high, digits)}`;

const STATES = {
  waiting: "waiting its turn",
  running: "searching",
  done: "done",
  stopped: "stopped",
  failed: "failed",
  nothing_fits: "nothing fits",
};
export const stateWords = (state) => STATES[state] ?? state;

const STAGES = {
  searching: "trying placements",
  refining: "computing the best ones in full",
  "trimming in gardens": "building and trimming the leaders in many gardens",
};
export const stageWords = (stage) => STAGES[stage] ?? stage ?? "";

export const bandWords = (key) => key.replace(/^(\d+)m(?:-(\d+))?$/, (_, m, n) => `${m} m${n ? ` (${n})` : ""}`);
export const bearingWords = (deg) =>
  `${Math.round(deg)}° ${["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"][Math.round(deg / 45) % 8]}`;
export const secondsWords = (s) => (s === null || s === undefined ? "" : s < 90 ? `${Math.round(s)} s` : `${Math.round(s / 60)} min`);

/** The key of a kind of wire, readable. */
export const familyWords = (key) => key.replaceAll("_", " ").replace(/^./, (c) => c.toUpperCase());
