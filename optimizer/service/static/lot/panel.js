// The list beside the plan: everything on the lot, the chosen thing's particulars, its corners as numbers.
// It is the whole editor for people who do not point: what the plan can do, the list can do too.

import { button, choice, field, fold, h, number } from "../dom.js";
import { distance, groundArea, sides } from "./geometry.js";
import { changed, movedCorner, withCorner, withProp, withSideLength } from "./model.js";
import { ROLES, titleOf } from "./roles.js";
import { letter, metres } from "./measures.js";

export function featureList(editor) {
  const { drawing, state } = editor;
  const rows = drawing.features.map((f) => {
    const open = f.id === state.selected?.id,
      faults = state.faults.filter((x) => x.id === f.id);
    return h(
      "li",
      { class: open ? "open" : "" },
      h(
        "button",
        {
          type: "button",
          class: "row",
          "aria-expanded": String(open),
          data: { feature: f.id },
          on: { click: () => editor.select(open ? null : f.id) },
        },
        h("span", { class: `swatch role-${f.role}`, "aria-hidden": "true" }),
        h("span", {}, titleOf(f)),
        h("span", { class: "quiet" }, summary(f)),
        faults.length
          ? h("span", { class: "fault-mark" }, `! ${faults.length}`, h("span", { class: "sr" }, faults.length > 1 ? " faults" : " fault"))
          : null,
      ),
      open ? form(editor, f) : null,
    );
  });
  return h(
    "ul",
    { class: "features" },
    rows.length ? rows : h("li", { class: "quiet empty" }, "Nothing yet. Choose “Edge of the lot” and tap its corners, or begin with a rectangle."),
  );
}

function summary(f) {
  if (f.shape === "Polygon") return `${groundArea(f).toFixed(0)} m²`;
  if (f.shape === "LineString") return metres(sides(f.points, false).reduce((t, [a, b]) => t + distance(a, b), 0));
  return f.props.height_m ? `${f.props.height_m} m high` : "";
}

function form(editor, f) {
  const set = (drawing) => editor.set(drawing);
  const name = h("input", {
    type: "text",
    value: f.name,
    maxlength: 80,
    placeholder: ROLES[f.role].one,
    on: { change: (e) => set(changed(editor.drawing, f.id, { name: e.target.value.trim() })) },
  });
  return h(
    "div",
    { class: "particulars" },
    h("p", { class: "hint" }, ROLES[f.role].help),
    field("Name", name),
    ROLES[f.role].asks.map((ask) => asked(editor, f, ask)),
    editor.state.faults.filter((x) => x.id === f.id).map((x) => h("p", { class: "fault" }, `! ${x.text}`)),
    f.shape === "Point" ? corners(editor, f) : fold(f.shape === "Polygon" ? "Sides and corners as numbers" : "Points as numbers", corners(editor, f)),
    h(
      "p",
      { class: "row-of" },
      ["lot", "radio"].includes(f.role) ? null : button("Copy", () => copy(editor, f), { class: "small" }),
      button(`Remove ${ROLES[f.role].one}`, () => editor.remove(f.id), { class: "small danger" }),
    ),
  );
}

function asked(editor, f, ask) {
  const set = (value) => editor.set(withProp(editor.drawing, f.id, ask.key, value));
  const value = f.props[ask.key] ?? ask.fallback;
  const bad = editor.state.faults.some((x) => x.id === f.id && x.key === ask.key);
  if (ask.kind === "yes") {
    const box = h("input", { type: "checkbox", checked: value, on: { change: (e) => set(e.target.checked) } });
    return h("label", { class: "tick" }, box, " ", ask.label);
  }
  if (ask.kind === "word") return field(ask.label, choice(known(ask.options, value), value, set));
  return field(ask.label, number(value, set, { min: 0, data: { key: ask.key }, "aria-invalid": bad ? "true" : null }), "", ask.unit);
}

const known = (options, value) => (value && !options.some(([v]) => v === value) ? [...options, [value, value]] : options);

/** Every corner with its place, and the length of the side that leaves it. */
function corners(editor, f) {
  const closed = f.shape === "Polygon",
    pairs = f.shape === "Point" ? [] : sides(f.points, closed);
  const cell = (i, axis) =>
    number(
      round(f.points[i][axis]),
      (v) =>
        v !== null &&
        editor.set(
          movedCorner(
            editor.drawing,
            f.id,
            i,
            f.points[i].map((c, k) => (k === axis ? v : c)),
          ),
        ),
      { "aria-label": `corner ${letter(i)}, metres ${axis ? "north" : "east"}` },
    );
  const side = (i) =>
    pairs[i] &&
    number(round(distance(...pairs[i])), (v) => editor.set(withSideLength(editor.drawing, f.id, i, v)), {
      "aria-label": `length of side ${letter(i)} to ${letter((i + 1) % f.points.length)}, metres`,
      min: 0,
    });
  const row = (p, i) =>
    h(
      "tr",
      {},
      h("th", { scope: "row" }, letter(i)),
      h("td", {}, cell(i, 0)),
      h("td", {}, cell(i, 1)),
      pairs.length ? h("td", {}, side(i)) : null,
      f.shape === "Point"
        ? null
        : h(
            "td",
            {},
            button("+", () => addAfter(editor, f, i), { class: "tiny", "aria-label": `add a corner after ${letter(i)}` }),
            button("×", () => editor.remove(f.id, i), { class: "tiny", "aria-label": `remove corner ${letter(i)}` }),
          ),
    );
  const head = ["", "m east", "m north", ...(pairs.length ? ["side, m"] : []), ...(f.shape === "Point" ? [] : [""])];
  return h(
    "table",
    { class: "corners" },
    h(
      "thead",
      {},
      h(
        "tr",
        {},
        head.map((t) => (t ? h("th", { scope: "col" }, t) : h("td", {}))),
      ),
    ),
    h("tbody", {}, f.points.map(row)),
  );
}

const round = (v) => Number(v.toFixed(2));

function addAfter(editor, f, i) {
  const a = f.points[i],
    b = f.points[(i + 1) % f.points.length];
  editor.set(withCorner(editor.drawing, f.id, i, [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]));
}

function copy(editor, f) {
  const shifted = f.points.map(([x, y]) => [x + 1, y - 1]);
  editor.place(f.role, f.shape, shifted, { name: "", props: { ...f.props } });
}

/** A thing set by numbers: for keyboards and screen readers, and for those who measured. */
export function addByNumbers(editor) {
  const role = choice(
    Object.entries(ROLES).map(([key, r]) => [key, r.word]),
    "building",
    () => {},
  );
  const at = { x: number(2, () => {}), y: number(2, () => {}), wide: number(6, () => {}), deep: number(4, () => {}) };
  const run = () => {
    const [x, y, w, d] = ["x", "y", "wide", "deep"].map((k) => Number(at[k].value) || 0),
      { shapes } = ROLES[role.value];
    const box = [
      [x, y],
      [x + w, y],
      [x + w, y + d],
      [x, y + d],
    ];
    if (shapes.includes("Polygon")) editor.place(role.value, "Polygon", box);
    else if (shapes.includes("LineString"))
      editor.place(role.value, "LineString", [
        [x, y],
        [x + w, y + d],
      ]);
    else editor.place(role.value, "Point", [[x, y]]);
  };
  return h(
    "div",
    { class: "by-numbers" },
    field("What", role),
    h("div", { class: "pair" }, field("Metres east", at.x), field("Metres north", at.y)),
    h("div", { class: "pair" }, field("Width", at.wide, "", "m"), field("Depth", at.deep, "", "m")),
    button("Put it there", run),
  );
}
