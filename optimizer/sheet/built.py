"""A design read back from its file: the wires, what holds them, what is in them and what feeds them.

The file of a design (`designs/RANK.json`) is all that is needed; where its family still builds the same wires from the
same values, the cords are the family's own, else they follow from the placement: each guy to its nearest mast, each
free wire end to its nearest hold. A trap of a henry in a wire case stands for a capacitor, a load of a megohm
of reactance for an open link.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

from ..errors import Fault, FaultList, InputError, LotwireError
from ..families.catalogue import FAMILIES
from ..families.design import Design, Feed, TrimStep
from ..parts.ready_made import BOUGHT
from ..physics.elements import Capacitor, Trap
from ..physics.wishes import WishList
from ..report.folder import kept_run
from ..site.model import Anchor, Mast, Site
from ..site.read import read_site
from ..wires.case_json import parse_case
from ..wires.model import JOIN_M, Load, Point3, Port, Wire, WireCase

GUY_SHARE_UP = 0.65  # of the mast's height, as families hang guys: common practice, no source
SAME_M = 0.01
BEND_DEG = 6.0  # a wire that turns by less only sags
END_M = 0.01  # a part so near a corner sits at it
NO_COIL_H = 0.5


@dataclass(frozen=True, kw_only=True)
class Built:
    """One design on its site. `loads`: in the wire on every band; `switched`: band → loads that are there on it alone."""

    content: dict  # the file itself
    row: dict  # its row in the ranked table, empty where there is none
    site: Site
    wishes: WishList
    cases: dict[str, WireCase]
    masts: tuple[Mast, ...]
    anchors: tuple[Anchor, ...]
    cords_m: tuple[tuple[Point3, Point3], ...]
    loads: tuple[Load, ...]
    switched: dict[str, tuple[Load, ...]]
    feed: Feed
    trims: tuple[TrimStep, ...]
    design: Design | None  # built again by its family, None where that gives other wires

    @property
    def title(self) -> str:
        return self.content["design"]

    @property
    def wires(self) -> tuple[Wire, ...]:
        return next(iter(self.cases.values())).wires

    @property
    def port(self) -> Port:
        return next(iter(self.cases.values())).ports[0]

    @property
    def feed_at(self) -> Point3:
        return self.wire(self.port.wire).point_at(self.port.at_m)

    @property
    def bought(self) -> bool:
        """Are coils and traps ready-made?"""
        return self.content["values"].get("make") == BOUGHT

    def wire(self, name: str) -> Wire:
        return next(w for w in self.wires if w.name == name)

    @property
    def all_loads(self) -> tuple[Load, ...]:
        """Every lumped thing once, by its place on the wires."""
        found = {(v.wire, round(v.at_m, 4)): v for loads in (self.loads, *self.switched.values()) for v in loads}
        return tuple(sorted(found.values(), key=lambda v: (v.wire, v.at_m)))

    def runs(self, wire: Wire) -> tuple[tuple[Point3, Point3, float], ...]:
        """From corner to corner of a wire and from part to part in it: both ends and the length along it; sag makes no corner."""
        points, at = wire.points_m, [0.0]
        for a, b in pairwise(points):
            at.append(at[-1] + math.dist(a, b))
        turns = [i for i in range(1, len(points) - 1) if _turn_deg(*points[i - 1 : i + 2]) > BEND_DEG]
        stops = {at[i]: points[i] for i in (0, *turns, len(points) - 1)}
        stops |= {v.at_m: wire.point_at(v.at_m) for v in self.all_loads if v.wire == wire.name and all(abs(v.at_m - s) > END_M for s in stops)}
        return tuple((stops[i], stops[j], j - i) for i, j in pairwise(sorted(stops)))

    def place_of(self, load: Load) -> Point3:
        return self.wire(load.wire).point_at(load.at_m)

    def free_ends(self) -> tuple[Point3, ...]:
        """Ends that meet no other wire."""
        ends = [p for w in self.wires for p in (w.points_m[0], w.points_m[-1])]
        own = [p for w in self.wires if w.role != "line" for p in (w.points_m[0], w.points_m[-1])]
        return tuple(p for p in own if sum(math.dist(p, q) < 10 * JOIN_M for q in ends) == 1)


def read_built(folder: Path, rank: int) -> Built:
    """The design of that rank in a results folder. InputError where the folder or the rank is not there."""
    site_path, wishes, _ = kept_run(folder)
    path = folder / "designs" / f"{rank}.json"
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        there = sorted(int(p.stem) for p in (folder / "designs").glob("*.json") if p.stem.isdigit())
        have = f"1 to {there[-1]}" if there == list(range(1, len(there) + 1)) and there else ", ".join(map(str, there)) or "none"
        raise InputError([Fault(str(folder), "RANK", rank, f"the rank of a design in the folder: {have}")]) from None
    except (OSError, ValueError) as bad:
        raise InputError([Fault(str(path), "file", str(path), "a design file written by rank", str(bad)[:100])]) from bad
    return built_from(content, read_site(site_path), wishes, row=_row(folder, rank), source=str(path))


def _row(folder: Path, rank: int) -> dict:
    """The design's row of ranked.json."""
    try:
        rows = json.loads((folder / "ranked.json").read_text(encoding="utf-8"))["rows"]
    except (OSError, ValueError, KeyError):
        return {}
    return next((r for r in rows if r.get("rank") == rank), {})


def built_from(content: dict, site: Site, wishes: WishList, *, row: dict | None = None, source: str = "design") -> Built:
    """A design file's object as records. InputError where members are missing."""
    faults = FaultList(source)
    for name in ("design", "family", "parts", "trimming", "values", "placement", "feed", "bands"):
        if name not in content:
            faults.add(name, None, "a member of a design file", hint="rank the site again")
    faults.raise_if_any()
    cases = {key: _named(parse_case(band["case"], source)) for key, band in content["bands"].items()}
    place = content["placement"]
    loads = [_by_place(case) for case in cases.values()]
    common = tuple(v for k, v in loads[0].items() if all(k in other for other in loads))
    design = _again(content, site, wishes, next(iter(cases.values())))
    masts = tuple(Mast(at_m=tuple(m["at_m"]), height_m=m["height_m"]) for m in place["masts"])
    anchors = tuple(Anchor(at_m=tuple(a["at_m"]), kind=a["kind"], height_m=a.get("height_m", 0.0)) for a in place["anchors"])
    found = Built(
        content=content, row=row or {}, site=site, wishes=wishes, cases=cases, masts=masts, anchors=anchors, cords_m=(),
        loads=common, switched={k: tuple(v for v in by_place.values() if v not in common) for k, by_place in zip(cases, loads)},
        feed=_feed(content), trims=tuple(_trim(t) for t in content["trimming"]), design=design,
    )  # fmt: skip
    return _with_cords(found)


def _by_place(case: WireCase) -> dict:
    """Loads of the wires by their place; a choke in the line's outside belongs to the feed."""
    line = {w.name for w in case.wires if w.role == "line"}
    return {(v.wire, round(v.at_m, 4), repr(v.element)): v for v in case.loads if v.wire not in line}


def _named(case: WireCase) -> WireCase:
    """The case with its stand-ins for capacitors named again."""
    def right(load: Load) -> Load:
        e = load.element
        stands_in = isinstance(e, Trap) and e.inductance_h > NO_COIL_H
        return replace(load, element=Capacitor(capacitance_f=e.capacitance_f)) if stands_in else load

    return replace(case, loads=tuple(right(v) for v in case.loads))


def _trim(step: dict) -> TrimStep:
    known = {k: step[k] for k in TrimStep.__dataclass_fields__ if k in step}
    return TrimStep(**{**known, "disturbs": tuple(known.get("disturbs", ()))})


def _feed(content: dict) -> Feed:
    """Everything between radio and wire; the tuner's key stands on the bill."""
    feed = {k: v for k, v in content["feed"].items() if k in Feed.__dataclass_fields__}
    bought = next((p["part"] for p in content["parts"] if p.get("part", "").startswith("tuner_")), "tuner_in_radio")
    return Feed(**{**feed, "tuner": bought if feed.get("tuner") else None})


def _again(content: dict, site: Site, wishes: WishList, case: WireCase) -> Design | None:
    """The design from its family, None where the family is gone or gives other wires today."""
    family = FAMILIES.get(content["family"])
    values = {k: tuple(v) if isinstance(v, list) else v for k, v in content["values"].items()}
    try:
        design = family.build(values, site, wishes) if family else None
    except (LotwireError, ArithmeticError, LookupError, TypeError, ValueError):
        return None
    return design if design and _same(design.structure.wires, case.wires) else None


def _same(wires, others) -> bool:
    points = [[p for w in some for p in w.points_m] for some in (wires, others)]
    return len(points[0]) == len(points[1]) and all(math.dist(p, q) < SAME_M for p, q in zip(*points))


def _with_cords(found: Built) -> Built:
    if found.design is not None:
        return replace(found, cords_m=found.design.structure.cords_m)
    guys = [(_guy_top(a, found.masts), (*a.at_m, 0.0)) for a in found.anchors if a.kind == "guy" and found.masts]
    holds = [(*a.at_m, a.height_m) for a in found.anchors if a.kind != "guy"]
    ends = [(p, min(holds, key=lambda h: math.dist(h, p))) for p in found.free_ends()] if holds else []
    return replace(found, cords_m=tuple(guys + [(p, h) for p, h in ends if math.dist(p, h) > SAME_M]))


def _turn_deg(a, b, c) -> float:
    u, v = [q - p for p, q in zip(a, b)], [q - p for p, q in zip(b, c)]
    cos = sum(p * q for p, q in zip(u, v)) / (math.hypot(*u) * math.hypot(*v))
    return math.degrees(math.acos(max(-1.0, min(1.0, cos))))


def _guy_top(anchor: Anchor, masts) -> Point3:
    mast = min(masts, key=lambda m: math.dist(m.at_m, anchor.at_m))
    return (*mast.at_m, GUY_SHARE_UP * mast.height_m)


def value_of(element) -> str:
    """Its value in words, of a trap its frequency; empty for a link."""
    inductance, capacitance = getattr(element, "inductance_h", None), getattr(element, "capacitance_f", None)
    if inductance and capacitance:
        return f"{1e-6 / (2 * math.pi * math.sqrt(inductance * capacitance)):.2f} MHz"
    return f"{inductance * 1e6:.1f} µH" if inductance else f"{capacitance * 1e12:.0f} pF" if capacitance else ""
