// The lot editor's mind: tools, selection, drafts, undo. `hands` brings taps and keys, `draw` shows, `panel` lists.

import { clear, say } from "../dom.js";
import { placed, quickFaults } from "./checks.js";
import { scene } from "./draw.js";
import { area, bounds, distance, rounded } from "./geometry.js";
import { added, find, History, lotOf, movedCorner, movedWhole, removed, withCorner, withoutCorner } from "./model.js";
import { ROLES, titleOf } from "./roles.js";
import { View } from "./view.js";

const NEARBY_M = 4,
  LEAST_BOX_M2 = 0.2;

export class Editor {
  constructor(drawing, onChange) {
    this.view = new View();
    this.history = new History(drawing, (dragging) => this.changed(dragging));
    this.state = { tool: null, selected: null, draft: null, cursor: null, snaps: true, faults: [], told: [] };
    this.onChange = onChange;
    this.layer = null;
  }
  /** A thing set whole, from numbers or as a copy. */
  place(role, shape, points, more) {
    const [drawing, id] = added(this.drawing, role, shape, points, more);
    this.set(drawing);
    this.select(id);
    this.fit();
  }
  get canFinish() {
    const { tool, draft } = this.state;
    return Boolean(tool && shapeOf(tool, draft ?? []));
  }
  get drawing() {
    return this.history.now;
  }
  set(drawing) {
    this.history.set(drawing);
  }
  changed(dragging) {
    if (this.state.selected && !find(this.drawing, this.state.selected.id)) this.state.selected = null;
    this.refault();
    this.redraw();
    this.onChange(dragging);
  }
  refault() {
    this.state.faults = [...quickFaults(this.drawing), ...this.state.told];
  }
  /** Faults of the service, about the drawing they were asked for. */
  tell(faults, drawing) {
    if (drawing !== this.drawing) return;
    const quick = new Set(quickFaults(drawing).map((f) => `${f.id} ${f.key}`));
    this.state.told = placed(faults, drawing).filter((f) => !quick.has(`${f.id} ${f.key}`));
    this.refault();
    this.redraw();
  }
  redraw() {
    if (!this.layer) return;
    const focus = document.activeElement?.closest?.("[data-grip]")?.dataset;
    clear(this.layer, scene(this.drawing, this.state, this.view));
    if (focus)
      this.layer.querySelector(`[data-grip="${focus.grip}"][data-id="${focus.id}"]${focus.index ? `[data-index="${focus.index}"]` : ""}`)?.focus();
  }
  /** The lot and what is near it; the far ends of lines and neighbours may run off the paper. */
  fit() {
    const lot = lotOf(this.drawing),
      all = this.drawing.features.flatMap((f) => f.points);
    if (!lot) this.view.fit([...all, ...(this.state.draft ?? [])]);
    else {
      const { low, high } = bounds(lot.points),
        near = (p) => [0, 1].map((i) => Math.max(low[i] - NEARBY_M, Math.min(high[i] + NEARBY_M, p[i])));
      this.view.fit([...lot.points, ...all.map(near)]);
    }
    this.redraw();
  }

  // ---- tools ----

  pick(tool) {
    Object.assign(this.state, { tool, draft: tool ? [] : null, box: null, cursor: null, selected: tool ? null : this.state.selected });
    this.redraw();
    this.onChange();
    if (tool) say(`${ROLES[tool].word}: ${ROLES[tool].how} With the keyboard: arrows move the cross, Enter sets a corner.`);
  }
  select(id, corner = null) {
    Object.assign(this.state, { tool: null, draft: null, cursor: null, selected: id ? { id, corner } : null });
    this.redraw();
    this.onChange();
  }
  /** Finish the shape being drawn. */
  finish() {
    const { tool, draft } = this.state;
    const shape = tool && shapeOf(tool, draft ?? []);
    if (!shape) return say("More corners are needed.");
    const [drawing, id] = added(this.drawing, tool, shape, draft);
    this.state.draft = null;
    this.set(drawing);
    this.select(id);
    say(`${ROLES[tool].word} set.`);
  }
  addCorner(at) {
    const { draft, tool } = this.state;
    if (draft.length > 2 && ROLES[tool].shapes.includes("Polygon") && distance(at, draft[0]) < 1e-6) return this.finish();
    if (draft.length && distance(at, draft.at(-1)) < 1e-6) return draft.length > 1 && this.finish();
    this.state.draft = [...draft, at];
    if (ROLES[tool].shapes.length === 1 && ROLES[tool].shapes[0] === "Point") return this.finish();
    this.state.cursor = null;
    this.redraw();
    this.onChange();
  }

  // ---- from the hands ----

  press(grip) {
    if (this.state.tool) return;
    if (grip.grip === "corner") this.select(grip.id, grip.index);
  }
  tap(grip, at) {
    if (this.state.tool) return this.addCorner(at);
    if (grip.grip === "add") return this.insert(grip);
    if (grip.grip === "side") return this.askLength?.(grip.id, grip.index);
    if (grip.grip === "corner") return this.select(grip.id, grip.index);
    this.select(grip.id || null);
  }
  insert({ id, index }) {
    const { points } = find(this.drawing, id),
      [a, b] = [points[index], points[(index + 1) % points.length]];
    this.set(withCorner(this.drawing, id, index, [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]));
    this.select(id, index + 1);
  }
  /** way: {from, at} snapped places, {by} metres and {px} pixels since the last move. */
  drag(grip, way) {
    const { tool, draft, selected } = this.state;
    if (tool && !draft.length && ROLES[tool].shapes.includes("Polygon")) {
      this.state.box = rectangle(way.from, way.at);
      return this.redraw();
    }
    if (!tool && grip.grip === "corner") return this.history.show(movedCorner(this.drawing, grip.id, grip.index, way.at));
    if (!tool && grip.grip === "body" && grip.id === selected?.id) {
      const point = find(this.drawing, grip.id).shape === "Point";
      return this.history.show(point ? movedCorner(this.drawing, grip.id, 0, way.at) : movedWhole(this.drawing, grip.id, way.by));
    }
    this.view.pan(...way.px);
    this.redraw();
  }
  drop(grip) {
    if (this.state.box) {
      const { box } = this.state;
      this.state.box = null;
      if (area(box) > LEAST_BOX_M2) this.state.draft = box;
      return this.state.draft.length ? this.finish() : this.redraw();
    }
    if (grip?.grip === "body" && this.history.held && find(this.drawing, grip.id)?.shape !== "Point") {
      const first = find(this.drawing, grip.id).points[0],
        to = rounded(first, 0.05);
      this.history.show(movedWhole(this.drawing, grip.id, [to[0] - first[0], to[1] - first[1]]));
    }
    this.history.settle();
  }
  hover(at) {
    if (!this.state.tool) return;
    this.state.cursor = at;
    this.redraw();
  }

  // ---- from the keys ----

  nudge(grip, by) {
    const { tool, selected, cursor, draft } = this.state;
    if (tool) {
      const from = cursor ?? draft.at(-1) ?? rounded(this.view.metres([this.view.width / 2, this.view.height / 2]), 1);
      this.state.cursor = rounded([from[0] + by[0], from[1] + by[1]]);
      say(`${this.state.cursor[0].toFixed(1)} east, ${this.state.cursor[1].toFixed(1)} north`);
      return this.redraw();
    }
    const id = grip?.id || selected?.id;
    if (!id) {
      this.view.pan(-by[0] * 200, by[1] * 200);
      return this.redraw();
    }
    const corner = grip?.grip === "corner" ? Number(grip.index) : selected?.corner;
    const feature = find(this.drawing, id);
    if (corner === null || corner === undefined || feature.shape === "Point") return this.set(movedWhole(this.drawing, id, by));
    const [x, y] = feature.points[corner];
    this.state.selected = { id, corner };
    this.set(movedCorner(this.drawing, id, corner, rounded([x + by[0], y + by[1]])));
    say(`${(x + by[0]).toFixed(1)} east, ${(y + by[1]).toFixed(1)} north`);
  }
  enter(grip) {
    if (this.state.tool) return this.state.cursor ? this.addCorner(this.state.cursor) : this.finish();
    if (grip?.grip === "corner") this.select(grip.id, Number(grip.index));
  }
  erase(grip) {
    if (this.state.tool) {
      this.state.draft = this.state.draft.slice(0, -1);
      return this.redraw();
    }
    const id = grip?.id || this.state.selected?.id,
      corner = grip?.grip === "corner" ? Number(grip.index) : this.state.selected?.corner;
    if (id) this.remove(id, corner);
  }
  remove(id, corner = null) {
    const name = titleOf(find(this.drawing, id));
    this.state.selected = corner === null ? null : { id, corner: null };
    this.set(corner === null ? removed(this.drawing, id) : withoutCorner(this.drawing, id, corner));
    say(`${corner === null ? name : "Corner"} removed. Undo brings it back.`);
  }
  /** The last corner of what is being drawn, else the last change. */
  undo() {
    if (this.state.draft?.length) {
      this.erase();
      this.onChange();
    } else this.history.undo();
  }
  escape() {
    if (this.state.tool) this.pick(null);
    else this.select(null);
  }
}

const rectangle = ([x1, y1], [x2, y2]) => [
  [x1, y1],
  [x2, y1],
  [x2, y2],
  [x1, y2],
];

function shapeOf(role, points) {
  const { shapes } = ROLES[role];
  if (shapes.includes("Polygon") && points.length >= 3) return "Polygon";
  if (shapes.includes("LineString") && points.length >= 2) return "LineString";
  return shapes.includes("Point") && points.length === 1 ? "Point" : null;
}
