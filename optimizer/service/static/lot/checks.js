// Faults that can be seen at once on the drawing; the service checks the rest. A fault: {id, at, text, key}.

import { ROLES, titleOf } from "./roles.js";
import { labelPoint, selfCrossings, area } from "./geometry.js";

export function quickFaults(drawing) {
  const lot = drawing.features.find((f) => f.role === "lot");
  if (!lot) return [{ text: "Draw the edge of the lot first." }];
  return [...drawing.features.flatMap((f) => ofOne(f)), ...radioFaults(drawing, lot)];
}

function ofOne(f) {
  const found = [];
  if (f.shape === "Polygon") {
    for (const at of selfCrossings(f.points)) found.push({ id: f.id, at, text: `The edge of ${titleOf(f)} crosses itself here: move a corner.` });
    if (!found.length && area(f.points) < 0.001)
      found.push({ id: f.id, at: f.points[0], text: `${titleOf(f)} has no area: pull its corners apart.` });
  }
  for (const ask of ROLES[f.role].asks)
    if (ask.start !== undefined && (f.props[ask.key] === undefined || f.props[ask.key] === "" || Number.isNaN(f.props[ask.key])))
      found.push({ id: f.id, at: labelPoint(f.points), key: ask.key, text: `${titleOf(f)}: say its ${ask.label.toLowerCase()}.` });
  return found;
}

function radioFaults(drawing, lot) {
  const radio = drawing.features.find((f) => f.role === "radio");
  if (radio) return [];
  return [{ text: "Set the radio: where the line leaves the house.", hint: true, at: labelPoint(lot.points) }];
}

/** Faults of the service, brought to the feature they speak of: fields read "features[3].…" or "feature[3].…". */
export function placed(faults, drawing) {
  return faults.map((fault) => {
    const index = /features?\[(\d+)\]/.exec(fault.field ?? "")?.[1];
    const feature = index === undefined ? null : drawing.features[Number(index)];
    const key = /\.(\w+)$/.exec(fault.field ?? "")?.[1];
    const shown = fault.value === null || fault.value === undefined ? "" : ` Now: ${String(fault.value)}.`;
    const hint = fault.hint ? ` (${fault.hint})` : "";
    return {
      id: feature?.id,
      key,
      at: feature ? labelPoint(feature.points) : null,
      text: `${feature ? titleOf(feature) : plainField(fault.field)}: ${key && feature ? `${plainField(key)}: ` : ""}needs ${fault.allowed}.${shown}${hint}`,
    };
  });
}

const plainField = (name = "") =>
  name
    .replace(/^site\./, "")
    .replace(/_m$/, "")
    .replaceAll("_", " ");
