// What can stand on a lot: the words people use, the shape it is drawn as, and what must be known of it.
// `asks`: key as in the site file, label, unit, default (undefined: must be given), kind (number when absent).

export const ROLES = {
  lot: {
    word: "Edge of the lot",
    one: "lot",
    shapes: ["Polygon"],
    how: "Tap the corners in order, then the first one again; or drag a rectangle.",
    help: "Everything must stay inside it.",
    asks: [],
  },
  building: {
    word: "House or shed",
    one: "building",
    shapes: ["Polygon"],
    how: "Tap the corners, then the first one again; or drag a rectangle.",
    help: "A wire stays off it, except near a hook in use on it.",
    asks: [
      { key: "height_m", label: "Height to the ridge", unit: "m", start: 7 },
      { key: "clearance_m", label: "Wires stay off it by", unit: "m", fallback: 1 },
      { key: "occupied", label: "People are inside", kind: "yes", fallback: true },
    ],
  },
  tree: {
    word: "Tree",
    one: "tree",
    shapes: ["Point"],
    how: "Tap where the trunk stands.",
    help: "Its crown is kept clear; it may hold a wire.",
    asks: [
      { key: "height_m", label: "Height", unit: "m", start: 8 },
      { key: "crown_radius_m", label: "Crown, trunk to edge", unit: "m", start: 2 },
      { key: "holds_wire_at_m", label: "Could hold a wire at (empty: no)", unit: "m", fallback: null },
    ],
  },
  support: {
    word: "Something that holds a wire",
    short: "Hook or post",
    one: "support",
    shapes: ["Point"],
    how: "Tap where the hook or post is.",
    help: "A hook under the eaves, a post, a pole, a fence.",
    asks: [
      { key: "height_m", label: "Height of the hook", unit: "m", start: 4 },
      {
        key: "kind",
        label: "It is a",
        kind: "word",
        options: [
          ["post", "post"],
          ["gable", "hook on the house"],
          ["pole", "pole"],
          ["fence", "fence post"],
        ],
        start: "post",
      },
    ],
  },
  radio: {
    word: "Radio",
    one: "radio",
    shapes: ["Point"],
    how: "Tap the window or wall where the line leaves the house.",
    help: "Where the line leaves the house.",
    asks: [{ key: "height_m", label: "Height of that spot", unit: "m", start: 2 }],
  },
  mast_spot: {
    word: "Place for a mast",
    one: "mast spot",
    shapes: ["Point", "Polygon"],
    how: "Drag a rectangle, tap the corners of an area, or tap one spot and press Done.",
    help: "Without any, a mast may stand anywhere free on the lot.",
    asks: [],
  },
  people: {
    word: "Where people stay",
    one: "people",
    shapes: ["Polygon"],
    how: "Tap the corners, or drag a rectangle: a seat, a path, the neighbours' side.",
    help: "The field there is held under the public's limit.",
    asks: [{ key: "height_m", label: "Heads are at", unit: "m", fallback: 2 }],
  },
  keep_out: {
    word: "Keep out",
    one: "keep-out",
    shapes: ["Polygon"],
    how: "Tap the corners of what must stay free, or drag a rectangle.",
    help: "No wire, mast, guy or stake here.",
    asks: [
      { key: "from_m", label: "From height (empty: the ground)", unit: "m", fallback: null },
      { key: "to_m", label: "Up to height (empty: the sky)", unit: "m", fallback: null },
    ],
  },
  overhead_line: {
    word: "Overhead line",
    one: "overhead line",
    shapes: ["LineString"],
    how: "Tap along the line, also outside the lot; then Done.",
    help: "Power lines kill: nothing that can fall or swing may reach one. Draw every one you can see.",
    asks: [
      { key: "height_m", label: "Height", unit: "m", start: 6 },
      {
        key: "kind",
        label: "It carries",
        kind: "word",
        options: [
          ["power", "electricity"],
          ["telecom", "telephone or data"],
        ],
        fallback: "power",
      },
      { key: "clearance_m", label: "Stay away at least", unit: "m", fallback: 3 },
    ],
  },
};

export const TOOLS = ["lot", "building", "tree", "support", "radio", "mast_spot", "people", "keep_out", "overhead_line"];

export const titleOf = (feature) => feature.name || ROLES[feature.role].one;

/** Properties a new feature starts with. */
export const startProps = (role) => Object.fromEntries(ROLES[role].asks.filter((a) => a.start !== undefined).map((a) => [a.key, a.start]));
