"""What can be wrong, as changes to a design or to what hangs about it, to be simulated like everything else.

A kind has variants (where, how much). Sizes are common practice, no source: a coil two or three turns off, an inductance a quarter
or so off, a capacitor a fifth; a joint that conducts nothing (a megohm of reactance); a return path of 0.3 m where the
counterpoise is not connected (terminal and shield); a metal thing of 3 m, or wet wood, in contact with the wire.
Which piece a cut really went to is not solved: it is the same design at other lengths, see `evidence`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise

from ..ensemble.builder import ended
from ..ensemble.garden import Garden
from ..families.design import Design
from ..parts.catalogue import transformer_for
from ..physics.elements import Coil, FixedImpedance, Trap
from ..wires.model import SURROUNDINGS, Load, Wire

KINDS = {
    "open joint": (
        "an open joint or link",
        "pull at every joint and link; line unplugged, measure from end to end with an ohm meter",
    ),
    "wrong turns": (
        "a coil or transformer with a turn too many or too few",
        "count the turns against the winding sheet; read the transformer alone with its test resistor",
    ),
    "coil value": (
        "a coil, trap or capacitor of the wrong value",
        "measure it alone, off the wire; compare former and length of winding with the winding sheet",
    ),
    "missing counterpoise": (
        "the counterpoise or radials are not connected",
        "follow them to their terminal; touch the line: if the reading jumps, the line is the return path",
    ),
    "wire touching": (
        "the wire touches a branch, gutter or mast",
        "look along it, pull it free with a cord, read again: the reading jumps",
    ),
    "wrong end trimmed": (
        "the wrong piece or only one of two legs was shortened",
        "measure every piece against the cut list and this log",
    ),
}
OPEN = FixedImpedance(ohm=-1e6j)
NEAR_JOINT_M = 0.05
STUB_M = 0.3
TURN_SHARES = (0.85, 0.93, 1.08, 1.17)  # of the inductance
VALUE_SHARES = (0.7, 0.8, 1.25, 1.4)
CAPACITOR_SHARES = (0.8, 1.25)
TOUCHED_AT = (0.45, 0.75, 0.97)  # of the longest wire
BRANCH_M = 3.0
LOWEST_M = 0.15
OTHER_RATIO = {49: 64, 64: 49, 4: 6, 6: 4, 9: 4}
FAR_FROM_JOINTS_M = 0.2


@dataclass(frozen=True, kw_only=True)
class Variant:
    """`design`, `garden`: what the fault makes of them."""

    kind: str
    what: str
    design: Callable[[Design], Design] = lambda design: design
    garden: Callable[[Garden], Garden] = lambda garden: garden


def variants_of(design: Design) -> tuple[Variant, ...]:
    """Every simulated fault that this design can have."""
    return (*_open_joints(design), *_turns(design), *_values(design), *_returns(design), *_touches(design))


# ---- joints -----------------------------------------------------------------------------------------------------


def opened(wire: str, at_m: float) -> Callable[[Design], Design]:
    """Nothing flows at that place."""
    return lambda design: replace(design, loads=(*_without(design.loads, wire, at_m), Load(wire=wire, at_m=at_m, element=OPEN)))


def _without(loads, wire, at_m):
    return tuple(v for v in loads if v.wire != wire or abs(v.at_m - at_m) > NEAR_JOINT_M)


def _open_joints(design: Design):
    """At the feed's terminals, at every coil, trap and closed link, and where wires meet."""
    made: list[Variant] = []

    def add(what, design_of):
        made.append(Variant(kind="open joint", what=what, design=design_of))

    port = design.port
    add("at the feed", lambda d: opened(d.port.wire, d.port.at_m + NEAR_JOINT_M)(d))
    for n, load in enumerate(design.loads):
        word = "trap" if isinstance(load.element, Trap) else "coil"
        add(f"at {word} {n + 1}", lambda d, n=n: replace(d, loads=tuple(replace(v, element=OPEN) if i == n else v for i, v in enumerate(d.loads))))
    links = {(v.wire, round(v.at_m, 3)) for _, loads in design.by_band for v in loads}
    for n in range(len(links)):
        add(f"at link {n + 1}", lambda d, n=n: opened(*_links(d)[n])(d))
    for wire in design.structure.wires:
        if wire.role == "radiator" and wire.name != port.wire and wire.length_m > 1.0:
            add(f"at the inner end of {wire.name}", lambda d, name=wire.name: opened(name, NEAR_JOINT_M)(d))
    return made


def _links(design: Design):
    return sorted({(v.wire, round(v.at_m, 3)) for _, loads in design.by_band for v in loads})


# ---- coils and transformers -------------------------------------------------------------------------------------


def scaled(inductance: float = 1.0, capacitance: float = 1.0, only: int | None = None) -> Callable[[Design], Design]:
    """Coils and traps off by these factors; `only` one of them."""

    def one(load):
        e = load.element
        if isinstance(e, (Coil, Trap)):
            e = replace(e, inductance_h=e.inductance_h * inductance)
        if hasattr(e, "capacitance_f"):
            e = replace(e, capacitance_f=e.capacitance_f * capacitance)
        return replace(load, element=e)

    return lambda d: replace(d, loads=tuple(one(v) if only in (None, n) else v for n, v in enumerate(d.loads)))


def other_transformer(design: Design) -> Design:
    """The next ratio there is."""
    feed = design.feed
    ratio = OTHER_RATIO[round(feed.impedance_ratio)]
    return replace(design, feed=replace(feed, transformer=transformer_for(ratio), impedance_ratio=float(ratio)))


def _wound(design: Design) -> bool:
    return any(isinstance(v.element, (Coil, Trap)) for v in design.loads)


def _turns(design: Design):
    made = [Variant(kind="wrong turns", what="transformer", design=other_transformer)] if has_other_transformer(design) else []
    shares = TURN_SHARES if _wound(design) else ()
    return [*made, *(Variant(kind="wrong turns", what=f"coil {s:.2f}", design=scaled(s)) for s in shares)]


def has_other_transformer(design: Design) -> bool:
    return bool(design.feed.transformer) and round(design.feed.impedance_ratio or 0) in OTHER_RATIO


def _values(design: Design):
    if not _wound(design):
        return []
    made = [Variant(kind="coil value", what=f"inductance {s:.2f}", design=scaled(s)) for s in VALUE_SHARES]
    if len(design.loads) > 1:
        made += [Variant(kind="coil value", what=f"one inductance {s:.2f}", design=scaled(s, only=0)) for s in (0.75, 1.33)]
    if any(hasattr(v.element, "capacitance_f") for v in design.loads):
        made += [Variant(kind="coil value", what=f"capacitance {s:.2f}", design=scaled(1.0, s)) for s in CAPACITOR_SHARES]
    return made


# ---- return path ------------------------------------------------------------------------------------------------


def without_return(share: float) -> Callable[[Design], Design]:
    """That share of the counterpoises is a stub at its terminal, the last ones first."""

    def cut(design):
        names = [w.name for w in design.structure.wires if w.role == "counterpoise"]
        lost = set(names[len(names) - math.ceil(share * len(names)) :])
        wires = tuple(_stub(w, design) if w.name in lost else w for w in design.structure.wires)
        return replace(design, structure=replace(design.structure, wires=wires))

    return cut


def _stub(wire: Wire, design: Design) -> Wire:
    """What is left at the end nearer to the feed."""
    feed = next(w for w in design.structure.wires if w.name == design.port.wire).point_at(design.port.at_m)
    if math.dist(wire.points_m[-1], feed) < math.dist(wire.points_m[0], feed):
        turned = ended(replace(wire, points_m=wire.points_m[::-1]), STUB_M)
        return replace(turned, points_m=turned.points_m[::-1])
    return ended(wire, STUB_M)


def _returns(design: Design):
    count = sum(w.role == "counterpoise" for w in design.structure.wires)
    shares = (1.0, 0.5) if count > 1 else (1.0,) if count else ()
    return [Variant(kind="missing counterpoise", what="all" if s == 1.0 else "half", design=without_return(s)) for s in shares]


# ---- contact ----------------------------------------------------------------------------------------------------


def touched(share: float, size_m: float = BRANCH_M, conductivity: float = 1e6, radius_m: float = 0.01) -> Callable[[Garden], Garden]:
    """A thing that hangs down from the longest wire, at that share of its length, in contact with it."""

    def with_contact(garden):
        return replace(garden, hung=lambda planned: _with_branch(garden.hung(planned), share, size_m, conductivity, radius_m))

    return with_contact


def _with_branch(wires, share, size_m, conductivity, radius_m):
    longest = max((w for w in wires if w.role == "radiator"), key=lambda w: w.length_m)
    at = min(max(share * longest.length_m, FAR_FROM_JOINTS_M), longest.length_m - FAR_FROM_JOINTS_M)
    split, point, way = _split(longest, at)
    upright = abs(way[2]) > 0.7
    foot = (point[0] + size_m, point[1], point[2]) if upright else (point[0], point[1], max(LOWEST_M, point[2] - size_m))
    branch = Wire(name="touching", points_m=(point, foot), radius_m=radius_m, role=SURROUNDINGS, conductivity_s_per_m=conductivity)
    return (*(split if w is longest else w for w in wires), branch)


def _split(wire: Wire, at_m: float):
    """The wire with a corner at that place (or the corner next to it), the place, and the wire's direction there."""
    point, run, points = wire.point_at(at_m), 0.0, [wire.points_m[0]]
    for a, b in pairwise(wire.points_m):
        size = math.dist(a, b)
        way = tuple((q - p) / size for p, q in zip(a, b))
        if run < at_m <= run + size:
            direction = way
            near = [c for c in (a, b) if math.dist(c, point) < NEAR_JOINT_M]
            if near:
                point = near[0]
            else:
                points.append(point)
        points.append(b)
        run += size
    return replace(wire, points_m=tuple(points)), point, direction


def _touches(design: Design):
    metal = [Variant(kind="wire touching", what=f"metal at {s:.2f}", garden=touched(s)) for s in TOUCHED_AT]
    wet = Variant(kind="wire touching", what="wet wood", garden=touched(0.97, 4.0, 0.1, 0.03))
    return [*metal, wet]
