// The planner's geometry and its side view: where legs end, which places can hold a wire, the room drawn.

import { s } from "./dom.js";

const AROUND_M = 4;

/** The lot with some ground about it: the drawing stays put while things move on it. */
export const around = ([x0, y0, x1, y1]) => ({ low: [x0 - AROUND_M, y0 - AROUND_M], high: [x1 + AROUND_M, y1 + AROUND_M] });

export const lotRing = (drawn) => drawn.features.find((f) => f.role === "lot").rings_m[0];

/** Places that can hold the middle of a wire. */
export function spots(drawn) {
  const middle = (ring) => [0, 1].map((i) => ring.reduce((t, p) => t + p[i], 0) / ring.length);
  const found = drawn.features
    .filter((f) => ["mast_spot", "support"].includes(f.role) || f.holds_wire_at_m)
    .map((f) => {
      const [x, y] = f.at_m ?? middle(f.rings_m[0]);
      return { name: f.name || f.role.replace("_", " "), at: { x, y }, height: f.role === "support" ? f.height_m : f.holds_wire_at_m };
    });
  const [x, y] = middle(lotRing(drawn));
  return [...found, { name: "middle of the lot", at: { x, y } }];
}

export function legsOf(room, { x, y, bearing, turn_deg }) {
  const to = (deg, run) => [x + run * Math.sin((deg * Math.PI) / 180), y + run * Math.cos((deg * Math.PI) / 180)];
  return { top: [x, y], ends: [to(bearing, room.runs_m[0]), to(bearing + 180 - turn_deg, room.runs_m[1])] };
}

export function paper({ top, ends }) {
  const xs = [top, ...ends].map((p) => p[0]),
    ys = [top, ...ends].map((p) => p[1]);
  const [a, b, c, d] = [Math.min(...xs) - 2, Math.min(...ys) - 2, Math.max(...xs) + 2, Math.max(...ys) + 2];
  return [
    [a, b],
    [c, b],
    [c, d],
    [a, d],
  ];
}

/** The legs from the side, unfolded into one line; heights true. */
export function side(room, { mast_m }) {
  const wide = 640,
    tall = 150,
    left = 24,
    ground = tall - 20,
    span = room.runs_m[0] + room.runs_m[1] || 1;
  const scale = Math.min((wide - 2 * left) / span, (ground - 16) / Math.max(mast_m, ...room.ends_m));
  const at = (run, height) => `${(left + run * scale).toFixed(1)} ${(ground - height * scale).toFixed(1)}`;
  const [a, b] = room.runs_m,
    foot = left + a * scale;
  return s(
    "svg",
    { viewBox: `0 0 ${wide} ${tall}`, class: "thumb", role: "img", "aria-label": "The legs from the side" },
    s("path", { d: `M0 ${ground}H${wide}`, class: "ground" }),
    s("path", { d: `M${foot} ${ground}V${ground - mast_m * scale}`, class: "mast" }),
    s("path", { d: `M${at(0, room.ends_m[0])}L${at(a, mast_m)}L${at(a + b, room.ends_m[1])}`, class: "wire" }),
    s("text", { x: foot + 8, y: ground - mast_m * scale - 8, class: "label" }, `${mast_m} m, ${Math.round(room.apex_deg)}° between the legs`),
  );
}
