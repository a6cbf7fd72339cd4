// The list of faults beside the plan: those seen at once and those of the service, each leading to its feature.

import { button, clear, h, later } from "../dom.js";
import * as api from "../api.js";
import { asSite } from "./files.js";
import { lotOf } from "./model.js";

const sign = (fault) => (fault.hint ? "○" : "!");
const QUIET = /base_bearing|radio point/; // said elsewhere, as the survey's own is, or of no use to who draws

export function faultList(editor, signal, onTold) {
  const box = h("div", { class: "faults" });
  const show = (warnings = []) =>
    clear(
      box,
      editor.state.faults.map((f) => {
        const words = `${sign(f)} ${f.text}`;
        return h("p", { class: f.hint ? "hint" : "fault" }, f.id ? button(words, () => editor.select(f.id), { class: "as-link" }) : words);
      }),
      warnings.filter((w) => !QUIET.test(w) && w !== editor.drawing.survey?.warning).map((w) => h("p", { class: "warn" }, `▲ ${w}`)),
    );
  const lines = (words) => box.append(...words.map((w) => h("p", { class: "fault" }, `! ${w}`)));
  const ask = later(async () => {
    const { drawing } = editor;
    if (!lotOf(drawing)) return;
    try {
      const { form, content } = asSite(drawing);
      const answer = await api.checkSite(form, content, { signal });
      editor.tell(answer.faults, drawing);
      show(answer.warnings);
      onTold();
    } catch {
      // the drawing works without the service; the next step will say what is wrong
    }
  }, 500);
  return { box, show, lines, ask };
}
