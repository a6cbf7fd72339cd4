// The drawing as a site file and back: metres with fixed points (the tape form) where no place on earth is known, else GeoJSON.

import { originOf, toLonLat, toMetres } from "./earth.js";
import { emptyDrawing, newId } from "./model.js";
import { ROLES } from "./roles.js";
import { asTaped, mm, placeKey, surveyOf, tapesHold } from "./survey.js";

const properties = (f) => ({ role: f.role, ...(f.name ? { name: f.name } : {}), ...f.props });

/** {form, content} as the service takes it: a lot that was taped goes with its tapes, wherever on earth it lies. */
export const asSite = (drawing) =>
  drawing.origin && !goesByTape(drawing) ? { form: "geojson", content: toGeojson(drawing) } : { form: "tape", content: tapeText(toTape(drawing)) };

/** The tape form knows no holes. */
const goesByTape = (drawing) => tapesHold(drawing) && drawing.features.every((f) => !f.holes.length);

export function toTape(drawing) {
  const tapes = goesByTape(drawing) ? asTaped(drawing) : null,
    names = new Map(tapes?.names),
    taken = new Set(names.values()),
    fresh = {};
  const nameOf = (p) => {
    const key = placeKey(p);
    if (!names.has(key)) {
      let n = Object.keys(fresh).length + 1;
      while (taken.has(`p${n}`)) n++;
      names.set(key, `p${n}`);
      taken.add(`p${n}`);
      fresh[`p${n}`] = (tapes ? p.map((c, i) => c - tapes.from[i]) : p).map(mm);
    }
    return names.get(key);
  };
  const feature = drawing.features.map((f) => ({ ...properties(f), points: f.points.map(nameOf) }));
  if (!tapes) return { site: { ...drawing.site }, points: fresh, feature };
  const place = drawing.origin && toLonLat(tapes.first, drawing.origin);
  const site = { ...drawing.site, ...tapes.site, ...(place ? { lon: place[0], lat: place[1] } : {}) };
  return { site, points: tapes.points, drawn: fresh, tape: tapes.tape, feature };
}

export function toGeojson(drawing) {
  const place = (p) => toLonLat(p, drawing.origin);
  const ring = (points) => [...points, points[0]].map(place);
  const geometry = (f) =>
    f.shape === "Point"
      ? { type: "Point", coordinates: place(f.points[0]) }
      : f.shape === "LineString"
        ? { type: "LineString", coordinates: f.points.map(place) }
        : { type: "Polygon", coordinates: [f.points, ...f.holes].map(ring) };
  const features = drawing.features.map((f) => ({ type: "Feature", properties: properties(f), geometry: geometry(f) }));
  return { type: "FeatureCollection", site: { ...drawing.site }, features };
}

const ONE_PLACE_DEG = 1;

/** Has every feature a role, and a geometry with numbers that goes with it, near the first? */
export function canDraw(content) {
  const { type, features, site } = content ?? {};
  if (type !== "FeatureCollection" || !Array.isArray(features) || !features.length || !isPlain(site) || !features.every(isDrawable)) return false;
  const places = features.flatMap(({ geometry }) => (geometry.type === "Polygon" ? geometry.coordinates.flat() : flat(geometry)));
  return places.every((p) => [0, 1].every((i) => Math.abs(p[i] - places[0][i]) < ONE_PLACE_DEG));
}

const isPlain = (thing) => typeof thing === "object" && thing !== null && !Array.isArray(thing);

function isDrawable(f) {
  const shape = f?.geometry?.type;
  if (!Object.hasOwn(ROLES, f?.properties?.role) || !ROLES[f.properties.role].shapes.includes(shape)) return false;
  const lists = shape === "Polygon" ? f.geometry.coordinates : [flat(f.geometry)];
  const isPlace = (p) => Array.isArray(p) && p.length > 1 && p.every(Number.isFinite);
  return Array.isArray(lists) && lists.length > 0 && lists.every((list) => Array.isArray(list) && list.length > 0 && list.every(isPlace));
}

/** A drawing from GeoJSON that `canDraw`. */
export function fromGeojson(content) {
  const lot = content.features.find((f) => f.properties.role === "lot") ?? content.features[0];
  const origin = originOf(flat(lot.geometry));
  const drawing = { ...emptyDrawing(), origin };
  drawing.site = { ...drawing.site, ...content.site };
  drawing.features = content.features.map((f) => feature(f, origin));
  return drawing;
}

const flat = ({ type, coordinates }) => (type === "Point" ? [coordinates] : type === "LineString" ? coordinates : coordinates[0]);

function feature({ geometry, properties: given }, origin) {
  const { role, name, ...props } = given;
  const place = (p) => toMetres(p, origin).map(mm);
  const lists = geometry.type === "Polygon" ? geometry.coordinates.map((r) => r.slice(0, -1).map(place)) : [flat(geometry).map(place)];
  return { id: newId(), role, name: name ?? "", shape: geometry.type, points: lists[0], holes: lists.slice(1), props };
}

/** A drawing from what the service read: features with their places in local metres. */
export function fromDrawn(drawn) {
  const drawing = { ...emptyDrawing(), origin: drawn.origin };
  const { name, height_limit_m, itu_region, currency, setback_m, soil, wind_m_per_s, country } = drawn;
  drawing.site = { name, height_limit_m, itu_region, currency, setback_m, soil, wind_m_per_s, ...(country ? { country } : {}) };
  drawing.features = drawn.features.map(({ role, name: called, rings_m, path_m, at_m, ...props }) => ({
    id: newId(),
    role,
    name: called === ROLES[role].one ? "" : called,
    shape: rings_m ? "Polygon" : path_m ? "LineString" : "Point",
    points: rings_m?.[0] ?? path_m ?? [at_m],
    holes: rings_m?.slice(1) ?? [],
    props: Object.fromEntries(Object.entries(props).filter(([, v]) => v !== null)),
  }));
  drawing.survey = surveyOf(drawn.tape, drawing);
  return drawing;
}

const entries = (values) => (values instanceof Map ? [...values] : Object.entries(values));

/** The tape form as TOML text, for the service, for keeping and for the command line. */
export function tapeText({ site, points = {}, drawn = {}, tape = [], feature: features }) {
  const key = (k) => (/^[\w-]+$/.test(k) ? k : JSON.stringify(k));
  const value = (v) =>
    typeof v === "string"
      ? JSON.stringify(v)
      : Array.isArray(v)
        ? `[${v.map(value).join(", ")}]`
        : typeof v === "object"
          ? `{ ${Object.entries(v).map(pair).join(", ")} }`
          : String(v);
  const pair = ([k, v]) => `${key(k)} = ${value(v)}`;
  const table = (head, values) =>
    [
      head,
      ...entries(values)
        .filter(([, v]) => v !== null && v !== undefined)
        .map(pair),
    ].join("\n");
  const places = Object.entries({ points, drawn }).filter(([, all]) => entries(all).length);
  const tables = [table("[site]", site), ...places.map(([name, all]) => table(`[${name}]`, all))];
  return [...tables, ...tape.map((t) => table("[[tape]]", t)), ...features.map((f) => table("[[feature]]", f))].join("\n\n") + "\n";
}
