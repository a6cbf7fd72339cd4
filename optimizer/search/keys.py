"""Keys of the ledger: a hash of everything that shaped an evaluation, and of nothing that did not.

    problem     soil, where people stay and by which rule, the wished segments with their bearings, the radio and its supply, the versions
    evaluation  problem, storey, and the design as built: wires, port, coils, circuit, trimming targets
    placing     all that a design stands by or is made for: the lot and everything on it, bands, tuner, power
    safety      problem, the design as trimmed, the station and its power

In none of them: budget, mast limit, SWR limit, stock on hand, the criteria's weights, names and titles.
"""

from __future__ import annotations

import hashlib

from .. import __version__
from ..ensemble.unknowns import GARDENS_VERSION
from ..evaluate import Storey
from ..families.design import Design
from ..field.version import GROUND_TREATMENT, SOLVER_VERSION
from ..physics.exposure import rule_for
from ..physics.wishes import WishList
from ..site.model import Site


def versions() -> dict[str, str]:
    """What computed the figures: program, field solver, how it treats the ground, and how gardens are drawn."""
    return {"program": __version__, "solver": SOLVER_VERSION, "ground": GROUND_TREATMENT, "gardens": GARDENS_VERSION}


def digest(*things) -> str:
    """Hash of the things' text; frozen records print all their fields."""
    return hashlib.sha256("\x1f".join(map(repr, things)).encode()).hexdigest()[:32]


def problem_key(site: Site, wishes: WishList) -> str:
    """Same for all evaluations that can stand in one table of raw figures."""
    bands = [(w.key, w.low_hz, w.high_hz, w.bearing_deg) for w in wishes.bands]
    homes = [(b.footprint.wkb_hex, b.height_m, b.occupied) for b in site.buildings]  # gutters and cables of gardens hang on all
    trees = [(t.at_m, t.height_m, t.crown_radius_m) for t in site.trees]
    people = [(p.footprint.wkb_hex, p.height_m) for p in site.people]
    radio = (site.radio.at_m, site.radio.height_m) if site.radio else None
    return digest(site.soil, rule_for(site.country).key, site.lot.wkb_hex, homes, trees, people, bands, radio, wishes.station, sorted(versions().items()))


def evaluation_key(problem: str, design: Design, storey: Storey) -> str:
    """Key of one candidate as built, before trimming."""
    return digest(problem, storey, design_key(design))


def design_key(design: Design) -> str:
    """Key of what the solver and the circuit see of a design."""
    trims = [(t.parameter, t.band, t.target_mhz) for t in design.trims]
    return digest(design.family, design.structure.wires, design.port, design.loads, design.by_band, design.feed, trims)


def placing_key(site: Site, wishes: WishList) -> str:
    """Same wherever a design that stood once stands again as it was, if its masts are no taller than they may be."""
    bands = [(w.key, w.band, w.low_hz, w.high_hz) for w in wishes.bands]
    station = (wishes.tuner, wishes.power_w, wishes.station)
    return digest(_shapes(site), bands, station, sorted(versions().items()))


def safety_key(problem: str, design: Design, bands: dict, wishes: WishList, ice_m: float) -> str:
    """Key of what is told of a row about people, voltage and weather; `bands`: its figures, which know people more or less finely."""
    exposed = [(key, figures.exposure, figures.solved_hz) for key, figures in bands.items()]
    station = (wishes.power_w, wishes.mode_duty, wishes.transmit_share, wishes.station)
    return digest("safety", problem, design_key(design), design.bill, exposed, station, ice_m)


def _shapes(site: Site) -> list:
    return [
        site.lot.wkb_hex, site.usable.wkb_hex, site.height_limit_m, site.ice_m,
        [(b.footprint.wkb_hex, b.height_m, b.clearance_m) for b in site.buildings],
        [(k.footprint.wkb_hex, k.from_m, k.to_m) for k in site.keep_outs],
        [(o.path.wkb_hex, o.height_m, o.kind, o.clearance_m) for o in site.overhead_lines],
        [(t.at_m, t.height_m, t.crown_radius_m, t.holds_wire_at_m) for t in site.trees],
        [(s.at_m, s.height_m, s.kind) for s in site.supports],
        [m.where.wkb_hex for m in site.mast_spots],
        (site.radio.at_m, site.radio.height_m) if site.radio else None,
    ]  # fmt: skip
