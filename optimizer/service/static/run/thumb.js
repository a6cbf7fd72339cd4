// A small plan of the lot with wires on it, from the service's drawing in local metres.

import { s } from "../dom.js";
import { bounds } from "../lot/geometry.js";
import { patterns } from "../look/patterns.js";

export function thumb(drawing, wires, title, { width = 240, height = 190, extra = [], tap = null, frame = null } = {}) {
  const lot = drawing.features.find((f) => f.role === "lot").rings_m[0];
  const { low, high } = frame ?? bounds([...lot, ...wires.flatMap((w) => w.points_m.map((p) => p.slice(0, 2)))]);
  const scale = Math.min((width - 16) / (high[0] - low[0] || 1), (height - 16) / (high[1] - low[1] || 1));
  const dx = (width - (high[0] - low[0]) * scale) / 2,
    dy = (height - (high[1] - low[1]) * scale) / 2;
  const at = ([x, y]) => [dx + (x - low[0]) * scale, height - dy - (y - low[1]) * scale];
  const line = (points, closed) =>
    "M" +
    points
      .map((p) =>
        at(p)
          .map((c) => c.toFixed(1))
          .join(" "),
      )
      .join("L") +
    (closed ? "Z" : "");
  const things = drawing.features.filter((f) => ["lot", "building", "tree", "overhead_line", "people"].includes(f.role));
  const part = (f) => {
    if (f.rings_m)
      return [
        s("path", {
          d: f.rings_m.map((r) => line(r, true)).join(""),
          class: `thing role-${f.role}`,
          fill: `url(#p-${f.role})`,
          "fill-rule": "evenodd",
        }),
        f.role === "lot" ? f.rings_m.slice(1).map((r) => s("path", { d: line(r, true), class: "not-yours", fill: "url(#p-hole)" })) : null,
      ];
    if (f.path_m) return s("path", { d: line(f.path_m), class: `thing role-${f.role}${f.kind === "power" ? " power" : ""}` });
    return s("circle", { cx: at(f.at_m)[0], cy: at(f.at_m)[1], r: f.crown_radius_m * scale, class: "thing role-tree", fill: "url(#p-tree)" });
  };
  const metres = ([px, py]) => [low[0] + (px - dx) / scale, low[1] + (height - dy - py) / scale];
  return onTap(
    s(
      "svg",
      { viewBox: `0 0 ${width} ${height}`, class: "thumb", role: "img", "aria-label": title },
      patterns(),
      things.map(part),
      extra.map((e) => e(at, scale)),
      wires.map((w) => s("path", { d: line(w.points_m), class: `wire wire-${w.role}` })),
    ),
    tap && ((p) => tap(metres(p))),
    width,
  );
}

/** Taps and drags on the drawing as places in its own units. */
function onTap(svg, run, width) {
  if (!run) return svg;
  const place = (e) => {
    const box = svg.getBoundingClientRect(),
      scale = width / box.width;
    run([(e.clientX - box.left) * scale, (e.clientY - box.top) * scale]);
  };
  svg.classList.add("tappable");
  svg.addEventListener("pointerdown", place);
  svg.addEventListener("pointermove", (e) => e.buttons && place(e));
  return svg;
}
