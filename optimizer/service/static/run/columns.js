// The table's columns: words, how a figure is written, and which show at first. A column: {key, label, help, show, number, of (row → value)}.

import { bandWords, fixed, money, share } from "../words.js";

const plain = (key, label, help, digits, more = {}) => ({
  key,
  label,
  help,
  number: true,
  of: (r) => r[key],
  show: (v) => fixed(v, digits),
  ...more,
});

const BEFORE = [
  plain("rank", "Rank", "place in the table, best first", 0, { fixed: true }),
  { key: "design", label: "Design", help: "which kind of wire, for which bands", of: (r) => r.design, show: (v) => v, fixed: true },
  plain("score", "Score", "0 to 100: match, power to the sky and direction on each band, a little for cost; what three gardens of four reach", 1, {
    on: true,
  }),
  {
    key: "cost",
    label: "Cost",
    help: "everything from the radio's socket outward, bought new",
    number: true,
    of: (r) => r.cost,
    show: (v, r) => money(v, r.currency),
    on: true,
  },
  plain("mast_m", "Mast, m", "tallest mast; 0 is none", 1, { on: true }),
];
const AFTER = [
  plain("highest_m", "Highest, m", "highest point of wires and masts", 1),
  plain("wire_m", "Wire, m", "conductor to cut", 1),
  plain("lot_margin_m", "To the edge, m", "least distance from wires, masts, guys and stakes to the lot's edge less its setback", 2),
  {
    key: "exposure_share",
    label: "Exposure",
    help: "field over the public's level at the worst place where people stay; above 100 % nothing is offered",
    number: true,
    of: (r) => r.exposure_share,
    show: share,
  },
  plain("exposure_power_w", "Power allowed, W", "transmitter power that would just meet the exposure level; empty: any", 0),
  plain("keep_clear_m", "Keep clear, m", "how far from the low wires nobody may stand while you send", 1),
  plain("wind_stood_m_per_s", "Wind stood, m/s", "lower or slacken it above that", 0),
  plain("nominal_score", "Score on paper", "the plan alone, without the spread of gardens", 1),
  plain("gardens", "Gardens", "in how many drawn gardens it was built and trimmed", 0),
  {
    key: "on_target_share",
    label: "On target",
    help: "how often trimming ends where it should",
    number: true,
    of: (r) => r.on_target_share,
    show: share,
  },
  {
    key: "trimmable_share",
    label: "By cutting alone",
    help: "how often cutting was enough",
    number: true,
    of: (r) => r.trimmable_share,
    show: share,
  },
  plain("trim_moves", "Cuts and folds", "how many trimming takes", 1),
  { key: "needs", label: "Needs", help: "what it takes", of: (r) => r.needs, show: (v) => v, words: true },
  { key: "why", label: "Why here", help: "what it wins and loses against the row above", of: (r) => r.why, show: (v) => v, words: true, on: true },
];
const OF_BAND = [
  ["covered_share", "covered", "share of the wished part at or under the SWR your radio accepts", share, true, true],
  ["efficiency", "to the sky", "power to the sky over power from the radio", share, true, false],
  ["swr_best", "best SWR", "at the radio", (v) => fixed(v, 2), false, false],
  ["swr_worst", "worst SWR", "over the wished part, at the radio", (v) => fixed(v, 2), false, false],
  ["gain_near_dbi", "near gain, dBi", "mean at 60 to 90 degrees up: contacts to some 500 km", (v) => fixed(v, 1), true, false],
  ["gain_far_dbi", "far gain, dBi", "mean at 5 to 20 degrees up: far contacts", (v) => fixed(v, 1), true, false],
];

/** All columns for a table with these bands. */
export function columnsFor(bands) {
  const ofBands = bands.flatMap((b) =>
    OF_BAND.map(([name, label, help, show, more, on]) => ({
      key: `${b.key}_${name}`,
      label: `${bandWords(b.key)} ${label}`,
      help,
      number: true,
      on,
      band: b.key,
      more,
      of: (r) => r[`${b.key}_${name}`],
      low: (r) => r[`${b.key}_${name}_low`],
      high: (r) => r[`${b.key}_${name}_high`],
      show,
    })),
  );
  return [...BEFORE, ...ofBands, ...AFTER];
}

/** "72 %" and, where it is known, "58 to 81 %" in small. */
export function cell(column, row) {
  const text = column.show(column.of(row), row),
    low = column.low?.(row),
    high = column.high?.(row);
  if (low === null || low === undefined || high === null || high === undefined) return { text };
  const a = column.show(low, row).replace(" %", ""),
    b = column.show(high, row);
  return { text, range: a === b.replace(" %", "") ? "" : `${a} to ${b}` };
}
