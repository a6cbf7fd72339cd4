// Change something and see what moves: mast, money, power, tuner, bands; earlier work is used again.

import { button, choice, clear, field, h, number } from "../dom.js";
import * as api from "../api.js";
import { bandWords } from "../words.js";

/** `run`: as the service gives it; `design`: what is looked at, for the ranges; `onHand()`: what the ticks on its parts add to the change. */
export function rerunSection(run, design, limit, onHand) {
  const { wish } = run,
    change = {},
    told = h("div", { "aria-live": "assertive" });
  const now = { mast: wish.mast_limit_m ?? limit, budget: wish.budget ?? null };
  const slide = (label, key, value, low, high, step, unit) => {
    const entry = number(value, (v) => set(v), { min: low, max: high, step }),
      range = h("input", { type: "range", min: low, max: high, step, value: value ?? high, "aria-label": `${label}, by sliding` });
    const set = (v) => {
      change[key] = v;
      entry.value = v ?? "";
      if (v !== null) range.value = v;
    };
    range.addEventListener("input", () => set(Number(range.value)));
    return h("div", {}, field(label, entry, "", unit), range);
  };
  const bands = Array.isArray(wish.bands) ? wish.bands : null,
    dropped = new Set();
  const go = button("See what changes", start, { class: "strong" });
  async function start() {
    const body = {
      ...change,
      ...(dropped.size ? { bands: bands.filter((_, i) => !dropped.has(i)) } : {}),
      ...onHand(),
    };
    if (!Object.keys(body).length) return clear(told, h("p", { class: "hint" }, "Change something first."));
    go.disabled = true;
    try {
      const again = await api.rerun(run.id, { ...body, ...api.effortOf(run) });
      location.hash = `#/run/${again.id}`;
    } catch (error) {
      clear(
        told,
        api.errorWords(error).map((w) => h("p", { class: "fault" }, `! ${w}`)),
      );
    }
    go.disabled = false;
  }
  return h(
    "section",
    { class: "card", "aria-labelledby": "s-rerun" },
    h("h2", { id: "s-rerun" }, "Change something"),
    h("p", { class: "hint" }, "A metre more mast, less money, one band fewer: earlier work is used again, and you see what moved."),
    slide("Mast no taller than", "mast_limit_m", now.mast, 0, Math.max(limit, 15), 0.5, "m"),
    slide("At most to spend", "budget", now.budget, 0, Math.ceil((design.cost * 2) / 10) * 10, 5, design.currency),
    h(
      "div",
      { class: "pair" },
      field(
        "Power",
        number(
          wish.power_w ?? 100,
          (v) => {
            change.power_w = v ?? 100;
          },
          { min: 0.1 },
        ),
        "",
        "W",
      ),
      field(
        "Tuner",
        choice(
          [
            ["none", "none"],
            ["radio", "in the radio"],
            ["external", "separate"],
          ],
          wish.tuner ?? "none",
          (v) => {
            change.tuner = v;
          },
        ),
      ),
    ),
    bands && bands.length > 1
      ? h(
          "fieldset",
          { class: "plain" },
          h("legend", {}, "Bands"),
          bands.map((b, i) =>
            h(
              "label",
              { class: "tick" },
              h("input", { type: "checkbox", checked: true, on: { change: (e) => (e.target.checked ? dropped.delete(i) : dropped.add(i)) } }),
              bandWords(b.band ?? b),
              " ",
            ),
          ),
        )
      : null,
    told,
    go,
  );
}
