// A small plan of the lot with wires on it, from the service's drawing in local metres.

import { s } from "../dom.js";
import { bounds } from "../lot/geometry.js";
import { patterns } from "../look/patterns.js";

const ROLES = ["lot", "building", "tree", "overhead_line", "people"];
const EDGE = 8,
  CLOSE_WIDE = 0.7; // of the width, for the wires where the whole lot stands small beside them

export function thumb(drawing, wires, title, { width = 240, height = 190, extra = [], tap = null, frame = null } = {}) {
  const lot = drawing.features.find((f) => f.role === "lot").rings_m[0];
  const whole = frame ?? bounds([...lot, ...pointsOf(wires)]);
  const close = frame || tap || extra.length ? null : closeFrame(pointsOf(wires), whole);
  const main = view(close ?? whole, close ? CLOSE_WIDE * width : width, height);
  const drawn = [ground(drawing, main), extra.map((e) => e(main.at, main.scale)), wiresOn(wires, main)];
  const small = close && view(whole, (1 - CLOSE_WIDE) * width, height, EDGE / 2);
  const shown = close && [close.low, [close.high[0], close.low[1]], close.high, [close.low[0], close.high[1]]];
  return onTap(
    s(
      "svg",
      { viewBox: `0 0 ${width} ${height}`, class: "thumb", role: "img", "aria-label": title },
      patterns(),
      close
        ? [
            s("svg", { x: 0, y: 0, width: CLOSE_WIDE * width, height }, drawn),
            s(
              "svg",
              { x: CLOSE_WIDE * width, y: 0, width: (1 - CLOSE_WIDE) * width, height },
              ground(drawing, small),
              s("path", { d: line(small.at, shown, true), class: "shown-part" }),
            ),
          ]
        : drawn,
    ),
    tap && ((p) => tap(main.metres(p))),
    width,
  );
}

const pointsOf = (wires) => wires.flatMap((w) => w.points_m.map((p) => p.slice(0, 2)));

/** As `report/closeup.py`: the surroundings of wires that take little of the lot, else null. */
function closeFrame(points, whole) {
  if (!points.length) return null;
  const longest = ({ low, high }) => Math.max(high[0] - low[0], high[1] - low[1]);
  const { low, high } = bounds(points),
    room = 1.5 + 0.1 * longest({ low, high });
  const frame = { low: low.map((c) => c - room), high: high.map((c) => c + room) };
  return longest(frame) < 0.25 * longest(whole) ? frame : null;
}

/** A frame in metres on so much paper, in the middle of it. */
function view({ low, high }, width, height, edge = EDGE) {
  const scale = Math.min((width - 2 * edge) / (high[0] - low[0] || 1), (height - 2 * edge) / (high[1] - low[1] || 1));
  const dx = (width - (high[0] - low[0]) * scale) / 2,
    dy = (height - (high[1] - low[1]) * scale) / 2;
  return {
    scale,
    at: ([x, y]) => [dx + (x - low[0]) * scale, height - dy - (y - low[1]) * scale],
    metres: ([px, py]) => [low[0] + (px - dx) / scale, low[1] + (height - dy - py) / scale],
  };
}

function line(at, points, closed) {
  const places = points.map((p) => at(p).map((c) => c.toFixed(1)));
  return `M${places.map((p) => p.join(" ")).join("L")}${closed ? "Z" : ""}`;
}

const wiresOn = (wires, { at }) => wires.map((w) => s("path", { d: line(at, w.points_m), class: `wire wire-${w.role}` }));

function ground(drawing, { at, scale }) {
  const ring = (r) => line(at, r, true);
  const part = (f) => {
    if (f.rings_m)
      return [
        s("path", { d: f.rings_m.map(ring).join(""), class: `thing role-${f.role}`, fill: `url(#p-${f.role})`, "fill-rule": "evenodd" }),
        f.role === "lot" ? f.rings_m.slice(1).map((r) => s("path", { d: ring(r), class: "not-yours", fill: "url(#p-hole)" })) : null,
      ];
    if (f.path_m) return s("path", { d: line(at, f.path_m), class: `thing role-${f.role}${f.kind === "power" ? " power" : ""}` });
    return s("circle", { cx: at(f.at_m)[0], cy: at(f.at_m)[1], r: f.crown_radius_m * scale, class: "thing role-tree", fill: "url(#p-tree)" });
  };
  return drawing.features.filter((f) => ROLES.includes(f.role)).map(part);
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
