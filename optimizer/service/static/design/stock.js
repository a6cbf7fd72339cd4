// What somebody has in stock, after ticking rows of a design's parts.

/** `stock`: part → quantity or pieces, of the wish; `rows`: the design's parts, a part in stock in part has two; `ticks`: row → yes or no, of those touched.
    Stock stays unless its row is unticked; a row to buy that is ticked is a piece more. */
export function held(stock, rows, ticks) {
  const found = new Map(Object.entries(stock));
  for (const part of new Set([...ticks.keys()].map((row) => row.part))) {
    const mine = rows.filter((row) => row.part === part),
      gone = mine.some((row) => row.on_hand && ticks.get(row) === false),
      more = mine.filter((row) => !row.on_hand && ticks.get(row)).map((row) => row.quantity);
    const pieces = [...(gone ? [] : [stock[part] ?? []].flat()), ...more];
    if (pieces.length) found.set(part, pieces.length > 1 ? pieces : pieces[0]);
    else found.delete(part);
  }
  return Object.fromEntries(found);
}
