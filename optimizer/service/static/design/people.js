// People and safety: the field where they stay, ground to keep clear, volts within reach, wind.

import { h, s } from "../dom.js";
import { bandWords, fixed, share } from "../words.js";
import { thumb } from "../run/thumb.js";

export function peopleSection(design, site) {
  const { exposure, touch = [], weather } = design.safety ?? {},
    zone = exposure?.zone;
  const near = touch.filter((t) => t.within_reach);
  const limits = (design.power_limits ?? []).map((l) =>
    h("li", {}, `${l.name.replaceAll("_", " ")}: at most ${fixed(l.most_w, 0)} W (${l.what}${l.band ? `, ${bandWords(l.band)}` : ""})`),
  );
  return h(
    "section",
    { class: "card", "aria-labelledby": "s-people" },
    h("h2", { id: "s-people" }, "People and weather"),
    exposure
      ? h(
          "p",
          {},
          h("strong", {}, `${share(exposure.share)} of the public's level`),
          ` at the worst place where people stay: ${exposure.worst?.place ?? "?"}${exposure.worst?.band ? `, on ${bandWords(exposure.worst.band)}` : ""}; ${fixed(exposure.average_power_w, 0)} W on average. ${exposure.rule}.`,
        )
      : null,
    zone
      ? h(
          "p",
          {},
          zone.keep_m > 0
            ? `▲ Nobody within ${fixed(zone.keep_m)} m of the low wires while you send: the hatched ground below.`
            : "✓ No ground needs to be kept clear while you send.",
        )
      : null,
    site
      ? thumb(site.drawing, wiresOf(design), "Plan with the ground to keep clear and the place of the strongest field", {
          width: 360,
          height: 260,
          extra: [zonePart(zone), worstPart(exposure)],
        })
      : null,
    h(
      "p",
      {},
      near.length
        ? `▲ Within reach and dangerous while sending: ${near.map((t) => `${t.what} (${fixed(t.volts, 0)} V)`).join(", ")}.`
        : `✓ No wire end or coil within reach. Highest: ${fixed(Math.max(0, ...touch.map((t) => t.volts)), 0)} V at your power.`,
    ),
    weather
      ? h(
          "p",
          {},
          `Stands ${fixed(weather.wind_stood_m_per_s, 0)} m/s of wind${weather.lower_before_design_wind ? `; lower or slacken it before more (your storm wind is ${fixed(weather.design_wind_m_per_s, 0)} m/s)` : ""}.`,
        )
      : null,
    limits.length ? h("details", {}, h("summary", {}, "What limits the power"), h("ul", {}, limits)) : null,
    h(
      "details",
      {},
      h("summary", {}, "Cautions, step by step"),
      Object.entries(design.cautions_by_step ?? {}).map(([step, list]) => [
        h("h3", {}, step.replaceAll("_", " ")),
        h(
          "ul",
          {},
          list.map((c) => h("li", {}, c)),
        ),
      ]),
    ),
  );
}

export const wiresOf = (design) =>
  Object.values(design.bands)[0]?.case.wires.map((w) => ({ role: w.role ?? "radiator", points_m: w.points_m })) ?? [];

const zonePart = (zone) => (at) =>
  (zone?.outline_m ?? []).map((ring) =>
    s("path", {
      class: "keep-clear",
      d:
        "M" +
        ring
          .map((p) =>
            at(p)
              .map((c) => c.toFixed(1))
              .join(" "),
          )
          .join("L") +
        "Z",
    }),
  );

function worstPart(exposure) {
  return (at) => {
    if (!exposure?.worst?.at_m) return null;
    const [x, y] = at(exposure.worst.at_m);
    return s(
      "g",
      { transform: `translate(${x.toFixed(1)} ${y.toFixed(1)})`, class: "worst" },
      s("path", { d: "M0-8L7 5H-7Z" }),
      s("title", {}, "strongest field where people stay"),
    );
  };
}
