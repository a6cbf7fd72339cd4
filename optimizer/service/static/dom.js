// Elements from plain calls. `h` makes HTML, `s` makes SVG; text is always set as text, never parsed.
// Properties: `class`, `on` ({event: function}), `data` ({name: value}), `value`/`checked`/… as properties, the rest as attributes.
// No style attributes anywhere: the page's content policy refuses them.

const SVG = "http://www.w3.org/2000/svg";
const AS_PROPERTY = new Set(["value", "checked", "selected", "disabled", "open", "indeterminate", "htmlFor", "hidden"]);

export const h = (tag, props, ...children) => build(document.createElement(tag), props, children);
export const s = (tag, props, ...children) => build(document.createElementNS(SVG, tag), props, children);

function build(element, props, children) {
  for (const [name, value] of Object.entries(props ?? {})) setOne(element, name, value);
  element.append(...shown(children));
  return element;
}

/** Children as they come: nested lists, and nothing for what is not there. */
const shown = (children) => children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false);

function setOne(element, name, value) {
  if (value === undefined || value === null || value === false) {
    if (AS_PROPERTY.has(name) && value === false) element[name] = false;
    return;
  }
  if (name === "on") for (const [event, run] of Object.entries(value)) element.addEventListener(event, run);
  else if (name === "data") for (const [key, v] of Object.entries(value)) element.dataset[key] = v;
  else if (AS_PROPERTY.has(name)) element[name] = value;
  else element.setAttribute(name, value === true ? "" : value);
}

export const clear = (element, ...children) => {
  element.replaceChildren(...shown(children));
  return element;
};

/** New content in a box; what was open stays open, and the focus stays where it was. */
export function refill(box, content) {
  const had = box.contains(document.activeElement) ? pathTo(box, document.activeElement) : null;
  const open = [...box.querySelectorAll("details")].map((d) => d.open);
  clear(box, content);
  [...box.querySelectorAll("details")].forEach((d, i) => open[i] && (d.open = true));
  had?.reduce((at, i) => at?.children[i], box)?.focus?.({ preventScroll: true });
}

function pathTo(box, element) {
  const path = [];
  for (let at = element; at !== box; at = at.parentElement) path.unshift([...at.parentElement.children].indexOf(at));
  return path;
}

/** A unique id for labels. */
let count = 0;
export const uid = (stem = "x") => `${stem}-${++count}`;

/** A labelled control: label, the control itself, and a hint that a screen reader reads with it. */
export function field(label, control, hint = "", unit = "") {
  control.id ||= uid("f");
  const words = hint ? h("small", { id: `${control.id}-hint`, class: "hint" }, hint) : null;
  if (words) control.setAttribute("aria-describedby", words.id);
  const box = unit ? h("span", { class: "unit" }, control, h("span", { "aria-hidden": "true" }, unit)) : control;
  if (unit) control.setAttribute("aria-label", `${label}, in ${unit}`);
  return h("div", { class: "field" }, h("label", { for: control.id }, label), box, words);
}

export const number = (value, on, more = {}) =>
  h("input", { type: "number", inputmode: "decimal", step: "any", value: value ?? "", on: { change: (e) => on(read(e.target)) }, ...more });

const read = (input) => (input.value.trim() === "" ? null : Number(input.value.replace(",", ".")));

export const choice = (options, value, on, more = {}) =>
  h(
    "select",
    { on: { change: (e) => on(e.target.value) }, ...more },
    options.map(([v, words]) => h("option", { value: v, selected: v === value }, words)),
  );

export const button = (words, run, more = {}) => h("button", { type: "button", on: { click: run }, ...more }, words);

export const link = (href, words, more = {}) => h("a", { href, ...more }, words);

/** Folded away until wanted. */
export const fold = (summary, ...inside) => h("details", {}, h("summary", {}, summary), ...inside);

/** Runs the newest call after a pause. */
export function later(run, ms = 300) {
  let timer = 0;
  return (...args) => {
    clearTimeout(timer);
    timer = setTimeout(() => run(...args), ms);
  };
}

/** Says something to screen readers without moving the focus. */
export function say(text) {
  const place = document.getElementById("say");
  place.textContent = "";
  requestAnimationFrame(() => (place.textContent = text));
}

/** A file made here and handed to the browser. */
export function handOut(name, text, type = "application/json") {
  const url = URL.createObjectURL(text instanceof Blob ? text : new Blob([text], { type }));
  h("a", { href: url, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}
