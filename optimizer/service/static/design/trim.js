// The trim log: a step, what the meter shows, and what to do next. Readings are kept with the design.

import { button, choice, clear, field, h, link, number, say } from "../dom.js";
import * as api from "../api.js";
import { bandWords } from "../words.js";
import { figureTable } from "./figures.js";

const VERDICTS = { cut: "✂ Shorten", unfold: "↔ Let out", stop: "✓ Stop: good enough", wrong: "! Something is wrong" };

export async function show(main, { run: id, rank }) {
  const [design, log] = await Promise.all([api.design(id, rank), api.design(id, rank, "readings")]);
  const steps = design.trimming,
    now = { band: steps[0]?.band, reading_mhz: null, cut_cm: 0, chance: 0.02, lengths: "metric" };
  const told = h("div", { "aria-live": "assertive" }),
    kept = h("div"),
    readings = [...log.items];
  if (!steps.length)
    return clear(
      main,
      h("h1", { tabindex: "-1" }, "Nothing to trim"),
      h("p", {}, "This design needs no cutting: the tuner does the rest."),
      link(`#/run/${id}/design/${rank}`, "Back to the design"),
    );
  const meter = number(
    null,
    (v) => {
      now.reading_mhz = v;
    },
    { placeholder: "7.050", "aria-required": "true" },
  );
  const cut = number(0, (v) => {
    now.cut_cm = v ?? 0;
  });
  clear(
    main,
    h("p", { class: "quiet" }, link(`#/run/${id}/design/${rank}`, `← ${design.design}`)),
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
        field(
          "Step",
          choice(
            steps.map((t, i) => [t.band, `${i + 1}. ${t.element}, for ${bandWords(t.band)}`]),
            now.band,
            (v) => {
              now.band = v;
              draw();
            },
          ),
        ),
        field("Lowest SWR is at", meter, "the frequency of the dip, also outside the band", "MHz"),
        field("Shortened since the reading before", cut, "0 for the first; negative where you let out", "cm"),
        h(
          "div",
          { class: "pair" },
          field(
            "Overshoot at most in",
            choice(
              [
                ["0.02", "2 of 100 cases"],
                ["0.1", "10 of 100"],
                ["0.3", "30 of 100: I can splice"],
              ],
              "0.02",
              (v) => {
                now.chance = Number(v);
              },
            ),
          ),
          field(
            "Lengths",
            choice(
              [
                ["metric", "centimetres"],
                ["imperial", "inches"],
              ],
              "metric",
              (v) => {
                now.lengths = v;
              },
            ),
          ),
        ),
        h("p", {}, button("What next?", ask, { class: "strong" })),
        told,
      ),
      h("section", { class: "card" }, h("h2", {}, "Order of work"), h("ol", {}, steps.map(step)), h("h2", {}, "Readings so far"), kept),
    ),
  );
  draw();

  async function ask() {
    if (!(now.reading_mhz > 0)) {
      clear(told, h("p", { class: "fault" }, "! Give the frequency the meter shows, in MHz."));
      return meter.focus();
    }
    try {
      const advice = await api.addReading(id, rank, { ...now });
      const [first, ...causes] = advice.words.split("\n");
      clear(
        told,
        h("p", { class: "verdict" }, VERDICTS[advice.verdict] ?? advice.verdict),
        h("p", {}, first),
        causes.length
          ? h(
              "ol",
              {},
              (advice.causes ?? causes).map((c) => h("li", {}, c)),
            )
          : null,
      );
      readings.push({ parameter: steps.find((t) => t.band === now.band).parameter, dip_hz: now.reading_mhz * 1e6, cut_m: now.cut_cm / 100 });
      now.cut_cm = 0;
      cut.value = 0;
      draw();
    } catch (error) {
      clear(
        told,
        api.errorWords(error).map((w) => h("p", { class: "fault" }, `! ${w}`)),
      );
      say(error.message);
    }
  }
  function draw() {
    const { parameter } = steps.find((t) => t.band === now.band),
      mine = readings.filter((r) => r.parameter === parameter);
    const lines = mine.map((r, i) => [i + 1, (r.dip_hz / 1e6).toFixed(3), (100 * r.cut_m).toFixed(1)]);
    clear(
      kept,
      lines.length ? figureTable({ head: ["", "MHz", "shortened before, cm"], lines }) : h("p", { class: "quiet" }, "None at this step yet."),
    );
  }
}

const step = (t) =>
  h(
    "li",
    {},
    h("strong", {}, t.element),
    `: aim ${(t.aim_mhz ?? t.target_mhz).toFixed(3)} MHz on ${bandWords(t.band)}`,
    t.cut_m ? `, cut to ${t.cut_m.toFixed(2)} m at first` : "",
    t.khz_per_cm ? `, ${t.khz_per_cm.toFixed(0)} kHz for each cm` : "",
    t.first_reading
      ? `; the first reading should lie between ${t.first_reading.dip_low_mhz.toFixed(3)} and ${t.first_reading.dip_high_mhz.toFixed(3)} MHz`
      : "",
    `. ${t.reachable ? "From the ground." : "The mast comes down for it."}`,
    t.disturbs.length ? ` Moves ${t.disturbs.map(bandWords).join(", ")} too.` : "",
    t.note ? ` Note: ${t.note}.` : "",
  );
