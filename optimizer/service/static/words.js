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

/** Kinds of wire as the tables call them. */
const KINDS = {
  end_fed_half_wave_sloped: "Sloping end-fed half wave",
  end_fed_half_wave_drooped: "End-fed half wave over one support",
  end_fed_loaded_tail: "End-fed wire with a loaded tail",
  end_fed_two_coils: "End-fed wire with two coils",
  trap_dipole: "Trap dipole, one pair",
  trap_dipole_two: "Trap dipole, two pairs",
  dipole: "Dipole",
  parallel_dipole: "Parallel-wire dipole",
  linked_dipole: "Linked dipole",
  off_centre_dipole: "Off-centre-fed dipole",
  coil_dipole: "Coil-shortened dipole",
  end_fed_random: "End-fed wire with 9:1 and tuner",
  doublet: "Doublet on balanced line",
  vertical: "Quarter-wave vertical",
  inverted_l: "Inverted L over radials",
  top_loaded_vertical: "Top-loaded vertical",
  loop_upright: "Upright full-wave loop",
  loop_flat: "Flat full-wave loop",
};
export const familyWords = (key) => KINDS[key] ?? key.replaceAll("_", " ");
