// Entering a reading in one of three ways: an analyser's dip, the radio's SWR inside the band, a sweep as a file.

import { choice, clear, field, h, number } from "../dom.js";

const WAYS = [
  ["analyser", "an analyser: it reads anywhere"],
  ["radio", "the radio's own SWR, inside the band"],
  ["sweep", "a sweep from a file (.s1p)"],
];
const INSIDE = 0.02; // of the wished part, from its edges

/** `frequencies(band)`: those of the design's case. `read()` gives the members of a reading; throws an Error with what is missing. */
export function readingEntry(frequencies) {
  const now = { way: "analyser", mhz: null, swr: null, points: [], sweep: null, band: null };
  const box = h("div"),
    form = h(
      "div",
      {},
      field(
        "You read with",
        choice(WAYS, now.way, (way) => show({ way })),
      ),
      box,
    );
  function show(part) {
    Object.assign(now, part);
    const first = { analyser: dip, radio: inside, sweep: file }[now.way]();
    clear(box, first);
  }
  const dip = () => [
    field(
      "Lowest SWR is at",
      number(now.mhz, (v) => (now.mhz = v), { placeholder: "7.050", "aria-required": "true" }),
      "the frequency of the dip, also outside the band",
      "MHz",
    ),
    field(
      "SWR there, if you like",
      number(now.swr, (v) => (now.swr = v), { min: 1, step: 0.1 }),
    ),
  ];
  function inside() {
    const all = frequencies(now.band),
      [low, high] = [Math.min(...all), Math.max(...all)],
      edge = INSIDE * (high - low);
    now.points = [low + edge, (low + high) / 2, high - edge].map((f) => ({ mhz: Number(f.toFixed(3)), swr: null }));
    return now.points.map((p) =>
      field(
        `SWR at ${p.mhz.toFixed(3)} MHz`,
        number(null, (v) => (p.swr = v), { min: 1, step: 0.1 }),
      ),
    );
  }
  const file = () => {
    const take = async (e) => (now.sweep = (await e.target.files[0]?.text()) ?? null);
    return field(
      "Sweep",
      h("input", { type: "file", accept: ".s1p,.txt", on: { change: take } }),
      "one port, Touchstone form; the dip is found in it",
    );
  };
  function read() {
    if (now.way === "sweep") return now.sweep ? { sweep: now.sweep } : missing("Choose the file of the sweep.");
    if (now.way === "radio") {
      const points = now.points.filter((p) => p.swr >= 1);
      return points.length ? { points, radio: true } : missing("Give the SWR at one frequency at least.");
    }
    return now.mhz > 0 ? { reading_mhz: now.mhz, ...(now.swr ? { swr: now.swr } : {}) } : missing("Give the frequency the meter shows, in MHz.");
  }
  const forBand = (band) => show({ band, mhz: null, swr: null, sweep: null });
  return { form, read, forBand, asRadio: () => now.way === "radio" };
}

function missing(words) {
  throw new Error(words);
}
