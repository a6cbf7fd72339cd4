// The lot page: tools and plan on the left, the list beside it. Joins editor, hands, panel, tape and files.

import { button, clear, fold, h, refill, s, say } from "../dom.js";
import * as api from "../api.js";
import { patterns } from "../look/patterns.js";
import { draftLot, drawingOf, keepDraftLot, keepDrawingOf } from "../store.js";
import { aboutLot } from "./about.js";
import { Editor } from "./editor.js";
import { faultList } from "./faults.js";
import { asSite, fromDrawn } from "./files.js";
import { distance, groundArea, sides } from "./geometry.js";
import { attach } from "./hands.js";
import { lengthEntry } from "./length.js";
import { emptyDrawing, lotOf } from "./model.js";
import { addByNumbers, featureList } from "./panel.js";
import { ROLES, TOOLS } from "./roles.js";
import { shelf } from "./shelf.js";
import { surveyWords } from "./survey.js";
import { tapePanel } from "./tape.js";

const KEYS =
  "Plan of the lot. Choose a tool, move the cross with the arrow keys, Enter sets a corner, Escape leaves. The list beside the plan can do everything too.";
const CHANGE = "Drag corners or the thing itself; tap a length to type it. Arrow keys move 10 cm, with Shift 1 m.";
const EMPTY = "Choose “Edge of the lot” and tap its corners, or begin with a rectangle. A site file can be dropped here.";

export async function show(main, { id, from }, { signal }) {
  const begun = await opened(id, from);
  let { site } = begun;
  const editor = new Editor(begun.drawing, (dragging) => update(dragging));
  const layer = s("g"),
    svg = s("svg", { class: "board", tabindex: "0", role: "application", "aria-label": KEYS }, patterns(), layer);
  editor.layer = layer;
  const length = lengthEntry(editor, svg),
    faults = faultList(editor, signal, () => refill(list, featureList(editor)));
  editor.askLength = length.ask;
  const store = shelf(editor, renew, (lines) => clear(faults.box) && faults.lines(lines));
  const list = h("div", { class: "list" }),
    facts = h("p", { class: "facts", "aria-live": "polite" }),
    about = h("div"),
    survey = h("div"),
    tape = h("div");
  const how = h("p", { class: "how", "aria-live": "polite" }),
    empty = h("p", { class: "board-empty", hidden: true }, EMPTY);
  const finish = button("✓ Done", () => editor.finish(), { class: "finish strong", hidden: true });
  const next = button("Next: your wishes", go, { class: "strong" });
  const undo = button("Undo", () => editor.undo()),
    redo = button("Redo", () => editor.history.redo());
  const tools = toolbar(editor, () => {
    store.box.open = false;
    svg.focus({ preventScroll: true });
    svg.scrollIntoView({ block: "nearest" });
  });
  const tapes = fold("Measured with a tape: sides and diagonals", tape);
  tapes.addEventListener("toggle", () => tapes.open && clear(tape, tapePanel(editor)));
  const board = h("div", { class: "board-box" }, svg, empty, length.box, finish, viewKeys(editor));
  const snaps = h("input", { type: "checkbox", checked: true, on: { change: (e) => (editor.state.snaps = e.target.checked) } });

  clear(
    main,
    h(
      "div",
      { class: "lot-head" },
      h("h1", { tabindex: "-1" }, "Your lot"),
      h("p", { class: "quiet" }, "as on paper, from above, north up"),
      store.box,
    ),
    h(
      "div",
      { class: "lot-page" },
      h(
        "section",
        { class: "plan-side", "aria-label": "Plan" },
        tools,
        how,
        board,
        h("p", { class: "row-of bar-below" }, undo, redo, h("label", { class: "tick" }, snaps, " snap to 10 cm and right angles")),
      ),
      h(
        "section",
        { class: "list-side", "aria-label": "Everything on the lot" },
        facts,
        faults.box,
        survey,
        h("h2", {}, "On this lot"),
        list,
        fold("Set something by numbers", addByNumbers(editor)),
        fold("About the lot: height limit, country, soil", about),
        tapes,
        h("p", { class: "row-of" }, next),
      ),
    ),
  );

  function update(dragging) {
    const { drawing, state } = editor,
      lot = lotOf(drawing);
    finish.hidden = !editor.canFinish;
    clear(how, state.tool ? ROLES[state.tool].how : state.selected ? CHANGE : "Choose what to draw, or tap something to change it.");
    for (const key of tools.children) key.setAttribute("aria-pressed", String(key.dataset.tool === (state.tool ?? "")));
    undo.disabled = !editor.history.past.length && !state.draft?.length;
    redo.disabled = !editor.history.future.length;
    svg.classList.toggle("drawing", Boolean(state.tool));
    clear(facts, lot ? figures(lot) : "No lot yet.");
    if (dragging) return;
    empty.hidden = Boolean(lot || state.tool);
    refill(list, featureList(editor));
    refill(about, aboutLot(editor));
    clear(survey, surveyWords(drawing));
    faults.show();
    keepDraftLot({ drawing, site });
    faults.ask();
  }
  function renew(drawing) {
    site = null;
    editor.set(drawing);
    editor.fit();
  }
  async function go() {
    next.disabled = true;
    const { drawing } = editor;
    try {
      site = (await kept(site, drawing)).id;
      keepDrawingOf(site, drawing);
      keepDraftLot({ drawing, site });
      history.replaceState(null, "", `#/lot/${site}`);
      location.hash = `#/wish/${site}`;
    } catch (error) {
      editor.tell(error.faults ?? [], drawing);
      faults.show();
      if (!error.faults?.length) faults.lines([error.message]);
      faults.box.scrollIntoView({ block: "center" });
      say(`Not yet: ${editor.state.faults[0]?.text ?? error.message}`);
    }
    next.disabled = false;
  }

  attach(svg, editor);
  main.addEventListener("keydown", (e) => undoKeys(e, editor), { signal });
  board.addEventListener("dragover", (e) => e.preventDefault());
  board.addEventListener("drop", (e) => {
    e.preventDefault();
    if (e.dataTransfer.files[0]) store.open(e.dataTransfer.files[0]);
  });
  watchSize(svg, editor, signal);
  store.box.open = !lotOf(begun.drawing);
  if (from === "example") await store.example();
  if (from) history.replaceState(null, "", "#/lot");
  update();
}

/** The drawing to begin with: a kept site, the draft of last time, or empty paper. */
async function opened(id, from) {
  if (id) return { drawing: drawingOf(id) ?? fromDrawn((await api.site(id)).drawing), site: id };
  if (from) return { drawing: emptyDrawing(), site: null };
  const draft = draftLot();
  return { drawing: { ...emptyDrawing(), ...draft?.drawing }, site: draft?.site ?? null };
}

/** The lot kept by the service: changed where it was kept before and is still there. */
async function kept(site, drawing) {
  const { name } = drawing.site,
    form = asSite(drawing);
  if (!site) return api.keepSite(name, form);
  return api.changeSite(site, name, form).catch((error) => (error.status === 404 ? api.keepSite(name, form) : Promise.reject(error)));
}

function figures(lot) {
  const lengths = sides(lot.points, true).map(([a, b]) => distance(a, b).toFixed(1));
  return `Lot ${groundArea(lot).toFixed(1)} m², sides ${lengths.slice(0, 8).join(" · ")} m`;
}

function toolbar(editor, onPick) {
  const key = (tool) => {
    const run = () => {
      editor.pick(editor.state.tool === tool ? null : tool);
      onPick();
    };
    return button([h("span", { class: `swatch role-${tool}`, "aria-hidden": "true" }), ROLES[tool].short ?? ROLES[tool].word], run, {
      data: { tool },
    });
  };
  return h(
    "div",
    { class: "tools", role: "toolbar", "aria-label": "What to draw" },
    button("Move", () => editor.select(null), { data: { tool: "" } }),
    TOOLS.map(key),
  );
}

function viewKeys(editor) {
  const zoom = (by) => () => {
    editor.view.zoom(by);
    editor.redraw();
  };
  return h(
    "div",
    { class: "view-keys" },
    button("+", zoom(1.3), { "aria-label": "nearer" }),
    button("−", zoom(1 / 1.3), { "aria-label": "farther" }),
    button("⤢", () => editor.fit(), { "aria-label": "show everything" }),
  );
}

function undoKeys(e, editor) {
  if (!(e.ctrlKey || e.metaKey) || /INPUT|SELECT|TEXTAREA/.test(e.target.tagName)) return;
  const key = e.key.toLowerCase();
  if (key !== "z" && key !== "y") return;
  e.preventDefault();
  if (key === "z" && !e.shiftKey) editor.undo();
  else editor.history.redo();
}

function watchSize(svg, editor, signal) {
  let sized = false;
  const watch = new ResizeObserver(() => {
    const { width, height } = svg.getBoundingClientRect();
    Object.assign(editor.view, { width, height });
    if (sized) editor.redraw();
    else editor.fit();
    sized = true;
  });
  watch.observe(svg);
  signal.addEventListener("abort", () => watch.disconnect());
}
