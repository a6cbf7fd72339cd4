"""What readings taught about a site's gardens: weights for the first `DRAWN` drawn for it, one set for each design read.

Kept with the results (`learned.json`), with plain means for people. A narrowed ensemble takes soil, coating and surroundings from members
drawn by the product of all weights; what belongs to one design's building (coils, hanging) is drawn afresh.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from pathlib import Path

import numpy as np

from ..errors import Fault, InputError
from ..site.model import Site
from .unknowns import GARDENS_VERSION, Member, draw

DRAWN = 96
SEED = 1
FILE = "learned.json"


def narrowed(site: Site, count: int, seed: int, weights: tuple[float, ...]) -> tuple[Member, ...]:
    """`count` members, those that fit the readings oftener; plainly drawn ones where nothing was learned."""
    fresh = draw(site, count, seed)
    if not weights:
        return fresh
    drawn = draw(site, len(weights), SEED)
    order = np.random.default_rng([seed, count]).permutation(count)
    steps = (np.arange(count) + 0.5)[order] / count
    picks = np.minimum(np.searchsorted(np.cumsum(weights), steps), len(weights) - 1)
    return tuple(_with_site(new, drawn[pick]) for new, pick in zip(fresh, picks))


def _with_site(new: Member, of: Member) -> Member:
    return replace(
        new, soil=of.soil, coating_permittivity=of.coating_permittivity, coating_thickness=of.coating_thickness, conductors=of.conductors
    )


def kept(folder: Path) -> dict[str, dict]:
    """Design → {"readings", "weights"} as kept in a results folder; nothing where the weights are of gardens drawn otherwise than now."""
    path = folder / FILE
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
        if content.get("gardens") != GARDENS_VERSION:
            return {}
        found = content["designs"]
        for entry in found.values():
            weights = np.array(entry["weights"], float)
            if weights.shape != (DRAWN,) or not (np.isfinite(weights).all() and (weights >= 0).all() and weights.sum() > 0):
                raise ValueError(f"weights of shape {weights.shape}")
        return found
    except FileNotFoundError:
        return {}
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as bad:
        raise InputError([Fault(str(path), "weights", str(bad)[:60], f"{DRAWN} weights as written by trim", "move the file away")]) from bad


def weights_in(folder: Path, without: str = "") -> tuple[float, ...]:
    """Product of all weights kept there, sum one; empty where nothing was learned. `without`: a design that is left out."""
    sets = [entry["weights"] for name, entry in kept(folder).items() if name != without]
    return product(sets)


def product(sets) -> tuple[float, ...]:
    if not sets:
        return ()
    log = np.log(np.maximum(np.array(sets, float), 1e-9)).sum(axis=0)
    weights = np.exp(log - log.max())
    return tuple((weights / weights.sum()).tolist())


def key_of(weights: tuple[float, ...]) -> str:
    """Differs where readings taught something else; empty where nothing."""
    return hashlib.sha256(repr(weights).encode()).hexdigest()[:12] if weights else ""


def learned_object(site: Site, designs: dict[str, dict]) -> dict:
    """The file's content."""
    weights = np.array(product([entry["weights"] for entry in designs.values()]))
    members = draw(site, DRAWN, SEED)

    def mean(of):
        return float(np.exp(weights @ np.log([max(of(m), 1e-9) for m in members])))

    return {
        "about": "weights of the gardens drawn for this site, from readings at the wire; used by trim, rank and rerun in this folder",
        "gardens": GARDENS_VERSION, "seed": SEED, "worth": float(1.0 / (weights**2).sum()),
        "means": {
            "relative_permittivity": mean(lambda m: m.soil.relative_permittivity),
            "conductivity_s_per_m": mean(lambda m: m.soil.conductivity_s_per_m),
            "coating_permittivity_factor": mean(lambda m: m.coating_permittivity),
            "coating_thickness_factor": mean(lambda m: m.coating_thickness),
            "conductors_m": float(weights @ [sum(w.length_m for w in m.conductors) for m in members]),
        },
        "designs": designs,
    }  # fmt: skip
