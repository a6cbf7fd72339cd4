// Readings of a tape between corners; the service solves them by least squares and the drawing follows.
// The drawing is the sketch: it says which corner lies on which side and which way the base line runs.

import { button, choice, clear, h, number, say } from "../dom.js";
import { checkSite, faultWords } from "../api.js";
import { bearing, distance } from "./geometry.js";
import { letter } from "./measures.js";
import { tapeText } from "./files.js";
import { surveyOf } from "./survey.js";
import { lotOf } from "./model.js";
import { titleOf } from "./roles.js";

/** All corners that a tape can go to: {key, word, id, index, at}. */
function tapePoints(drawing) {
  const used = new Map();
  return drawing.features.flatMap((f) => {
    const name = f.role === "lot" ? "" : unique(titleOf(f), used);
    return f.points.map((at, index) => ({
      key: `${f.id}.${index}`,
      word: f.role === "lot" ? letter(index) : f.points.length > 1 ? `${name} ${letter(index)}` : name,
      id: f.id,
      index,
      at,
    }));
  });
}

function unique(name, used) {
  const times = (used.get(name) ?? 0) + 1;
  used.set(name, times);
  return times > 1 ? `${name} (${times})` : name;
}

/** Sides first, then diagonals, of the lot. */
function ofLot(drawing) {
  const lot = lotOf(drawing),
    n = lot?.points.length ?? 0,
    pairs = [];
  for (let step = 1; step <= n / 2; step++) for (let i = 0; i < (step * 2 === n ? n / 2 : n); i++) pairs.push([i, (i + step) % n]);
  return pairs.map(([a, b]) => ({ a: `${lot.id}.${a}`, b: `${lot.id}.${b}`, m: null }));
}

export function tapePanel(editor) {
  const box = h("div", { class: "tapes" }),
    told = h("div", { "aria-live": "polite" });
  const rows = () => editor.drawing.tapes;
  const keep = (tapes) => {
    editor.history.now = { ...editor.drawing, tapes };
    draw();
  };
  const change = (i, part) => keep(rows().map((r, k) => (k === i ? { ...r, ...part } : r)));
  function draw() {
    const points = tapePoints(editor.drawing),
      options = points.map((p) => [p.key, p.word]);
    const words = Object.fromEntries(options);
    const drawn = (r) => {
      const [a, b] = [r.a, r.b].map((k) => points.find((p) => p.key === k)?.at);
      return a && b ? distance(a, b).toFixed(2) : "";
    };
    clear(
      box,
      h(
        "p",
        { class: "hint" },
        "Sketch first, then type what the tape says. Fill in what you measured; one diagonal more than needed shows a wrong reading.",
      ),
      h(
        "table",
        { class: "corners" },
        h(
          "thead",
          {},
          h(
            "tr",
            {},
            ["from", "to", "tape, m", "drawn"].map((t) => h("th", { scope: "col" }, t)),
            h("td", {}),
          ),
        ),
        h(
          "tbody",
          {},
          rows().map((r, i) =>
            h(
              "tr",
              {},
              h(
                "td",
                {},
                choice(options, r.a, (v) => change(i, { a: v }), { "aria-label": `reading ${i + 1} from` }),
              ),
              h(
                "td",
                {},
                choice(options, r.b, (v) => change(i, { b: v }), { "aria-label": `reading ${i + 1} to` }),
              ),
              h(
                "td",
                {},
                number(
                  r.m,
                  (v) => {
                    rows()[i].m = v;
                  },
                  { min: 0, "aria-label": `tape from ${words[r.a]} to ${words[r.b]}, metres`, placeholder: "—" },
                ),
              ),
              h("td", { class: "num quiet" }, drawn(r)),
              h(
                "td",
                {},
                button("×", () => keep(rows().filter((_, k) => k !== i)), { class: "tiny", "aria-label": `remove reading ${i + 1}` }),
              ),
            ),
          ),
        ),
      ),
      h(
        "p",
        { class: "row-of" },
        button(
          "Sides and diagonals of the lot",
          () => keep([...rows().filter((r) => r.m), ...ofLot(editor.drawing).filter((n) => !rows().some((r) => r.m && r.a === n.a && r.b === n.b))]),
          { class: "small" },
        ),
        options.length > 1
          ? button("One more reading", () => keep([...rows(), { a: options[0][0], b: options[1][0], m: null }]), { class: "small" })
          : null,
        button("Fit the drawing to the tape", () => fit(editor, told, draw), { class: "small strong" }),
      ),
      told,
    );
  }
  if (!rows().length && lotOf(editor.drawing)) editor.history.now = { ...editor.drawing, tapes: ofLot(editor.drawing) };
  draw();
  return box;
}

/** The readings as a tape form: named points, base line as drawn, sides of it as drawn. */
function tapeForm(drawing) {
  const points = tapePoints(drawing),
    by = Object.fromEntries(points.map((p) => [p.key, p]));
  const readings = drawing.tapes.filter((r) => r.m > 0 && by[r.a] && by[r.b]);
  if (!readings.length) throw new Error("Type at least the sides you measured.");
  const [p, q] = [by[readings[0].a], by[readings[0].b]],
    seen = new Set([p.key, q.key]);
  const tape = readings.map((r) => {
    const fresh = [r.b, r.a].find((k) => !seen.has(k));
    seen.add(r.a).add(r.b);
    return { from: by[r.a].word, to: by[r.b].word, m: r.m, ...(fresh ? { side: sideOf(p.at, q.at, by[fresh].at) } : {}) };
  });
  const taped = (f) => f.points.every((_, i) => seen.has(`${f.id}.${i}`));
  const feature = drawing.features.filter(taped).map((f) => ({ role: f.role, ...f.props, points: f.points.map((_, i) => by[`${f.id}.${i}`].word) }));
  return {
    content: { site: { ...drawing.site, base_bearing_deg: Number(bearing(p.at, q.at).toFixed(3)) }, tape, feature },
    names: Object.fromEntries(points.filter((x) => seen.has(x.key)).map((x) => [x.key, x.word])),
    anchor: p,
  };
}

const sideOf = (a, b, c) => ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) >= 0 ? "left" : "right");

async function fit(editor, told, draw) {
  try {
    const { content, names, anchor } = tapeForm(editor.drawing);
    const answer = await checkSite("tape", tapeText(content));
    if (answer.faults?.length)
      return clear(
        told,
        answer.faults.map((f) => h("p", { class: "fault" }, `! ${tapeFault(f, content)}`)),
      );
    const { tape } = answer.drawing;
    follow(editor, tape, names, anchor);
    draw();
    const agree = tape.spare_tapes > 0 ? `The tapes agree to ${(100 * tape.closing_error_m).toFixed(1)} cm; the drawing` : "The drawing";
    clear(
      told,
      tape.doubtful ? null : h("p", {}, `${agree} follows them now.`),
      (answer.warnings ?? []).filter((w) => /tape|reads/.test(w)).map((w) => h("p", { class: "warn" }, `▲ ${w}`)),
    );
    say("The drawing follows the tape.");
  } catch (error) {
    clear(told, h("p", { class: "fault" }, `! ${error.faults?.length ? error.faults.map(faultWords).join(" ") : error.message}`));
  }
}

function tapeFault(fault, content) {
  const i = /tape\[(\d+)\]/.exec(fault.field)?.[1],
    t = content.tape[i];
  return t ? `Tape ${t.from} to ${t.to}: needs ${fault.allowed}.` : faultWords(fault);
}

/** Corners move to where the tapes put them; the first taped corner stays. */
function follow(editor, survey, names, anchor) {
  const solved = survey.points_m,
    at = solved[anchor.word],
    shift = [anchor.at[0] - at[0], anchor.at[1] - at[1]];
  const place = (id, p, i) => {
    const to = solved[names[`${id}.${i}`]];
    return to ? to.map((c, k) => Number((c + shift[k]).toFixed(3))) : p;
  };
  const features = editor.drawing.features.map((f) => ({ ...f, points: f.points.map((p, i) => place(f.id, p, i)) }));
  const drawing = { ...editor.drawing, features };
  editor.set({ ...drawing, survey: surveyOf(survey, drawing, shift) });
  editor.fit();
}
