// The trim log: a step, what the meter shows, and what to do next. Readings are kept with the design.

import { button, choice, clear, field, h, link, number, say } from "../dom.js";
import * as api from "../api.js";
import { bandWords, share } from "../words.js";
import { figureTable } from "./figures.js";
import { readingEntry } from "./reading_entry.js";
import { verifySection } from "./verify.js";

const VERDICTS = {
  cut: "✂ Shorten",
  fold: "↩ Fold back, do not cut",
  unfold: "↔ Let out",
  stop: "✓ This piece is good enough",
  done: "✓ Done, all bands",
  read: "→ Read first",
  wrong: "! Do not cut: something is wrong",
};
const CHANCES = [
  ["0.02", "2 of 100 cases"],
  ["0.1", "10 of 100"],
  ["0.3", "30 of 100: I can splice"],
];

export async function show(main, { run: id, rank }, { signal }) {
  const design = await api.design(id, rank),
    steps = design.trimming,
    back = `#/run/${id}/design/${rank}`;
  if (!steps.length)
    return clear(
      main,
      h("h1", { tabindex: "-1" }, "Nothing to trim"),
      h("p", {}, "This design needs no cutting: the tuner does the rest."),
      link(back, "Back to the design"),
    );
  const now = { band: steps[0].band, cut_cm: 0, length_m: null, mended: false, checked: false, chance: 0.02, lengths: "metric" };
  const told = h("div", { "aria-live": "assertive" }),
    kept = h("div"),
    wait = h("span", { class: "quiet", "aria-live": "polite" });
  const entry = readingEntry((band) => design.bands[band].case.frequencies_mhz);
  const step = choice(
    steps.map((t, i) => [t.band, `${i + 1}. ${t.element}, for ${bandWords(t.band)}`]),
    now.band,
    toBand,
  );
  const cut = number(0, (v) => (now.cut_cm = v ?? 0)),
    length = number(null, (v) => (now.length_m = v), { min: 0 });
  const tick = (key, words) =>
    h("label", { class: "tick" }, h("input", { type: "checkbox", data: { key }, on: { change: (e) => (now[key] = e.target.checked) } }), words);
  const ask = button("What next?", () => send(true), { class: "strong" }),
    look = button("From the log as it is", () => send(false));

  clear(
    main,
    h("p", { class: "quiet" }, link(back, `← ${design.design}`)),
    h("h1", { tabindex: "-1" }, "Trim log"),
    h(
      "p",
      { class: "caution" },
      "Transmitter off and line unplugged before anybody touches wire, coil, transformer or counterpoise. Low power, listen first, identify.",
    ),
    h(
      "div",
      { class: "design-page" },
      h(
        "section",
        { class: "card" },
        h("h2", {}, "What does the meter show?"),
        field("Step", step),
        entry.form,
        h(
          "div",
          { class: "pair" },
          field("Shortened since its last reading", cut, "cut or folded; negative where let out", "cm"),
          field("The piece measures now", length, "if you measured it", "m"),
        ),
        h("p", {}, tick("mended", "something wrong was put right before this reading")),
        h("p", {}, tick("checked", "I looked: all is sound, advise on")),
        h(
          "div",
          { class: "pair" },
          field(
            "A cut too far at most in",
            choice(CHANCES, "0.02", (v) => (now.chance = Number(v))),
          ),
          field(
            "Lengths",
            choice(
              [
                ["metric", "centimetres"],
                ["imperial", "inches"],
              ],
              "metric",
              (v) => (now.lengths = v),
            ),
          ),
        ),
        h("p", { class: "row-of" }, ask, look, wait),
        told,
      ),
      h("section", { class: "card" }, h("h2", {}, "Order of work"), h("ol", {}, steps.map(workStep)), h("h2", {}, "Readings so far"), kept),
      verifySection(id, rank),
    ),
  );
  entry.forBand(now.band);
  await log();

  function toBand(band) {
    now.band = band;
    step.value = band;
    entry.forBand(band);
  }
  async function send(withReading) {
    ask.disabled = look.disabled = true;
    wait.textContent = "weighing gardens like yours; the first time this takes some tens of seconds …";
    try {
      const { chance, lengths, checked } = now;
      const reading = withReading
        ? { band: now.band, cut_cm: now.cut_cm, ...(now.length_m ? { length_m: now.length_m } : {}), mended: now.mended, ...entry.read() }
        : { radio: entry.asRadio() };
      const advice = await api.addReading(id, rank, { ...reading, chance, lengths, checked });
      if (signal.aborted) return;
      clear(told, adviceWords(advice));
      if (withReading) afterReading(advice);
      await log();
    } catch (error) {
      clear(
        told,
        api.errorWords(error).map((w) => h("p", { class: "fault" }, `! ${w}`)),
      );
      say(error.message);
    }
    ask.disabled = look.disabled = false;
    wait.textContent = "";
  }
  function afterReading({ next_step: next }) {
    Object.assign(now, { cut_cm: 0, length_m: null, mended: false, checked: false });
    cut.value = 0;
    length.value = "";
    main.querySelectorAll("[data-key]").forEach((box) => (box.checked = false));
    toBand(steps.find((t) => t.parameter === next)?.band ?? now.band);
  }
  async function log() {
    const { items } = await api.design(id, rank, "readings");
    const lines = items.map((r, i) => [i + 1, bandWords(r.band ?? ""), mhz(r), (100 * r.cut_m).toFixed(1), r.counts ? "" : "set aside"]);
    const strike = button("Take the last one back", () => api.takeBack(id, rank).then(log), { class: "small" });
    clear(
      kept,
      lines.length
        ? [figureTable({ head: ["", "band", "read", "shortened before, cm", ""], lines }), strike]
        : h("p", { class: "quiet" }, "None yet."),
    );
  }
}

const mhz = (r) =>
  r.dip_hz ? `${(r.dip_hz / 1e6).toFixed(3)} MHz` : r.points.map(([f, v]) => `${v.toFixed(1)} at ${(f / 1e6).toFixed(3)}`).join(", ");

function adviceWords(advice) {
  const lines = advice.words.split("\n");
  if (advice.verdict !== "wrong") return [h("p", { class: "verdict" }, VERDICTS[advice.verdict]), lines.map((w) => h("p", {}, w))];
  const doubt = Math.max(1e-9, 1 - advice.sound),
    cause = (c) => h("li", {}, h("strong", {}, c.what), ` (${share(c.share / doubt)}): ${c.check}.`);
  return [
    h("p", { class: "verdict fault" }, VERDICTS.wrong),
    h("p", {}, "Look in this order; when it is put right, read again and tick so. If all is sound after all, tick that."),
    h("ol", {}, advice.causes.map(cause)),
  ];
}

function workStep(t) {
  const first = t.first_reading;
  return h(
    "li",
    {},
    h("strong", {}, t.element),
    `: aim ${(t.aim_mhz ?? t.target_mhz).toFixed(3)} MHz on ${bandWords(t.band)}`,
    t.cut_m ? `, cut to ${t.cut_m.toFixed(2)} m at first` : "",
    t.khz_per_cm ? `, ${t.khz_per_cm.toFixed(0)} kHz for each cm` : "",
    first ? `; the first reading should lie between ${first.dip_low_mhz.toFixed(3)} and ${first.dip_high_mhz.toFixed(3)} MHz` : "",
    `. ${t.reachable ? "From the ground." : "The mast comes down for it."}`,
    t.disturbs.length ? ` Moves ${t.disturbs.map(bandWords).join(", ")} too.` : "",
    t.note ? ` Note: ${t.note}.` : "",
  );
}
