// The space planner: what a wire over one support takes up, live on the plan of a lot; and the longest wire for a room.

import { choice, clear, h, later, link, s, uid } from "./dom.js";
import * as api from "./api.js";
import { inside } from "./lot/geometry.js";
import { draftLot } from "./store.js";
import { toDrawn } from "./run/drawn.js";
import { around, legsOf, lotRing, paper, side, spots } from "./planner_plan.js";
import { thumb } from "./run/thumb.js";

const START = {
  wire_m: 20,
  mast_m: 8,
  first_share: 0.5,
  ends_m: 2.5,
  far_end_m: 2.5,
  turn_deg: 0,
  bearing: 0,
  x: 0,
  y: 0,
  reverse: false,
  room_m: 18,
};

export async function show(main, { site: id }, { signal }) {
  const kept = id ? await api.site(id) : null,
    draft = draftLot()?.drawing;
  const drawn = kept?.drawing ?? (draft?.features.some((f) => f.role === "lot") ? toDrawn(draft) : null);
  const places = drawn ? spots(drawn) : [],
    now = { ...START, ...(places[0]?.at ?? {}), ...(places[0]?.height ? { mast_m: places[0].height } : {}) };
  const picture = h("div", { class: "plan-picture" }),
    words = h("div", { class: "card", "aria-live": "polite" }),
    knobs = h("div", { class: "card" });
  clear(
    main,
    h("h1", { tabindex: "-1" }, "Space planner"),
    h(
      "p",
      { class: "lead" },
      "How much room does a wire over one support take? Straight legs, no search. ",
      drawn ? `On ${drawn.name ?? "your lot"}: tap or drag on the plan to move the support.` : link("#/lot", "Draw a lot to see it there."),
    ),
    h("div", { class: "planner" }, h("div", {}, picture, words), knobs),
  );

  const frame = drawn && around(drawn.bounds_m);

  const ask = later(async () => {
    const { wire_m, mast_m, first_share, ends_m, far_end_m, turn_deg, reverse, room_m } = now;
    try {
      const room = await api.plan(
        reverse ? { mast_m, first_share, ends_m, far_end_m, room_m } : { wire_m, mast_m, first_share, ends_m, far_end_m, turn_deg },
        { signal },
      );
      draw(room);
    } catch (error) {
      if (error.name === "AbortError") return;
      clear(
        words,
        h("p", { class: "fault" }, "! It cannot hang like that."),
        api.errorWords(error).map((w) => h("p", {}, w)),
      );
    }
  }, 60);

  function draw(room) {
    const legs = legsOf(room, now),
      out = drawn ? legs.ends.filter((p) => !inside(p, lotRing(drawn))).length : 0;
    const line = drawn
      ? h(
          "p",
          { class: out ? "fault" : "" },
          out ? `! ${out === 2 ? "Both ends" : "One end"} would lie outside the lot.` : "✓ Both ends lie on the lot.",
        )
      : null;
    clear(
      words,
      line,
      (room.words ?? []).map((w) => h("p", {}, w)),
    );
    const wires = [{ role: "radiator", points_m: [legs.ends[0], legs.top, legs.ends[1]] }];
    const place = drawn ?? { features: [{ role: "lot", rings_m: [paper(legs)] }] };
    const mark = (at, scale) => {
      const [x, y] = at(legs.top),
        points = legs.ends.map(at);
      return s(
        "g",
        {},
        s("circle", { cx: x, cy: y, r: 7, class: "mast-mark" }),
        points.map(([cx, cy]) => s("circle", { cx, cy, r: 5, class: "end-mark" })),
        s("text", { x: x + 10, y: y - 8, class: "label" }, `${now.mast_m} m up`),
        points.map(([px, py], i) => s("text", { x: px + 8, y: py + 14, class: "label" }, `${room.ends_m[i].toFixed(1)} m`)),
        s("title", {}, `scale ${scale.toFixed(1)}`),
      );
    };
    clear(
      picture,
      thumb(place, wires, `Plan: wire of ${room.wire_m.toFixed(1)} m over a support of ${now.mast_m} m, span ${room.span_m.toFixed(1)} m`, {
        width: 640,
        height: 460,
        extra: [mark],
        tap: drawn && moveTo,
        frame,
      }),
      side(room, now),
    );
  }

  /** The support put where the plan is tapped or dragged. */
  function moveTo([x, y]) {
    for (const [key, v] of [
      ["x", x],
      ["y", y],
    ]) {
      now[key] = Number(v.toFixed(1));
      knobs.querySelectorAll(`[data-knob="${key}"]`).forEach((k) => (k.value = now[key]));
    }
    ask();
  }
  const knob = (key, label, low, high, step, unit) => {
    const at = uid("k"),
      out = h("input", { type: "number", min: low, max: high, step, value: now[key], data: { knob: key }, "aria-label": `${label}, as a number` });
    const range = h("input", { type: "range", id: at, min: low, max: high, step, value: now[key], data: { knob: key } });
    const set = (v) => {
      now[key] = Number(v);
      range.value = out.value = v;
      ask();
    };
    range.addEventListener("input", () => set(range.value));
    out.addEventListener("change", () => set(out.value));
    return h("div", { class: "slider" }, h("label", { for: at }, `${label}${unit ? `, ${unit}` : ""}`), range, out);
  };
  function fill() {
    const box = drawn?.bounds_m ?? [-30, -30, 30, 30];
    clear(
      knobs,
      h(
        "label",
        { class: "tick" },
        h("input", {
          type: "checkbox",
          checked: now.reverse,
          on: {
            change: (e) => {
              now.reverse = e.target.checked;
              fill();
            },
          },
        }),
        " I know the room and want the longest wire",
      ),
      now.reverse ? knob("room_m", "Room from end to end", 2, 80, 0.1, "m") : knob("wire_m", "Wire", 2, 85, 0.1, "m"),
      places.length
        ? h(
            "div",
            { class: "field" },
            h("label", { for: "where" }, "Over"),
            choice(
              [...places.map((p, i) => [String(i), p.name]), ["", "somewhere else"]],
              "0",
              (v) => {
                if (v !== "") {
                  Object.assign(now, places[v].at, places[v].height ? { mast_m: places[v].height } : {});
                  fill();
                }
              },
              { id: "where" },
            ),
          )
        : null,
      knob("mast_m", "Height of the support", 1, 30, 0.1, "m"),
      knob("first_share", "Part of the wire on the first side", 0.02, 0.98, 0.01, ""),
      knob("ends_m", "Height of the first end", 0.1, 20, 0.1, "m"),
      knob("far_end_m", "Height of the other end", 0.1, 20, 0.1, "m"),
      now.reverse ? null : knob("turn_deg", "Bend in plan", 0, 170, 1, "°"),
      knob("bearing", "First end lies towards", 0, 359, 1, "°"),
      drawn ? [knob("x", "Support, metres east", box[0], box[2], 0.1, ""), knob("y", "Support, metres north", box[1], box[3], 0.1, "")] : null,
    );
    ask();
  }
  fill();
}
