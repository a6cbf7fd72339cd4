// Curves over a linear scale, with bands of spread: SWR over frequency, for one design or several.

import { s, uid } from "../dom.js";

const WIDE = 460,
  TALL = 250,
  BOX = { left: 44, right: 12, top: 30, bottom: 38 };

/** Round steps of an axis. */
function ticks(low, high, about) {
  const raw = (high - low) / about,
    power = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 5, 10].map((m) => m * power).find((m) => m >= raw);
  const found = [];
  for (let v = Math.ceil(low / step - 1e-9) * step; v <= high + 1e-9; v += step) found.push(Number(v.toPrecision(10)));
  return found;
}

/** `lines`: {name, xs, ys, spread: {xs, lows, highs}}; `limit`: a level with words; `span`: a shaded part of x. */
export function chart({ title, lines, x, y, limit, span, words }) {
  const clip = uid("clip");
  const px = (v) => BOX.left + ((v - x.low) / (x.high - x.low)) * (WIDE - BOX.left - BOX.right);
  const py = (v) => TALL - BOX.bottom - ((v - y.low) / (y.high - y.low)) * (TALL - BOX.top - BOX.bottom);
  const path = (xs, ys) => "M" + xs.map((v, i) => `${px(v).toFixed(1)} ${py(ys[i]).toFixed(1)}`).join("L");
  const area = (l) => path([...l.xs, ...[...l.xs].reverse()], [...l.highs, ...[...l.lows].reverse()]) + "Z";
  const inner = { x: BOX.left, y: BOX.top, width: WIDE - BOX.left - BOX.right, height: TALL - BOX.top - BOX.bottom };
  return s(
    "svg",
    { viewBox: `0 0 ${WIDE} ${TALL}`, class: "chart", role: "img", "aria-label": words },
    s("clipPath", { id: clip }, s("rect", inner)),
    span ? s("rect", { class: "segment", x: px(span[0]), y: inner.y, width: px(span[1]) - px(span[0]), height: inner.height }) : null,
    ticks(y.low, y.high, 5).map((v) => [
      s("path", { class: "rule", d: `M${BOX.left} ${py(v)}H${WIDE - BOX.right}` }),
      s("text", { x: BOX.left - 7, y: py(v) + 4, "text-anchor": "end" }, y.show ? y.show(v) : `${v}`),
    ]),
    ticks(x.low, x.high, 5).map((v) => [
      s("path", { class: "axis", d: `M${px(v)} ${TALL - BOX.bottom}v4` }),
      s("text", { x: px(v), y: TALL - BOX.bottom + 17, "text-anchor": "middle" }, x.show ? x.show(v) : `${v}`),
    ]),
    s("path", { class: "axis", d: `M${BOX.left} ${BOX.top}V${TALL - BOX.bottom}H${WIDE - BOX.right}` }),
    s(
      "g",
      { "clip-path": `url(#${clip})` },
      lines.filter((l) => l.spread).map((l) => s("path", { class: "spread", d: area(l.spread) })),
      limit ? s("path", { class: "limit", d: `M${BOX.left} ${py(limit.at)}H${WIDE - BOX.right}` }) : null,
      lines.map((l, i) => s("path", { class: `curve curve-${i}`, d: path(l.xs, l.ys) })),
    ),
    limit ? s("text", { x: (BOX.left + WIDE - BOX.right) / 2, y: py(limit.at) - 5, "text-anchor": "middle", class: "soft" }, limit.words) : null,
    s("text", { x: BOX.left, y: 18, class: "title" }, title),
    s("text", { x: WIDE - BOX.right, y: TALL - 6, "text-anchor": "end", class: "soft" }, x.name),
  );
}

/** A line sample for a legend, the same dash as the curve. */
export const sample = (i) =>
  s("svg", { viewBox: "0 0 34 10", class: "chart", "aria-hidden": "true" }, s("path", { class: `curve curve-${i}`, d: "M1 5H33" }));
