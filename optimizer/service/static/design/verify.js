// When it is up: what was measured over what was expected, band by band.

import { button, clear, field, h } from "../dom.js";
import * as api from "../api.js";

export function verifySection(id, rank) {
  const lines = h("textarea", { rows: 5, placeholder: "7.000 1.8\n7.100 1.2\n7.200 1.9", spellcheck: "false" }),
    told = h("div", { "aria-live": "polite" });
  const file = h("input", {
    type: "file",
    accept: ".s1p,.txt,.csv",
    on: { change: async () => file.files[0] && (lines.value = await file.files[0].text()) },
  });
  const go = button("Compare", async () => {
    if (!lines.value.trim()) return clear(told, h("p", { class: "fault" }, "! Give a frequency and an SWR a line, or choose a file."));
    go.disabled = true;
    clear(told, h("p", { class: "quiet" }, "comparing …"));
    try {
      clear(told, found(await api.verify(id, rank, { sweep: lines.value })));
    } catch (error) {
      clear(
        told,
        api.errorWords(error).map((w) => h("p", { class: "fault" }, `! ${w}`)),
      );
    }
    go.disabled = false;
  });
  return h(
    "section",
    { class: "card wide", "aria-labelledby": "s-verify" },
    h("h2", { id: "s-verify" }, "When it is up: does it agree?"),
    h(
      "div",
      { class: "pair" },
      field("MHz and SWR, one pair a line", lines),
      field("or a sweep from a file", file, "one port, Touchstone form, or a table"),
    ),
    h("p", {}, go),
    told,
  );
}

function found({ words, pictures = {} }) {
  const picture = ([band, svg]) =>
    h("img", { class: "verified", alt: `${band}: measured over expected`, src: URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" })) });
  return [
    [words]
      .flat()
      .flatMap((w) => w.split("\n"))
      .map((w) => h("p", {}, w)),
    h("div", { class: "charts" }, Object.entries(pictures).map(picture)),
  ];
}
