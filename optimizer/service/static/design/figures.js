// A plain table of figures: a head, and lines that begin with their name.

import { h } from "../dom.js";

/** `head`: words of the columns, the first may be empty; `lines`: [[name, figure, …], …]; a figure is text or elements. */
export function figureTable({ caption = "", head, lines, numbers = true }) {
  const css = numbers ? "num" : "";
  const top = head.map((words, i) => (words ? h("th", { scope: "col", class: i || numbers ? "num" : "" }, words) : h("td", {})));
  const line = ([name, ...figures]) =>
    h(
      "tr",
      {},
      h("th", { scope: "row" }, name),
      figures.map((f) => h("td", { class: css }, f)),
    );
  return h(
    "table",
    { class: "figures" },
    caption ? h("caption", {}, caption) : null,
    h("thead", {}, h("tr", {}, top)),
    h("tbody", {}, lines.map(line)),
  );
}
