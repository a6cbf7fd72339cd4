// The smallest changes the search names, as changes of the wish or the lot. They come as words; these are their forms.

const FORMS = [
  [/^([\d.]+) m more mast$/, ([m], { wish, limit }) => ({ wish: { mast_limit_m: tenth((wish.mast_limit_m ?? limit) + m) } })],
  [/^a height limit ([\d.]+) m higher$/, ([m], { limit }) => ({ site: { height_limit_m: tenth(limit + m) } })],
  [/^([\d.]+) \w+ more to spend$/, ([more], { wish }) => ({ wish: { budget: Math.ceil(wish.budget + more) } })],
  [/^at most ([\d.]+) W/, ([w]) => ({ wish: { power_w: w } })],
];
const tenth = (m) => Math.ceil(m * 10 - 1e-9) / 10;

/** {wish, site}: members to change, or null where the words name nothing to turn. */
export function changeOf(text, wish, limit) {
  const drop = /^drop (\w+)$/.exec(text);
  if (drop && Array.isArray(wish.bands)) return { wish: { bands: wish.bands.filter((b) => b.band !== drop[1]) } };
  for (const [form, change] of FORMS) {
    const found = form.exec(text);
    if (found) return change(found.slice(1).map(Number), { wish, limit });
  }
  return null;
}
