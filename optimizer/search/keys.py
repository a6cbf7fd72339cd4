"""Keys of the ledger: a hash of everything that shaped an evaluation, and of nothing that did not.

In it: the placed wires, port, coils, circuit and trimming targets of the design, the lot's geometry, where people stay and by which
rule, the soil, the wished segments with their bearings, the storey, and the versions. Not in it: budget, mast limit, SWR limit, the
criteria's weights, names and titles.
"""

from __future__ import annotations

import hashlib
from functools import lru_cache

from .. import __version__
from ..evaluate import Storey
from ..families.design import Design
from ..field import solver
from ..physics.exposure import rule_for
from ..physics.wishes import WishList
from ..site.model import Site


def versions() -> dict[str, str]:
    """What computed the figures: program, field solver, and how it treats the ground."""
    return {
        "program": __version__,
        "solver": solver.SOLVER_VERSION,
        "ground": solver.GROUND_TREATMENT,
    }


def digest(*things) -> str:
    """Hash of the things' text; frozen records print all their fields."""
    return hashlib.sha256("\x1f".join(map(repr, things)).encode()).hexdigest()[:32]


def problem_key(site: Site, wishes: WishList) -> str:
    """Same for all evaluations that can stand in one table of raw figures."""
    bands = [(w.key, w.low_hz, w.high_hz, w.bearing_deg) for w in wishes.bands]
    return digest(_site_key(site), bands, sorted(versions().items()))


def evaluation_key(problem: str, design: Design, storey: Storey) -> str:
    """Key of one candidate as built, before trimming."""
    return digest(problem, storey, design_key(design))


def design_key(design: Design) -> str:
    """Key of what the solver and the circuit see of a design."""
    trims = [(t.parameter, t.band, t.target_mhz) for t in design.trims]
    return digest(design.family, design.structure.wires, design.port, design.loads, design.by_band, design.feed, trims)


@lru_cache(maxsize=32)
def _site_key_of(text: str) -> str:
    return digest(text)


def _site_key(site: Site) -> str:
    shapes = [
        site.lot.wkb_hex, site.usable.wkb_hex, site.height_limit_m, site.soil,
        [(b.footprint.wkb_hex, b.height_m, b.clearance_m, b.occupied) for b in site.buildings],
        [(p.footprint.wkb_hex, p.height_m) for p in site.people], rule_for(site.country).key,
        [(k.footprint.wkb_hex, k.from_m, k.to_m) for k in site.keep_outs],
        [(o.path.wkb_hex, o.height_m, o.kind, o.clearance_m) for o in site.overhead_lines],
        [(t.at_m, t.height_m, t.crown_radius_m, t.holds_wire_at_m) for t in site.trees],
        [(s.at_m, s.height_m, s.kind) for s in site.supports],
        [m.where.wkb_hex for m in site.mast_spots],
        (site.radio.at_m, site.radio.height_m) if site.radio else None,
    ]  # fmt: skip
    return _site_key_of(repr(shapes))
