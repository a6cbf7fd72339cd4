"""Telescopic poles, cord, stakes: what they carry. Data: tables/masts.csv."""

from __future__ import annotations

from functools import cache

from ..errors import FaultList
from .mechanics import Pole
from .tables import facts


@cache
def pole(key: str) -> Pole:
    """The pole of that part key ("mast_8m"); InputError if there is none."""
    data = facts("masts").get(key, {})
    if "tip" not in data:
        faults = FaultList("catalogue")
        faults.add("mast", key, "one of " + ", ".join(k for k, v in facts("masts").items() if "tip" in v))
        faults.raise_if_any()
    return Pole(
        height_m=data["height"], base_m=data["base"], tip_m=data["tip"], wall_m=data["wall"], modulus_pa=data["modulus"],
        strength_pa=data["strength"], mass_kg=data["mass"],
    )  # fmt: skip


def holds_n(key: str) -> float:
    """Pull that a stake holds, or breaking load of a cord or insulator [N]."""
    data = facts("masts")[key]
    return data.get("holds", data.get("breaking_load"))
