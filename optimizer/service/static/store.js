// What this browser remembers: the drawing and wishes in work, and how tables are shown. Nothing leaves it but by the service's calls.

const read = (key, otherwise) => {
  try {
    return JSON.parse(localStorage.getItem(`lotwire.${key}`)) ?? otherwise;
  } catch {
    return otherwise;
  }
};
const write = (key, value) => {
  try {
    localStorage.setItem(`lotwire.${key}`, JSON.stringify(value));
  } catch {
    // full or forbidden: the page works on, it only forgets
  }
};

export const remembered = read;
export const remember = write;

/** The drawing in work: {drawing, site (id once kept)}. */
export const draftLot = () => read("lot", null);
export const keepDraftLot = (value) => write("lot", value);
/** Drawings by the id of their kept site, so that words as typed come back; the newest twenty. */
export function keepDrawingOf(site, drawing) {
  const all = Object.entries(read("drawings", {}))
    .filter(([id]) => id !== site)
    .slice(-19);
  write("drawings", Object.fromEntries([...all, [site, drawing]]));
}
export const drawingOf = (site) => read("drawings", {})[site] ?? null;
