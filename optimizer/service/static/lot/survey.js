// How the tapes of a surveyed lot fit: what does not, and the residual of every one.

import { h } from "../dom.js";

const cm = (m) => `${m < 0 ? "−" : "+"}${Math.abs(100 * m).toFixed(1)}`;

/** Words beside the plan; nothing for a lot that was not taped. `survey`: as the service solved it. */
export function surveyWords(survey) {
  if (!survey) return null;
  const each = survey.readings.map((r) => `${r.name.replace(/^\S+ /, "")} ${cm(r.residual_m)}`).join(" · ");
  return h(
    "div",
    { class: "survey" },
    survey.warning ? h("p", { class: "warn" }, `▲ ${survey.warning}`) : null,
    h("p", { class: "hint" }, `Your ${survey.readings.length} tapes, measured less computed, in cm: ${each}`),
  );
}
