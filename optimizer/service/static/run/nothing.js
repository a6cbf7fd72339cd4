// Nothing fits: the smallest changes that would let something in, each with a button, and what rules each kind out.

import { button, fold, h, link } from "../dom.js";
import * as api from "../api.js";
import { fromDrawn, asSite } from "../lot/files.js";
import { familyWords } from "../words.js";
import { changeOf } from "./relax.js";

export function nothingFits(run, site) {
  const { reasons = {}, relaxations = [] } = run.result ?? {};
  const told = h("p", { class: "fault", "aria-live": "assertive" });
  const offer = (text) => {
    const change = changeOf(text, run.wish, site?.drawing.height_limit_m);
    return h("li", {}, h("strong", {}, text), " ", change ? button("Try it", (e) => go(e, change), { class: "small strong", "aria-label": `try: ${text}` }) : null);
  };
  async function go(e, change) {
    e.target.disabled = true;
    try {
      const where = change.site ? await changedSite(site, change.site) : run.site;
      const again = await api.startRun({ site: where, wish: { ...run.wish, ...change.wish }, ...(run.trials ? { trials: run.trials } : { seconds: run.seconds }), seed: run.seed });
      location.hash = `#/run/${again.id}`;
    } catch (error) {
      told.textContent = `! ${api.errorWords(error).join(" ")}`;
      e.target.disabled = false;
    }
  }
  return h("section", { class: "nothing" }, h("h2", {}, "Nothing fits, yet"),
    relaxations.length ? [h("p", {}, "The smallest change that would let something in:"), h("ul", { class: "offers" }, relaxations.map(offer))] : h("p", {}, "No single change that was tried would let one in. Look at the reasons below, then at the lot: more places to hold a wire help most."),
    told, fold("What rules out each kind of wire", h("dl", { class: "reasons" }, Object.entries(reasons).map(([family, why]) => [h("dt", {}, familyWords(family)), h("dd", {}, why)]))),
    h("p", { class: "row-of" }, link(`#/lot/${run.site}`, "Change the lot", { class: "as-button" }), link(`#/wish/${run.site}`, "Change wishes", { class: "as-button" })));
}

/** A copy of the lot with something changed. */
async function changedSite(site, part) {
  const drawing = fromDrawn(site.drawing);
  drawing.site = { ...drawing.site, ...part };
  return (await api.keepSite(`${site.name} (${part.height_limit_m} m high)`, asSite(drawing))).id;
}
