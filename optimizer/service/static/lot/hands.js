// Pointer and keyboard on the plan: tap, drag, pinch, wheel, arrows. Speaks to the editor in metres only.

import { distance, nearestOn, rounded, sides } from "./geometry.js";

const STILL_PX = 6,
  CATCH_PX = 12;

export function attach(svg, editor) {
  const pointers = new Map();
  let grip = null,
    moved = false,
    start = null,
    last = null,
    spread = 0;

  const place = (e) => {
    const box = svg.getBoundingClientRect();
    return [e.clientX - box.left, e.clientY - box.top];
  };

  svg.addEventListener("pointerdown", (e) => {
    if (e.button > 0) return;
    svg.setPointerCapture(e.pointerId);
    pointers.set(e.pointerId, place(e));
    start = last = place(e);
    moved = pointers.size > 1;
    spread = 0;
    const target = e.target.closest("[data-grip]");
    grip = target ? { ...target.dataset, index: Number(target.dataset.index ?? -1) } : { grip: "paper" };
    if (pointers.size === 1) editor.press(grip);
  });

  svg.addEventListener("pointermove", (e) => {
    const now = place(e);
    if (!pointers.has(e.pointerId)) return e.pointerType === "mouse" ? editor.hover(snap(now, editor)) : undefined;
    pointers.set(e.pointerId, now);
    if (pointers.size === 2) return pinch();
    if (!moved && Math.hypot(now[0] - start[0], now[1] - start[1]) < STILL_PX) return;
    moved = true;
    const px = [now[0] - last[0], now[1] - last[1]];
    editor.drag(grip, { from: snap(start, editor), at: snap(now, editor), by: px.map((c, i) => (i ? -c : c) / editor.view.scale), px });
    last = now;
  });

  function pinch() {
    const [a, b] = [...pointers.values()],
      now = Math.hypot(a[0] - b[0], a[1] - b[1]),
      mid = [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    if (spread) {
      editor.view.pan(mid[0] - last[0], mid[1] - last[1]);
      editor.view.zoom(now / spread, mid);
      editor.redraw();
    }
    spread = now;
    last = mid;
  }

  const lift = (e) => {
    if (!pointers.delete(e.pointerId)) return;
    if (pointers.size) return;
    if (moved) editor.drop(grip);
    else if (e.type === "pointerup") editor.tap(grip, snap(place(e), editor));
    grip = null;
  };
  svg.addEventListener("pointerup", lift);
  svg.addEventListener("pointercancel", lift);
  svg.addEventListener("pointerleave", () => editor.hover(null));
  svg.addEventListener(
    "wheel",
    (e) => {
      e.preventDefault();
      editor.view.zoom(Math.exp(-e.deltaY / 400), place(e));
      editor.redraw();
    },
    { passive: false },
  );
  svg.addEventListener("dblclick", (e) => e.preventDefault());
  svg.addEventListener("keydown", (e) => keys(e, editor));
}

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };

function keys(e, editor) {
  const grip = e.target.closest("[data-grip]")?.dataset;
  const step = e.shiftKey ? 1 : 0.1;
  if (ARROWS[e.key] && !e.ctrlKey && !e.metaKey) {
    editor.nudge(
      grip,
      ARROWS[e.key].map((c) => c * step),
    );
  } else if (e.key === "Enter" || e.key === " ") {
    editor.enter(grip);
  } else if (e.key === "Delete" || e.key === "Backspace") {
    editor.erase(grip);
  } else if (e.key === "Escape") {
    editor.escape();
  } else if (e.key === "+" || e.key === "-") {
    editor.view.zoom(e.key === "+" ? 1.25 : 0.8);
    editor.redraw();
  } else return;
  e.preventDefault();
}

/** The place meant: an existing corner or edge nearby, else square to the side before, else the nearest decimetre. */
export function snap(px, editor) {
  const { view, state, drawing } = editor,
    at = view.metres(px),
    reach = CATCH_PX / view.scale;
  if (!state.snaps) return rounded(at, 0.01);
  const moving = state.selected?.id;
  const corners = [...(state.draft ?? []), ...drawing.features.filter((f) => f.id !== moving || state.draft).flatMap((f) => f.points)];
  const near = corners.filter((c) => distance(c, at) < reach).sort((a, b) => distance(a, at) - distance(b, at))[0];
  if (near) return near;
  const square = state.draft?.length ? alongSquare(state.draft, at, reach) : null;
  if (square) return rounded(square, 0.01);
  const edges = state.draft ? drawing.features.filter((f) => f.shape === "Polygon").flatMap((f) => sides(f.points, true)) : [];
  const onEdge = edges.map((e) => nearestOn(e, at)).filter((p) => distance(p, at) < reach / 2)[0];
  return rounded(onEdge ?? at, onEdge ? 0.001 : view.scale > 8 ? 0.1 : 0.5);
}

/** On the line through the last corner square to (or along) the side before it, or to the grid for the first side. */
function alongSquare(points, at, reach) {
  const last = points.at(-1),
    before = points.at(-2);
  const along = before ? [last[0] - before[0], last[1] - before[1]] : [1, 0];
  const long = Math.hypot(...along) || 1,
    u = along.map((c) => c / long),
    v = [-u[1], u[0]];
  const off = [at[0] - last[0], at[1] - last[1]];
  for (const way of [v, u]) {
    const run = Math.round((off[0] * way[0] + off[1] * way[1]) * 10) / 10;
    const foot = [last[0] + run * way[0], last[1] + run * way[1]];
    if (run && distance(foot, at) < reach) return squareToFirst(points, foot, way) ?? foot;
  }
  return null;
}

/** The same line, met where it is square to the first corner: closes a rectangle. */
function squareToFirst(points, foot, way) {
  if (points.length < 3) return null;
  const [first, last] = [points[0], points.at(-1)];
  const run = (first[0] - last[0]) * way[0] + (first[1] - last[1]) * way[1];
  const corner = [last[0] + run * way[0], last[1] + run * way[1]];
  return distance(corner, foot) < 0.35 ? corner : null;
}
