// After a rerun: which wishes changed, from what to what; what entered, left and moved, and why.

import { fold, h } from "../dom.js";
import * as api from "../api.js";

const sign = (m) =>
  m.rank_before == null ? "+" : m.rank_now == null ? "−" : m.rank_now < m.rank_before ? "▲" : m.rank_now > m.rank_before ? "▼" : "=";

export async function movedList(id) {
  const answer = await api.moved(id).catch(() => null),
    list = answer?.moves ?? [],
    wishes = answer?.wishes_changed ?? [];
  const fresh = list.length > 0 && list.every((m) => m.rank_before == null); // nothing before it: all is new
  if (!answer || (fresh && !wishes.length)) return null;
  const lines = list.map((m) => h("li", {}, h("span", { class: "sign", "aria-hidden": "true" }, sign(m)), m.text));
  return h(
    "section",
    { class: "card moved", "aria-label": "What changed" },
    h("h2", {}, "What changed"),
    wishes.length
      ? h(
          "ul",
          { class: "wishes-changed" },
          wishes.map((text) => h("li", {}, text)),
        )
      : null,
    fresh ? null : lines.length ? h("ul", {}, lines.slice(0, 6)) : h("p", {}, "Nothing moved."),
    !fresh && lines.length > 6 ? fold(`${lines.length - 6} more`, h("ul", {}, lines.slice(6))) : null,
  );
}
