// After a rerun: what entered, left and moved, and why.

import { fold, h } from "../dom.js";
import * as api from "../api.js";

const sign = (m) =>
  m.rank_before == null ? "+" : m.rank_now == null ? "−" : m.rank_now < m.rank_before ? "▲" : m.rank_now > m.rank_before ? "▼" : "=";

export async function movedList(id) {
  const answer = await api.moved(id).catch(() => null),
    list = answer?.moves ?? [];
  if (!answer || (list.length && list.every((m) => m.rank_before == null))) return null; // nothing before it: all is new
  const lines = list.map((m) => h("li", {}, h("span", { class: "sign", "aria-hidden": "true" }, sign(m)), m.text));
  return h(
    "section",
    { class: "card moved", "aria-label": "What changed" },
    h("h2", {}, "What changed"),
    lines.length ? h("ul", {}, lines.slice(0, 6)) : h("p", {}, "Nothing moved."),
    lines.length > 6 ? fold(`${lines.length - 6} more`, h("ul", {}, lines.slice(6))) : null,
  );
}
