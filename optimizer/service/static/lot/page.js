// The lot page: plan on the left, tools above it, list beside it. Joins editor, hands, panel, tape and files.

import { button, clear, fold, h, handOut, later, s, say } from "../dom.js";
import * as api from "../api.js";
import { patterns } from "../look/patterns.js";
import { draftLot, drawingOf, keepDraftLot, keepDrawingOf } from "../store.js";
import { aboutLot } from "./about.js";
import { Editor } from "./editor.js";
import { asSite, fromDrawn, fromGeojson, tapeText, toGeojson, toTape } from "./files.js";
import { area, distance, sides } from "./geometry.js";
import { attach } from "./hands.js";
import { added, emptyDrawing, find, lotOf, withSideLength } from "./model.js";
import { addByNumbers, featureList } from "./panel.js";
import { ROLES, TOOLS } from "./roles.js";
import { tapePanel } from "./tape.js";

export async function show(main, { id, from }, { signal }) {
  const kept = await opened(id, from);
  const editor = new Editor(kept.drawing, (dragging) => update(dragging));
  let site = kept.site;
  editor.place = (role, shape, points, more) => {
    const [drawing, made] = added(editor.drawing, role, shape, points, more);
    editor.set(drawing);
    editor.select(made);
    editor.fit();
  };

  const layer = s("g"), svg = s("svg", { class: "board", tabindex: "0", role: "application", "aria-label": "Plan of the lot. Choose a tool, move the cross with the arrow keys, Enter sets a corner, Escape leaves. The list beside the plan can do everything too." }, patterns(), layer);
  editor.layer = layer;
  const tools = h("div", { class: "tools", role: "toolbar", "aria-label": "What to draw" });
  const how = h("p", { class: "how", "aria-live": "polite" }), list = h("div", { class: "list" }), facts = h("p", { class: "facts", "aria-live": "polite" });
  const faults = h("div", { class: "faults" }), about = h("div"), tape = h("div"), typing = h("div", { class: "typing", hidden: true });
  const file = h("input", { type: "file", accept: ".geojson,.json,.toml", class: "sr", "aria-label": "site file", on: { change: (e) => e.target.files[0] && open(e.target.files[0]) } });
  const next = button("Next: your wishes", go, { class: "strong" });
  const empty = h("p", { class: "board-empty", hidden: true }, "Choose “Edge of the lot” and tap its corners, or begin with a rectangle. A site file can be dropped here.");
  const undo = button("Undo", () => editor.history.undo()), redo = button("Redo", () => editor.history.redo());

  clear(main,
    h("div", { class: "lot-head" }, h("h1", { tabindex: "-1" }, "Your lot"), h("p", { class: "quiet" }, "as on paper, from above, north up")),
    h("div", { class: "lot-page" },
      h("section", { class: "plan-side", "aria-label": "Plan" }, tools, how,
        h("div", { class: "board-box" }, svg, empty, typing, finishButton(),
          h("div", { class: "view-keys" }, button("+", () => zoom(1.3), { "aria-label": "nearer" }), button("−", () => zoom(1 / 1.3), { "aria-label": "farther" }), button("⤢", () => editor.fit(), { "aria-label": "show everything" }))),
        h("p", { class: "row-of bar-below" }, undo, redo, h("label", { class: "tick" }, h("input", { type: "checkbox", checked: true, on: { change: (e) => (editor.state.snaps = e.target.checked) } }), " snap to 10 cm and right angles"))),
      h("section", { class: "list-side", "aria-label": "Everything on the lot" },
        facts, faults, h("h2", {}, "On this lot"), list,
        fold("Set something by numbers", addByNumbers(editor)),
        fold("About the lot: height limit, country, soil", about), tapeFold(),
        h("p", { class: "row-of" }, next)),
      file));

  function tapeFold() {
    const box = fold("Measured with a tape: sides and diagonals", tape);
    box.addEventListener("toggle", () => box.open && clear(tape, tapePanel(editor)));
    return box;
  }
  function finishButton() {
    return button("✓ Done", () => editor.finish(), { class: "finish strong", hidden: true });
  }
  const finish = main.querySelector(".finish");
  const fresh = fold("Rectangle, example, open, save", h("div", { class: "row-of starts" }, startRectangle(editor), button("Example lot", example), button("Open a file", () => file.click()), button("Empty paper", () => { editor.set(emptyDrawing()); site = null; editor.fit(); }), button("Save as a file", save)));
  fresh.open = !lotOf(editor.drawing);
  main.querySelector(".lot-head").append(fresh);

  function update(dragging) {
    const { drawing, state } = editor, lot = lotOf(drawing);
    finish.hidden = !state.tool || !(state.draft?.length > 1 || (state.draft?.length === 1 && ROLES[state.tool].shapes.includes("Point")));
    clear(how, state.tool ? `${ROLES[state.tool].how}` : state.selected ? "Drag corners; tap a length to type it; drag the thing itself to move it. Arrow keys move by 10 cm, with Shift by 1 m." : "Choose what to draw, or tap something to change it.");
    for (const key of tools.children) key.setAttribute("aria-pressed", String(key.dataset.tool === (state.tool ?? "")));
    undo.disabled = !editor.history.past.length;
    redo.disabled = !editor.history.future.length;
    svg.classList.toggle("drawing", Boolean(state.tool));
    clear(facts, lot ? `Lot ${area(lot.points).toFixed(1)} m², sides ${sides(lot.points, true).map(([a, b]) => distance(a, b).toFixed(1)).slice(0, 8).join(" · ")} m` : "No lot yet.");
    if (dragging) return;
    empty.hidden = Boolean(lot || state.tool);
    refill(list, featureList(editor));
    refill(about, aboutLot(editor));
    showFaults();
    keepDraftLot({ drawing, site });
    check();
  }
  function showFaults() {
    const { faults: all } = editor.state;
    clear(faults, all.map((f) => h("p", { class: f.hint ? "hint" : "fault" }, f.id ? button(`${sign(f)} ${f.text}`, () => editor.select(f.id), { class: "as-link" }) : `${sign(f)} ${f.text}`)));
  }
  const check = later(async () => {
    const { drawing } = editor;
    if (!lotOf(drawing)) return;
    try {
      const { form, content } = asSite(drawing);
      const answer = await api.checkSite(form, content, { signal });
      editor.tell(answer.faults ?? [], drawing);
      showFaults();
      faults.append(...(answer.warnings ?? []).filter((w) => !/base_bearing|radio point/.test(w)).map((w) => h("p", { class: "warn" }, `▲ ${w}`)));
      refill(list, featureList(editor));
    } catch {
      // the drawing works without the service; the next step will say what is wrong
    }
  }, 500);

  const toolKey = (key) => button([h("span", { class: `swatch role-${key}`, "aria-hidden": "true" }), ROLES[key].short ?? ROLES[key].word], () => { fresh.open = false; editor.pick(editor.state.tool === key ? null : key); svg.focus({ preventScroll: true }); svg.scrollIntoView({ block: "nearest" }); }, { data: { tool: key } });
  tools.append(button("Move", () => editor.select(null), { data: { tool: "" } }), ...TOOLS.map(toolKey));
  const zoom = (by) => { editor.view.zoom(by); editor.redraw(); };

  editor.askLength = (fid, i) => {
    const f = find(editor.drawing, fid), [a, b] = sides(f.points, f.shape === "Polygon")[i];
    const [x, y] = editor.view.at([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2]);
    const entry = h("input", { type: "number", step: "any", min: 0, value: distance(a, b).toFixed(2), "aria-label": "length of this side in metres" });
    const done = (keep) => {
      if (typing.hidden) return;
      typing.hidden = true;
      if (keep && Number(entry.value) > 0) editor.set(withSideLength(editor.drawing, fid, i, Number(entry.value)));
      svg.focus({ preventScroll: true });
    };
    entry.addEventListener("keydown", (e) => { if (e.key === "Enter") done(true); if (e.key === "Escape") done(false); });
    entry.addEventListener("blur", () => done(true));
    clear(typing, h("label", {}, "this side ", entry, " m"));
    typing.style.left = `${Math.max(4, Math.min(x - 60, editor.view.width - 150))}px`;
    typing.style.top = `${Math.max(4, y - 22)}px`;
    typing.hidden = false;
    entry.select();
  };

  async function open(f) {
    try {
      const text = await f.text();
      editor.set(/\.toml$/i.test(f.name) ? await fromToml(text) : fromGeojson(JSON.parse(text)));
      site = null;
      editor.fit();
      say(`${f.name} is drawn.`);
    } catch (error) {
      clear(faults, api.errorWords(error).map((w) => h("p", { class: "fault" }, `! ${f.name}: ${w}`)));
    }
    file.value = "";
  }
  async function example() {
    const answer = await fetch(new URL("../example.json", import.meta.url));
    editor.set({ ...emptyDrawing(), ...(await answer.json()) });
    site = null;
    editor.fit();
    say("An example lot is drawn. Change what you like.");
  }
  function save() {
    const name = editor.drawing.site.name.replace(/[^\w-]+/g, "_").toLowerCase() || "lot";
    if (editor.drawing.origin) handOut(`${name}.geojson`, JSON.stringify(toGeojson(editor.drawing), null, 1));
    else handOut(`${name}.toml`, tapeText(toTape(editor.drawing)), "application/toml");
  }
  async function go() {
    next.disabled = true;
    try {
      const { drawing } = editor, { name } = drawing.site;
      const answer = site ? await api.changeSite(site, name, asSite(drawing)).catch((e) => (e.status === 404 ? api.keepSite(name, asSite(drawing)) : Promise.reject(e))) : await api.keepSite(name, asSite(drawing));
      site = answer.id;
      keepDrawingOf(site, drawing);
      keepDraftLot({ drawing, site });
      history.replaceState(null, "", `#/lot/${site}`);
      location.hash = `#/wish/${site}`;
    } catch (error) {
      editor.tell(error.faults ?? [], editor.drawing);
      showFaults();
      if (!error.faults?.length) faults.append(h("p", { class: "fault" }, `! ${error.message}`));
      faults.scrollIntoView({ block: "center" });
      say(`Not yet: ${editor.state.faults[0]?.text ?? error.message}`);
    }
    next.disabled = false;
  }

  attach(svg, editor);
  main.addEventListener("keydown", (e) => {
    if (!(e.ctrlKey || e.metaKey) || /INPUT|SELECT|TEXTAREA/.test(e.target.tagName)) return;
    if (e.key === "z" && !e.shiftKey) { e.preventDefault(); editor.history.undo(); }
    if (e.key === "y" || (e.key === "Z" && e.shiftKey) || (e.key === "z" && e.shiftKey)) { e.preventDefault(); editor.history.redo(); }
  }, { signal });
  const box = main.querySelector(".board-box");
  box.addEventListener("dragover", (e) => e.preventDefault());
  box.addEventListener("drop", (e) => { e.preventDefault(); if (e.dataTransfer.files[0]) open(e.dataTransfer.files[0]); });
  const size = new ResizeObserver(() => {
    const { width, height } = svg.getBoundingClientRect();
    const first = !editor.sized;
    Object.assign(editor.view, { width, height });
    editor.sized = true;
    if (first) editor.fit();
    else editor.redraw();
  });
  size.observe(svg);
  signal.addEventListener("abort", () => size.disconnect());
  if (from === "example") await example();
  if (from) history.replaceState(null, "", "#/lot");
  update();
}

const sign = (fault) => (fault.hint ? "○" : "!");

/** The drawing to begin with: a kept site, the draft of last time, or empty paper. */
async function opened(id, from) {
  if (id) {
    const own = drawingOf(id);
    if (own) return { drawing: own, site: id };
    return { drawing: fromDrawn((await api.site(id)).drawing), site: id };
  }
  if (from) return { drawing: emptyDrawing(), site: null };
  const draft = draftLot();
  return { drawing: { ...emptyDrawing(), ...draft?.drawing }, site: draft?.site ?? null };
}

async function fromToml(text) {
  const answer = await api.checkSite("tape", text);
  if (!answer.ok) throw new api.ApiError(422, { kind: "bad_input", message: "The file has faults.", faults: answer.faults });
  return fromDrawn(answer.drawing);
}

/** New content in a box, the focus where it was. */
function refill(box, content) {
  const had = box.contains(document.activeElement) ? pathTo(box, document.activeElement) : null;
  const open = [...box.querySelectorAll("details")].map((d) => d.open);
  clear(box, content);
  [...box.querySelectorAll("details")].forEach((d, i) => open[i] && (d.open = true));
  if (had) had.reduce((at, i) => at?.children[i], box)?.focus?.({ preventScroll: true });
}

function pathTo(box, element) {
  const path = [];
  for (let at = element; at !== box; at = at.parentElement) path.unshift([...at.parentElement.children].indexOf(at));
  return path;
}

function startRectangle(editor) {
  const wide = h("input", { type: "number", value: 12, min: 1, step: "any", "aria-label": "width of the lot, metres east to west" }), deep = h("input", { type: "number", value: 25, min: 1, step: "any", "aria-label": "depth of the lot, metres south to north" });
  const run = () => {
    const [w, d] = [Number(wide.value), Number(deep.value)];
    if (w > 0 && d > 0) editor.place("lot", "Polygon", [[0, 0], [w, 0], [w, d], [0, d]]);
  };
  return h("span", { class: "rectangle" }, button("Begin with a rectangle", run), wide, " × ", deep, " m");
}

