// How the tapes of a surveyed lot fit: what does not, and the residual of every one; and whether they still speak of the drawing.
// A survey: as the service solved it, its points in the drawing's own metres; `corners`: which points each feature had when the tapes were fitted.
// Tapes hold as long as every taped corner of the lot, and of whatever else still stands on it, is where they put it. Turning the whole drawing, heights,
// names, more things and things taken away whole leave them alone; a taped corner moved or taken out of its shape is another lot than was taped.

import { h } from "../dom.js";
import { lotOf } from "./model.js";

export const mm = (v) => Number(v.toFixed(3)) + 0; // no minus before nothing
export const placeKey = (p) => p.map(mm).join(" ");
const cm = (m) => `${m < 0 ? "−" : "+"}${Math.abs(100 * m).toFixed(1)}`;

/** The survey of a drawing that has just been fitted to it; null where nothing was taped. `shift`: from the survey's metres to the drawing's. */
export function surveyOf(solved, drawing, shift = [0, 0]) {
  if (!solved?.readings.length) return null;
  const points_m = mapped(solved.points_m, (p) => p.map((c, i) => mm(c + shift[i])));
  const names = new Map(Object.entries(points_m).map(([name, p]) => [placeKey(p), name]));
  const corners = drawing.features
    .map((f) => [f.id, f.points.map((p) => names.get(placeKey(p))).filter(Boolean)])
    .filter(([, taped]) => taped.length);
  return { ...solved, points_m, corners: Object.fromEntries(corners), lot: lotOf(drawing)?.id };
}

const mapped = (object, run) => Object.fromEntries(Object.entries(object).map(([key, value]) => [key, run(value)]));

/** Do the tapes speak of this drawing? */
export function tapesHold(drawing) {
  const { survey, features } = drawing;
  if (!survey?.corners || (survey.corners[survey.lot] && lotOf(drawing)?.id !== survey.lot)) return false;
  return features.every((f) => {
    const there = new Set(f.points.map(placeKey));
    return (survey.corners[f.id] ?? []).every((name) => there.has(placeKey(survey.points_m[name])));
  });
}

/** The survey of a drawing that is turned whole: `go` moves a point, `deg` clockwise. */
export function turnedSurvey(survey, go, deg) {
  if (!survey) return survey;
  const bearing = ((survey.base_bearing_deg ?? survey.assumed_bearing_deg ?? 90) + deg + 720) % 360;
  return { ...survey, points_m: mapped(survey.points_m, go), base_bearing_deg: bearing, assumed_bearing_deg: null };
}

/** The tapes of a drawing in which they hold, for the tape form: its tables, where the first point comes to, and names of places.
    `from`: the drawing's metres less those in which the survey comes out. */
export function asTaped({ survey }) {
  const { points_m, readings, given = [], base_bearing_deg: bearing } = survey;
  const points = new Map(given.map((name) => [name, points_m[name]])), // in their order, which an object does not keep for names like 10 and 2
    first = points_m[given[0] ?? readings[0].from];
  return {
    points,
    first,
    from: given.length ? [0, 0] : first,
    site: given.length < 2 && bearing !== null && bearing !== undefined ? { base_bearing_deg: bearing } : {},
    tape: readings.map(({ from, to, measured_m: m, side }) => ({ from, to, m, side })),
    names: Object.entries(points_m).map(([name, p]) => [placeKey(p), name]),
  };
}

/** Words beside the plan; nothing for a lot that was not taped. */
export function surveyWords(drawing) {
  const { survey } = drawing;
  if (!survey) return null;
  if (!tapesHold(drawing))
    return h(
      "div",
      { class: "survey" },
      h(
        "p",
        { class: "warn" },
        "▲ A taped corner is no longer where the tapes put it: your tapes do not go with this drawing and are left out. Undo brings them back.",
      ),
    );
  const each = survey.readings.map((r) => `${r.name.replace(/^\S+ /, "")} ${cm(r.residual_m)}`).join(" · ");
  return h(
    "div",
    { class: "survey" },
    survey.warning ? h("p", { class: "warn" }, `▲ ${survey.warning}`) : null,
    h("p", { class: "hint" }, `Your ${survey.readings.length} tapes, measured less computed, in cm: ${each}`),
  );
}
