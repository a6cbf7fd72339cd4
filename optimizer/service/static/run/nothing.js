// Nothing fits: the smallest changes that would let something in, each with a button, and what rules each kind out.

import { button, fold, h, link } from "../dom.js";
import * as api from "../api.js";
import { fromDrawn, asSite } from "../lot/files.js";
import { familyWords } from "../words.js";
import { changeOf } from "./relax.js";

export function nothingFits(run, site) {
  const { reasons = {}, relaxations = [] } = run.result ?? {};
  const told = h("p", { class: "fault", "aria-live": "assertive" });
  if (Object.values(reasons).every((why) => UNTRIED.test(why))) return tooShort(run, told);
  const offer = (text) => {
    const change = changeOf(text, run.wish, site?.drawing.height_limit_m);
    return h(
      "li",
      {},
      h("strong", {}, text),
      " ",
      change ? button("Try it", (e) => go(e, change), { class: "small strong", "aria-label": `try: ${text}` }) : null,
    );
  };
  async function go(e, change) {
    e.target.disabled = true;
    try {
      const where = change.site ? { site: await changedSite(site, change.site) } : {};
      const again = await api.rerun(run.id, { ...where, ...change.wish, ...api.effortOf(run) });
      location.hash = `#/run/${again.id}`;
    } catch (error) {
      told.textContent = `! ${api.errorWords(error).join(" ")}`;
      e.target.disabled = false;
    }
  }
  return h(
    "section",
    { class: "nothing" },
    h("h2", {}, "Nothing fits, yet"),
    relaxations.length
      ? [h("p", {}, "The smallest change that would let something in:"), h("ul", { class: "offers" }, relaxations.map(offer))]
      : h(
          "p",
          {},
          "No single change that was tried would let one in. Look at the reasons below, then at the lot: more places to hold a wire help most.",
        ),
    told,
    fold(
      "What rules out each kind of wire",
      h(
        "dl",
        { class: "reasons" },
        Object.entries(reasons).map(([family, why]) => [h("dt", {}, familyWords(family)), h("dd", {}, why)]),
      ),
    ),
    h(
      "p",
      { class: "row-of" },
      link(`#/lot/${run.site}`, "Change the lot", { class: "as-button" }),
      link(`#/wish/${run.site}/as/${run.id}`, "Change wishes", { class: "as-button" }),
    ),
  );
}

const UNTRIED = /^not tried|^serves none/;

/** Nothing was looked at: no word about the lot, only about the time. */
function tooShort(run, told) {
  const again = button(
    "Search for three minutes",
    async () => {
      again.disabled = true;
      await api.rerun(run.id, { seconds: 180 }).then(
        (next) => {
          location.hash = `#/run/${next.id}`;
        },
        (error) => {
          told.textContent = `! ${error.message}`;
        },
      );
      again.disabled = false;
    },
    { class: "strong" },
  );
  return h(
    "section",
    { class: "nothing" },
    h("h2", {}, "The time was too short"),
    h(
      "p",
      {},
      "No design could be computed in the time given. That says nothing about your lot: the machine was busy, or the first search after an installation was still compiling.",
    ),
    told,
    again,
  );
}

/** A copy of the lot with something changed. */
async function changedSite(site, part) {
  const drawing = fromDrawn(site.drawing);
  drawing.site = { ...drawing.site, ...part };
  return (await api.keepSite(`${site.name} (${part.height_limit_m} m high)`, asSite(drawing))).id;
}
