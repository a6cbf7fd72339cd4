"""Faults to plant in a hidden garden: same kinds as the advice knows, other places and sizes, drawn."""

from dataclasses import dataclass, field, replace

import numpy as np

from optimizer.physics.elements import Coil, Trap
from optimizer.trimming.faults import has_other_transformer, opened, other_transformer, scaled, touched, without_return


@dataclass(frozen=True)
class Planted:
    design: object = lambda d: d
    garden: object = lambda g: g
    slip: dict = field(default_factory=dict)


def planted(kind, case, seed):
    """The fault, None where the design cannot have it."""
    rng, design = np.random.default_rng([9, seed]), case.longest
    wound = [v for v in design.loads if isinstance(v.element, (Coil, Trap))]
    returns = [w for w in design.structure.wires if w.role == "counterpoise"]
    if kind == "open joint":
        return Planted(design=_joint(design, rng))
    if kind == "wrong turns":
        if wound and (rng.random() < 0.5 or not has_other_transformer(design)):
            turns, off = rng.integers(20, 40), rng.choice([-3, -2, 2, 3])
            return Planted(design=scaled(float(1 + off / turns) ** 2))
        return Planted(design=other_transformer) if has_other_transformer(design) else None
    if kind == "coil value":
        share = float(rng.choice([rng.uniform(0.65, 0.85), rng.uniform(1.18, 1.45)]))
        return Planted(design=scaled(share)) if wound else None
    if kind == "missing counterpoise":
        return Planted(design=without_return(1.0)) if returns else None
    if kind == "wire touching":
        return Planted(garden=touched(float(rng.uniform(0.35, 0.99)), float(rng.uniform(1.5, 5.0)), 10 ** float(rng.uniform(4, 7)), float(rng.uniform(0.004, 0.03))))
    others = [j for j in range(1, len(case.names))]
    to = int(rng.choice(others)) if others else None
    half = rng.random() < 0.5
    return Planted(slip={"slips_at": 1, "slips_to": 0, "share": 0.5} if half else {"slips_at": 1, "slips_to": to})


def _joint(design, rng):
    """At a lumped part, a link, or a terminal, drawn."""
    places = [("load", n) for n in range(len(design.loads))]
    places += [("at", (v.wire, v.at_m)) for _, loads in design.by_band for v in loads]
    places += [("feed", None)]
    places += [("at", (w.name, 0.1)) for w in design.structure.wires if w.role == "radiator" and w.name != design.port.wire and w.length_m > 1]
    what, which = places[rng.integers(len(places))]
    if what == "load":
        from optimizer.trimming.faults import OPEN

        return lambda d: replace(d, loads=tuple(replace(v, element=OPEN) if n == which else v for n, v in enumerate(d.loads)))
    if what == "at":
        return opened(*which)
    return lambda d: opened(d.port.wire, d.port.at_m + 0.1)(d)
