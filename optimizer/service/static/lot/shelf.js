// Where a drawing comes from and goes to: a rectangle, the example, a file, empty paper; a file to keep.

import { button, fold, h, handOut, say } from "../dom.js";
import * as api from "../api.js";
import { asSite, canDraw, fromDrawn, fromGeojson } from "./files.js";
import { emptyDrawing } from "./model.js";

/** `renew(drawing)`: another lot altogether. `trouble(lines)`: what is wrong with a file. */
export function shelf(editor, renew, trouble) {
  const file = h("input", { type: "file", accept: ".geojson,.json,.toml", hidden: true, on: { change: () => file.files[0] && open(file.files[0]) } });
  const box = fold(
    "Rectangle, example, open, save",
    h(
      "div",
      { class: "row-of starts" },
      rectangle(editor),
      button("Example lot", example),
      button("Open a file", () => file.click()),
      button("Empty paper", () => renew(emptyDrawing())),
      button("Save as a file", () => save(editor.drawing)),
      file,
    ),
  );

  async function open(chosen) {
    try {
      const text = await chosen.text();
      renew(/\.toml$/i.test(chosen.name) ? await asRead("tape", text) : await fromMap(text));
      say(`${chosen.name} is drawn.`);
    } catch (error) {
      trouble(troubleWords(error).map((words) => `${chosen.name}: ${words}`));
    }
    file.value = "";
  }
  async function example() {
    const answer = await fetch(new URL("../example.json", import.meta.url));
    renew({ ...emptyDrawing(), ...(await answer.json()) });
    say("An example lot is drawn. Change what you like.");
  }
  return { box, open, example };
}

function rectangle(editor) {
  const entry = (value, label) => h("input", { type: "number", value, min: 1, step: "any", "aria-label": label });
  const wide = entry(12, "width of the lot, metres east to west"),
    deep = entry(25, "depth of the lot, metres south to north");
  const run = () => {
    const [w, d] = [Number(wide.value), Number(deep.value)];
    if (w > 0 && d > 0)
      editor.place("lot", "Polygon", [
        [0, 0],
        [w, 0],
        [w, d],
        [0, d],
      ]);
  };
  return h("span", { class: "rectangle" }, button("Begin with a rectangle", run), wide, " × ", deep, " m");
}

function save(drawing) {
  const name = drawing.site.name.replace(/[^\w-]+/g, "_").toLowerCase() || "lot";
  const { form, content } = asSite(drawing);
  if (form === "geojson") handOut(`${name}.geojson`, JSON.stringify(content, null, 1));
  else handOut(`${name}.toml`, content, "application/toml");
}

/** A map as the page draws it, faults and all; what it cannot draw whole the service reads, and names every fault. */
async function fromMap(text) {
  const content = JSON.parse(text);
  return canDraw(content) ? fromGeojson(content) : asRead("geojson", text);
}

async function asRead(form, text) {
  const answer = await api.checkSite(form, text);
  if (!answer.ok) throw new api.ApiError(422, { kind: "bad_input", message: "The file has faults.", faults: answer.faults });
  return fromDrawn(answer.drawing);
}

function troubleWords(error) {
  if (error instanceof SyntaxError) return [`this is no site file: it is not JSON (${error.message})`];
  return error instanceof api.ApiError ? api.errorWords(error) : ["this file cannot be opened."];
}
