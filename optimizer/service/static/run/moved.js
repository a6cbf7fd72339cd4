// After a rerun: what entered, left and moved, and why.

import { fold, h } from "../dom.js";
import * as api from "../api.js";

const sign = (m) =>
  m.rank_before == null
    ? "＋ entered"
    : m.rank_now == null
      ? "− left"
      : m.rank_now < m.rank_before
        ? "▲ up"
        : m.rank_now > m.rank_before
          ? "▼ down"
          : "＝ same place";

export async function movedList(id) {
  const answer = await api.moved(id).catch(() => null),
    list = answer?.moves ?? [];
  if (!answer) return null;
  const lines = list.map((m) => h("li", {}, h("strong", {}, sign(m)), ` ${m.text}`));
  return h(
    "section",
    { class: "card moved", "aria-label": "What changed" },
    h("h2", {}, "What changed"),
    lines.length ? h("ul", {}, lines.slice(0, 6)) : h("p", {}, "Nothing moved."),
    lines.length > 6 ? fold(`${lines.length - 6} more`, h("ul", {}, lines.slice(6))) : null,
  );
}
