"""What stays indoors: why this design, parts, windings, supports, cautions in full, and what to expect of it."""

from __future__ import annotations

import math

from ..families.pieces import kind_of
from ..parts.catalogue import catalogue
from ..parts.cautions import CAUTIONS
from ..parts.tools import tools_for
from .alternatives import alternatives
from .built import Built
from .expect import expect_sections
from .model import Beside, Caution, Figure, Heading, Items, Section, Steps, Table, Text
from .plain_words import plain_wire, words_used
from .readings import Expected
from .solved import SolvedBand
from .survey import survey_section
from .units import Units
from .windings import windings_of
from .work import steps_of

NO_BREAK = "\u00a0"  # a space that does not end a line
FIGURES = (
    ("covered_share", "part of the segment your radio accepts", lambda v: f"{100 * v:.0f} %"),
    ("swr_best", "lowest SWR", lambda v: f"{v:.1f}"), ("swr_worst", "highest SWR", lambda v: f"{v:.1f}"),
    ("efficiency", "power that reaches the sky", lambda v: f"{100 * v:.0f} %"),
    ("gain_near_dbi", "near contacts (60 to 90° up), dBi", lambda v: f"{v:+.1f}"),
    ("gain_far_dbi", "far contacts (5 to 20° up), dBi", lambda v: f"{v:+.1f}"),
)  # fmt: skip


def annex_sections(built: Built, bands: tuple[SolvedBand, ...], readings: tuple[Expected, ...], units: Units) -> tuple[Section, ...]:
    found = (
        Section(key="what", title="What it is, and why", blocks=tuple(_what(built, units))),
        Section(key="parts", title="Parts and tools", blocks=tuple(_parts(built))),
        Section(key="windings", title="Winding sheets", blocks=tuple(_windings(built, units))),
        Section(key="supports", title="Supports, guys and cords", blocks=tuple(_supports(built, units))),
        Section(key="steps", title="Order of work, cautions in full", blocks=(Steps(steps_of(built, units, short=False)),)),
        *expect_sections(built, bands, readings, units),
        Section(key="people", title="People nearby", blocks=tuple(_people(built, units))),
        survey_section(built, units),
        Section(key="words", title="Words used", blocks=(words_used(built),)),
    )
    return tuple(s for s in found if s.blocks)


def _what(built: Built, units: Units):
    content = built.content
    score = content.get("score")
    yield Text(f"{built.title}. It takes: {units.words(content.get('needs', ''))}. Cost {content['cost']:.2f} {content['currency']}"
               + (f", score {score:.1f} of 100." if score is not None else "."))  # fmt: skip
    if built.row.get("why"):
        yield Text(f"Why it stands at rank {content['rank']}: {built.row['why']}.")
    if content.get("weak_point"):
        yield Text(f"Its weak point: {content['weak_point']}")
    yield _figures_table(built)
    yield Text("dBi: strength against an aerial that sends the same everywhere; 3 dB more is twice the power, 6 dB about one step of a signal meter.")


def _figures_table(built: Built) -> Table:
    keys = [w.key for w in built.wishes.bands if w.key in built.cases]
    rows = [(title, *(_with_spread(built.row, f"{key}_{name}", show) for key in keys)) for name, title, show in FIGURES]
    return Table("Expected, per band", ("", *keys), tuple(r for r in rows if any(r[1:])), numbers=tuple(range(1, len(keys) + 1)))


def _with_spread(row: dict, name: str, show) -> str:
    """A figure, with its spread over gardens where that was computed."""
    if not isinstance(row.get(name), (int, float)):
        return ""
    low, high = row.get(f"{name}_low"), row.get(f"{name}_high")
    spread = f" ({show(low)} to {show(high)})" if isinstance(low, (int, float)) and isinstance(high, (int, float)) else ""
    return (show(row[name]) + spread).replace(" %", NO_BREAK + "%")


def _parts(built: Built):
    content = built.content
    rows = tuple(
        (p["item"], f"{p['quantity']:g} {p['unit']}", f"{p['unit_price']:.2f}", f"{p['price']:.2f}", p.get("use", "") + (" (in stock)" if p.get("on_hand") else ""))
        for p in content["parts"]
    )
    currency = content["currency"]
    total = ("together", "", "", f"{sum(p['price'] for p in content['parts']):.2f}", currency)
    yield Table(f"To buy ({currency})", ("part", "how much", "each", "price", "for"), rows, numbers=(1, 2, 3), total=total)
    other = alternatives([p.get("part", "") for p in content["parts"]], built.feed, currency)
    if other:
        yield Table("Instead", ("instead of", "may be", currency, "what changes"), other)
    yield Heading("Tools, not in the price")
    yield Items(tuple(_tools(built)), boxes=True)


def _tools(built: Built):
    keys = [p["part"] for p in built.content["parts"] if p.get("part") in catalogue()]
    named = [t["item"] for t in built.content.get("tools", ())]
    yield from dict.fromkeys((*named, *(catalogue()[key].item for key in tools_for(keys))))


def _windings(built: Built, units: Units):
    for name, lines, drawing in windings_of(built, units):
        yield Heading(name)
        yield Beside(Figure(drawing), Items(lines)) if drawing else Items(lines)
    for load in built.all_loads:
        where = f"{units.length(load.at_m)} along {plain_wire(load.wire)}"
        if kind_of(load.element) == "capacitor":
            yield Text(f"Capacitor {load.element.capacitance_f * 1e12:.0f} pF, in the wire, {where}: across a strain relief, sealed against water.")
        if kind_of(load.element) == "link":
            bands = ", ".join(k for k, loads in built.switched.items() if any(v.wire == load.wire and abs(v.at_m - load.at_m) < 1e-3 for v in loads))
            yield Text(f"Link {where}: insulator with a plug or clamp across it; open on {bands}, else closed.")


def _supports(built: Built, units: Units):
    rows = []
    for i, mast in enumerate(built.masts, 1):
        guys = [(a, b) for a, b in built.cords_m if math.dist(a[:2], mast.at_m) < 0.05 and b[2] == 0.0 and a[2] < mast.height_m - 0.05]
        what = f"{len(guys)} guys from {units.height(guys[0][0][2])} up" if guys else "no guys"
        rows.append((f"mast M{i}", units.length(mast.height_m), what))
        rows += [("guy", units.length(math.dist(a, b)), f"foot {units.length(math.dist(a[:2], b[:2]))} from the mast") for a, b in guys]
    ends = [(a, b) for a, b in built.cords_m if (a, b) not in _guys(built)]
    rows += [("end cord", units.length(math.dist(a, b)), f"from the insulator at {units.height(a[2])} to {units.height(b[2])} up") for a, b in ends]
    if rows:
        yield Table("Lengths between knots; add half a metre a knot" if not units.imperial else "Lengths between knots; add 20 inches a knot", ("what", "length", "how"), tuple(rows), numbers=(1,))
    margins = built.content.get("margins", {})
    named = {"lot_m": "to the edge of your lot (after setback)", "building_m": "to buildings, beyond their clearance", "tree_m": "to trees, beyond the crowns",
             "overhead_power_m": "to the power line's reach, if anything falls", "height_limit_m": "under the height limit"}  # fmt: skip
    room = tuple((text, units.length(margins[key])) for key, text in named.items() if key in margins and margins[key] < 500)
    if room:
        yield Table("Least room left", ("", "room"), room, numbers=(1,))
    yield Text(_wind(built))


def _wind(built: Built) -> str:
    weather = built.content.get("safety", {}).get("weather", {})
    before = "Lower the mast or let the ends go" if built.masts else "Let the ends go"
    stood = weather.get("wind_stood_m_per_s")
    if isinstance(stood, (int, float)):
        first = weather.get("gives_way_first", "").replace("_", " ")
        return f"It stands wind up to {stood:g} m/s ({3.6 * stood:.0f} km/h){f'; what gives way first: {first}' if first else ''}. {before} before more than that."
    return f"Loads are figured for wind up to {built.site.wind_m_per_s:g} m/s. {before} before more than that."


def _guys(built: Built):
    return [(a, b) for a, b in built.cords_m if any(g.kind == "guy" and math.dist(g.at_m, b[:2]) < 0.01 for g in built.anchors)]


def _people(built: Built, units: Units):
    wishes = built.wishes
    yield Caution(CAUTIONS["exposure"])
    yield Caution(units.words(CAUTIONS["out_of_reach"]))
    average = wishes.power_w * wishes.mode_duty * wishes.transmit_share
    yield Text(f"Station: {wishes.power_w:g} W peak, {100 * wishes.mode_duty:.0f} % mode duty, sending {100 * wishes.transmit_share:.0f} % of the time: {average:.0f} W on average.")
    yield from _exposure(built, units)
    yield from _touch(built, units)
    yield from _at_power(built)


def _exposure(built: Built, units: Units):
    """The worst place, and how far to keep people off, where the file tells."""
    exposure = built.content.get("safety", {}).get("exposure") or {}
    worst, margin = exposure.get("worst") or {}, built.content.get("margins", {}).get("exposure")
    if worst.get("place") and isinstance(exposure.get("power_w"), (int, float)):
        yield Text(f"Nearest to the level ({exposure.get('rule', 'public reference level')}): {worst['place']}, on {worst.get('band', '')}. "
                   f"The level would just be met there at {exposure['power_w']:.0f} W with the same habits.")  # fmt: skip
    elif isinstance(margin, (int, float)):
        yield Text(f"Where people stay, the worst place takes {100 * (1 - margin):.0f} % of the power that would just meet the public reference level.")
    keep = (exposure.get("zone") or {}).get("keep_m")
    if isinstance(keep, (int, float)):
        yield Text(f"Keep {units.height(keep)} from the wire in plan while transmitting; hatched on the plan." if keep > 0 else
                   "No zone on the ground has to be kept clear at this power; nobody climbs to the wire while transmitting.")  # fmt: skip


def _at_power(built: Built):
    """What the station's power does to all that is wound."""
    parts = built.content.get("safety", {}).get("parts") or ()
    rows = tuple(
        (plain_wire(p["part"]), p["band"], _amps(p["current_a"]), f"{p['voltage_v']:.0f} V", f"{p['dissipation_w']:.1f} W", f"{p['warming_k']:.0f} K", "" if p["stands"] else "TOO MUCH")
        for p in parts
    )
    if rows:
        yield Table(f"At {built.wishes.power_w:g} W, heat at the average", ("part", "band", "current", "voltage", "loss", "warmer by", ""), rows, numbers=(2, 3, 4, 5))


def _amps(current_a: float) -> str:
    """Two figures where it is little."""
    return f"{current_a:.2f} A" if current_a >= 0.1 else f"{1e3 * current_a:.2g} mA"


def _touch(built: Built, units: Units):
    """Voltages that stand on the wire, highest first."""
    points = built.content.get("safety", {}).get("touch") or ()
    rows = tuple(
        (plain_wire(p["what"]), f"{p['volts']:.0f} V", p.get("band", ""), units.height(p["at_m"][2]), "WITHIN REACH" if p.get("within_reach") else "out of reach")
        for p in sorted(points, key=lambda p: -p["volts"])
    )
    if rows:
        yield Table(f"Voltage while transmitting {built.wishes.power_w:g} W: do not touch", ("where", "voltage", "band", "up", ""), rows, numbers=(1, 3))
