// A drawing of the editor in the form the service draws sites in, for small plans.

import { bounds } from "../lot/geometry.js";

export function toDrawn(drawing) {
  const features = drawing.features.map((f) => ({
    role: f.role,
    name: f.name,
    ...f.props,
    ...(f.shape === "Polygon" ? { rings_m: [f.points, ...f.holes] } : f.shape === "LineString" ? { path_m: f.points } : { at_m: f.points[0] }),
  }));
  const { low, high } = bounds(drawing.features.find((f) => f.role === "lot").points);
  return { ...drawing.site, features, bounds_m: [...low, ...high] };
}
