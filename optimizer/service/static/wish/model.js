// What somebody wishes for, as the page keeps it, and as the service takes it.

export const FRESH_WISH = {
  bands: {},
  power_w: 100,
  mode_duty: 0.4,
  transmit_share: 0.5,
  swr_limit: 2,
  tuner: "none",
  station: "mains",
  budget: null,
  mast_limit_m: null,
  seconds: 60,
  trials: null,
  seed: 1,
};
/** One wished part of a band. `segment`: a word, or "own" with low and high in MHz. */
export const freshPart = () => ({ segment: "all", low: null, high: null, weight: 1, contacts: "both", bearing: null });

export const WEIGHTS = [
  [0.5, "nice to have"],
  [1, "wanted"],
  [2, "important"],
  [4, "the point of it all"],
];
export const CONTACTS = [
  ["both", "near and far"],
  ["near", "near: up to some 500 km"],
  ["far", "far: other continents"],
];
export const SEGMENTS = { all: "all of it", morse: "Morse", digital: "digital", voice: "voice", own: "two frequencies …" };
/** Average over peak power while sending: common practice, no source. */
export const MODES = [
  ["0.2", "voice, no compression"],
  ["0.4", "Morse, or voice somewhat compressed"],
  ["0.5", "voice, strongly compressed"],
  ["1", "digital, full carrier"],
];
export const EFFORTS = [
  ["20", "a quick look: 20 s"],
  ["60", "a minute"],
  ["180", "three minutes"],
  ["600", "ten minutes, for the last bit"],
];

const chosenBands = (wish) => Object.entries(wish.bands).flatMap(([band, parts]) => parts.map((p) => [band, p]));

/** The wish list as the service takes it. */
function asWish(wish) {
  const bands = chosenBands(wish).map(([band, p]) => ({
    band,
    segment: p.segment === "own" ? [p.low ?? 0, p.high ?? 0] : p.segment,
    weight: p.weight,
    contacts: p.contacts,
    ...(p.bearing === null ? {} : { bearing_deg: p.bearing }),
  }));
  const { power_w, mode_duty, transmit_share, swr_limit, tuner, station, budget, mast_limit_m, on_hand } = wish;
  return { bands, power_w, mode_duty, transmit_share, swr_limit, tuner, station, ...given({ budget, mast_limit_m, on_hand }) };
}

export const asOrder = (site, wish) => ({
  site,
  wish: asWish(wish),
  ...(wish.trials ? { trials: wish.trials } : { seconds: wish.seconds }),
  seed: wish.seed,
});

/** The wishes of a search, to go on from; null where they were given in a form of their own. */
export function wishOf({ wish, seconds, trials, seed }) {
  if (!Array.isArray(wish.bands) || wish.bands.some((b) => !b.band)) return null;
  const bands = {};
  for (const { band, segment = "all", weight = 1, contacts = "both", bearing_deg = null } of wish.bands) {
    const [low, high] = Array.isArray(segment) ? segment : [null, null];
    (bands[band] ??= []).push({ segment: low === null ? segment : "own", low, high, weight, contacts, bearing: bearing_deg });
  }
  return { ...structuredClone(FRESH_WISH), ...given({ ...wish, seconds, seed }), bands, trials: trials ?? null };
}

const given = (values) => Object.fromEntries(Object.entries(values).filter(([, v]) => v !== null && v !== undefined));

/** What can be seen to be missing before asking. */
export function wishFaults(wish) {
  const parts = chosenBands(wish);
  if (!parts.length) return ["Choose at least one band."];
  return parts
    .filter(([, p]) => p.segment === "own" && !(p.low > 0 && p.high > p.low))
    .map(([band]) => `${band}: give the lower and the higher frequency in MHz.`);
}
