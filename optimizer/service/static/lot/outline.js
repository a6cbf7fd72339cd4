// Path data of a list of points on the shown part of the plan.

export const outline = (points, view, closed) =>
  "M" +
  points
    .map((p) =>
      view
        .at(p)
        .map((c) => c.toFixed(1))
        .join(" "),
    )
    .join("L") +
  (closed ? "Z" : "");
