"""The explicit list of families, in the order they are tried. A new family is a file and a line here."""

from __future__ import annotations

from . import (
    coil_dipole,
    dipole,
    doublet,
    end_fed_half_wave,
    end_fed_loaded_tail,
    end_fed_random,
    end_fed_two_coils,
    inverted_l,
    linked_dipole,
    loop_flat,
    loop_upright,
    off_centre_dipole,
    parallel_dipole,
    top_loaded_vertical,
    trap_dipole,
    trap_dipole_two,
    vertical,
)
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
        end_fed_two_coils.FAMILY,
        trap_dipole.FAMILY,
        trap_dipole_two.FAMILY,
        dipole.FAMILY,
        parallel_dipole.FAMILY,
        linked_dipole.FAMILY,
        off_centre_dipole.FAMILY,
        coil_dipole.FAMILY,
        end_fed_random.FAMILY,
        doublet.FAMILY,
        vertical.FAMILY,
        inverted_l.FAMILY,
        top_loaded_vertical.FAMILY,
        loop_upright.FAMILY,
        loop_flat.FAMILY,
    ]
)
