// The wishes page: bands, station, purse and limits, and the start of the search.

import { button, choice, clear, field, fold, h, link, number } from "../dom.js";
import * as api from "../api.js";
import { remember, remembered } from "../store.js";
import { bandChooser } from "./bands.js";
import { EFFORTS, FRESH_WISH, MODES, asOrder, wishFaults, wishOf } from "./model.js";

export async function show(main, { site, run }, { signal }) {
  const kept = await api.site(site),
    { drawing } = kept;
  const begun = run ? wishOf(await api.run(run)) : null;
  const wish = begun ?? { ...structuredClone(FRESH_WISH), ...remembered(`wish.${site}`, remembered("wish", {})) };
  const keep = () => {
    remember(`wish.${site}`, wish);
    remember("wish", wish);
    told.replaceChildren();
  };
  const set = (part) => {
    Object.assign(wish, part);
    keep();
  };
  const { bands } = await api.bands(drawing.itu_region, drawing.country);
  wish.bands = Object.fromEntries(Object.entries(wish.bands).filter(([b]) => bands.some((x) => x.name === b)));
  const told = h("div", { "aria-live": "assertive" });
  const start = button("Search", go, { class: "strong big" });
  clear(
    main,
    h("h1", { tabindex: "-1" }, "What do you wish for?"),
    h(
      "p",
      { class: "lead" },
      "For ",
      link(`#/lot/${site}`, kept.name),
      `, ${Math.round(drawing.area_m2)} m², nothing higher than ${drawing.height_limit_m} m.`,
    ),
    h(
      "div",
      { class: "wish-page" },
      h(
        "section",
        { "aria-labelledby": "w-bands" },
        h("h2", { id: "w-bands" }, "Bands"),
        bandChooser(bands, wish.bands, keep),
        h("p", { class: "hint" }, "One tick is enough to begin: the rest has sensible values."),
      ),
      h(
        "div",
        {},
        h(
          "section",
          { class: "card", "aria-labelledby": "w-limits" },
          h("h2", { id: "w-limits" }, "Purse and limits"),
          field(
            "At most to spend",
            number(wish.budget, (v) => set({ budget: v }), { min: 0, placeholder: "open" }),
            "everything from the radio's socket outward, bought new; empty: no limit",
            drawing.currency,
          ),
          field(
            "Mast no taller than",
            number(wish.mast_limit_m, (v) => set({ mast_limit_m: v }), { min: 0, placeholder: `${drawing.height_limit_m}` }),
            "0: no mast at all; empty: as the lot's height limit",
            "m",
          ),
        ),
        h(
          "section",
          { class: "card", "aria-labelledby": "w-station" },
          h("h2", { id: "w-station" }, "Station"),
          field(
            "Power",
            number(wish.power_w, (v) => set({ power_w: v ?? 100 }), { min: 0.1 }),
            "",
            "W",
          ),
          field(
            "You send mostly",
            choice(known(MODES, wish.mode_duty), String(wish.mode_duty), (v) => set({ mode_duty: Number(v) })),
            "for the field where people are, and for heat",
          ),
          field(
            "Tuner",
            choice(
              [
                ["none", "none"],
                ["radio", "built into the radio"],
                ["external", "a separate one"],
              ],
              wish.tuner,
              (v) => set({ tuner: v }),
            ),
          ),
          fold(
            "More about the station",
            field(
              "Sending, of the time on the air",
              number(Math.round(100 * wish.transmit_share), (v) => set({ transmit_share: Math.min(100, Math.max(1, v ?? 50)) / 100 }), {
                min: 1,
                max: 100,
              }),
              "",
              "%",
            ),
            field(
              "The radio accepts an SWR up to",
              number(wish.swr_limit, (v) => set({ swr_limit: v ?? 2 }), { min: 1.01, step: 0.1 }),
            ),
            field(
              "Supply",
              choice(
                [
                  ["mains", "from the mains, with its earth"],
                  ["battery", "from a battery, floating"],
                ],
                wish.station,
                (v) => set({ station: v }),
              ),
            ),
          ),
        ),
        h(
          "section",
          { class: "card", "aria-labelledby": "w-effort" },
          h("h2", { id: "w-effort" }, "How long to search"),
          field(
            "Time",
            choice(known(EFFORTS, wish.seconds), String(wish.seconds), (v) => set({ seconds: Number(v) })),
          ),
          fold(
            "A fixed count instead, for the same table again",
            field(
              "Designs to try",
              number(wish.trials, (v) => set({ trials: v ? Math.round(v) : null }), { min: 1, placeholder: "by time" }),
            ),
            field(
              "Seed",
              number(wish.seed, (v) => set({ seed: Math.max(0, Math.round(v ?? 1)) }), { min: 0 }),
            ),
          ),
          told,
          h("p", { class: "row-of" }, start),
        ),
      ),
    ),
  );

  async function go() {
    const missing = wishFaults(wish);
    if (missing.length) return tell(missing);
    start.disabled = true;
    try {
      const run = await api.startRun(asOrder(site, wish));
      if (!signal.aborted) location.hash = `#/run/${run.id}`;
    } catch (error) {
      tell(api.errorWords(error));
    }
    start.disabled = false;
  }
  const tell = (lines) =>
    clear(
      told,
      lines.map((w) => h("p", { class: "fault" }, `! ${w}`)),
    );
}

const known = (options, value) => (options.some(([v]) => v === String(value)) ? options : [...options, [String(value), String(value)]]);
