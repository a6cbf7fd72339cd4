"""The explicit list of families, in the order they are tried. A new family is a file and a line here."""

from __future__ import annotations

from . import dipole, end_fed_half_wave, end_fed_loaded_tail, parallel_dipole, trap_dipole
from .family import Family


def by_key(families) -> dict[str, Family]:
    """Families by key; a duplicate key is an error."""
    found: dict[str, Family] = {}
    for family in families:
        if family.key in found:
            raise ValueError(f"family key {family.key!r} twice")
        found[family.key] = family
    return found


FAMILIES = by_key(
    [
        end_fed_half_wave.SLOPED,
        end_fed_half_wave.DROOPED,
        end_fed_loaded_tail.FAMILY,
        trap_dipole.FAMILY,
        dipole.FAMILY,
        parallel_dipole.FAMILY,
    ]
)
