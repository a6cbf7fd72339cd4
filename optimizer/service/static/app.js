// The page's door: addresses (after #) to pages, the steps at the top, light and dark, errors in one place.
//   #/  #/lot[/SITE]  #/lot/new/example  #/wish/SITE[/as/RUN]  #/run/RUN  #/run/RUN/design/RANK[/PART]  #/run/RUN/compare/1,3  #/planner[/SITE]

import { button, clear, h } from "./dom.js";
import { errorWords, signIn } from "./api.js";
import { remember, remembered } from "./store.js";

const ROUTES = [
  [/^\/?$/, "home.js", () => ({}), ""],
  [/^\/lot\/new\/(\w+)$/, "lot/page.js", ([from]) => ({ from }), "lot"],
  [/^\/lot(?:\/([\w-]+))?$/, "lot/page.js", ([id]) => ({ id }), "lot"],
  [/^\/wish\/([\w-]+)(?:\/as\/([\w-]+))?$/, "wish/page.js", ([site, run]) => ({ site, run }), "wish"],
  [/^\/run\/([\w-]+)$/, "run/page.js", ([run]) => ({ run }), "run"],
  [/^\/run\/([\w-]+)\/compare\/([\d,]+)$/, "design/compare.js", ([run, ranks]) => ({ run, ranks: ranks.split(",").map(Number) }), "run"],
  [/^\/run\/([\w-]+)\/design\/(\d+)\/trim$/, "design/trim.js", ([run, rank]) => ({ run, rank: Number(rank) }), "build"],
  [/^\/run\/([\w-]+)\/design\/(\d+)$/, "design/page.js", ([run, rank]) => ({ run, rank: Number(rank) }), "build"],
  [/^\/planner(?:\/([\w-]+))?$/, "planner.js", ([site]) => ({ site }), "planner"],
];
const STEPS = [
  ["lot", "Lot"],
  ["wish", "Wishes"],
  ["run", "Designs"],
  ["build", "Build"],
];

let leaving = new AbortController(),
  at = "";
const came = { lot: "#/lot" };

async function go(event) {
  if (at && event?.oldURL) came[at] = new URL(event.oldURL).hash || "#/";
  leaving.abort();
  leaving = new AbortController();
  const { signal } = leaving,
    path = location.hash.replace(/^#/, "");
  if (path === "main") return document.getElementById("main").focus();
  const route = ROUTES.find(([form]) => form.test(path)),
    main = document.getElementById("main");
  steps(route?.[3]);
  try {
    if (!route) throw new Error("There is no such page here.");
    const page = await import(`./${route[1]}`);
    if (signal.aborted) return;
    await page.show(main, route[2](route[0].exec(path).slice(1)), { signal });
    if (signal.aborted) return;
    arrive(main);
  } catch (error) {
    if (!signal.aborted && error.name !== "AbortError") trouble(main, error);
  }
}

let arrivals = 0;
function arrive(main) {
  const head = main.querySelector("h1");
  document.title = `${head?.textContent ?? "lotwire"} · lotwire`;
  window.scrollTo(0, 0);
  if (arrivals++) head?.focus({ preventScroll: true });
}

/** The path so far, each step a link to where it was last. */
function steps(now) {
  at = now;
  if (now) came[now] = location.hash;
  const index = STEPS.findIndex(([key]) => key === now);
  clear(
    document.getElementById("steps"),
    h(
      "ol",
      {},
      STEPS.map(([key, words], i) => {
        const body = came[key] ? h("a", { href: came[key], "aria-current": key === now ? "step" : null }, words) : h("span", {}, words);
        return h("li", { class: i === index ? "now" : "" }, body);
      }),
    ),
  );
}

function trouble(main, error) {
  const again = error.status === 401 ? askToken() : button("Try again", () => go());
  clear(
    main,
    h("h1", { tabindex: "-1" }, "That did not work"),
    errorWords(error).map((w) => h("p", { class: "fault" }, `! ${w}`)),
    again,
    h("p", {}, h("a", { href: "#/" }, "To the beginning")),
  );
  document.title = "lotwire";
  if (!error.status) console.error(error);
}

function askToken() {
  const entry = h("input", { type: "password", autocomplete: "off", "aria-label": "token" });
  const told = h("p", { class: "fault", "aria-live": "polite" });
  const use = async (e) => {
    e.preventDefault();
    await signIn(entry.value.trim()).then(
      () => go(),
      (error) => (told.textContent = `! ${error.message}`),
    );
  };
  return h(
    "form",
    { on: { submit: use }, class: "token" },
    h("p", {}, "This service asks for a token. Whoever runs it has given you one."),
    told,
    entry,
    " ",
    h("button", { type: "submit" }, "Use it"),
  );
}

// ---- light and dark ----

const LOOKS = [
  ["auto", "◐", "as the system"],
  ["light", "○", "light"],
  ["dark", "●", "dark"],
];
function look(next = remembered("look", "auto")) {
  const [key, sign, words] = LOOKS.find(([k]) => k === next) ?? LOOKS[0],
    knob = document.getElementById("look");
  document.documentElement.dataset.look = key;
  knob.textContent = sign;
  knob.setAttribute("aria-label", `look: ${words}; change`);
  knob.title = `look: ${words}`;
  remember("look", key);
  return key;
}
document.getElementById("look").addEventListener("click", () => {
  const i = LOOKS.findIndex(([k]) => k === document.documentElement.dataset.look);
  look(LOOKS[(i + 1) % LOOKS.length][0]);
});

look();
window.addEventListener("hashchange", go);
go();
