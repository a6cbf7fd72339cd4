// Longitude and latitude (WGS 84) to local metres and back, for lots up to 2 km.
// A plane tangent to the ellipsoid at the origin: within 2 km it differs from equal distances by d^3 / (6 R^2), under 0.1 mm.

const A = 6378137,
  F = 1 / 298.257223563,
  E2 = F * (2 - F);
const RAD = Math.PI / 180;

function toSpace(lon, lat) {
  const sin = Math.sin(lat * RAD),
    cos = Math.cos(lat * RAD),
    n = A / Math.sqrt(1 - E2 * sin * sin);
  return [n * cos * Math.cos(lon * RAD), n * cos * Math.sin(lon * RAD), n * (1 - E2) * sin];
}

function axes({ lon, lat }) {
  const sl = Math.sin(lon * RAD),
    cl = Math.cos(lon * RAD),
    sp = Math.sin(lat * RAD),
    cp = Math.cos(lat * RAD);
  return { east: [-sl, cl, 0], north: [-sp * cl, -sp * sl, cp], up: [cp * cl, cp * sl, sp] };
}

const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

/** Middle of the bounding box, to a millionth of a degree. */
export function originOf(positions) {
  const mid = (i) => {
    const all = positions.map((p) => p[i]);
    return Math.round(((Math.min(...all) + Math.max(...all)) / 2) * 1e6) / 1e6;
  };
  return { lon: mid(0), lat: mid(1) };
}

export function toMetres([lon, lat], origin) {
  const from = toSpace(origin.lon, origin.lat),
    to = toSpace(lon, lat),
    { east, north } = axes(origin);
  const d = to.map((c, i) => c - from[i]);
  return [dot(d, east), dot(d, north)];
}

export function toLonLat([x, y], origin) {
  const from = toSpace(origin.lon, origin.lat),
    { east, north, up } = axes(origin),
    z = -(x * x + y * y) / (2 * A);
  const [px, py, pz] = from.map((c, i) => c + x * east[i] + y * north[i] + z * up[i]);
  const flat = Math.hypot(px, py);
  let lat = Math.atan2(pz, flat * (1 - E2));
  for (let i = 0; i < 5; i++) {
    const n = A / Math.sqrt(1 - E2 * Math.sin(lat) ** 2);
    lat = Math.atan2(pz + E2 * n * Math.sin(lat), flat);
  }
  return [Math.atan2(py, px) / RAD, lat / RAD].map((d) => Number(d.toFixed(9)));
}
