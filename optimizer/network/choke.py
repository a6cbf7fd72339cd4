"""Choke on the line: what it puts in the way of current on the outside of the shield.

n turns on a ring stack, (n^2 Z1) in parallel with the stray capacitance between the ends. Z1 per turn squared comes
from the complex permeability; 30 % by batch, the stray by how the turns lie. The signal inside the line does not
see it. A choke is inserted in a `line` wire as a load like any other element (`impedance_ohm`).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from ..errors import FaultList
from ..parts.catalogue import pieces_of
from ..parts.ferrite import Ring, ring_in
from ..parts.tables import facts
from ..physics.constants import TWO_PI


@dataclass(frozen=True, kw_only=True)
class Choke:
    key: str
    ring: Ring
    turns: float
    stray_f: float

    def impedance_ohm(self, freq_hz):
        """Common-mode impedance, complex, shape of `freq_hz` [ohm]."""
        return 1.0 / (1.0 / self.ring.impedance_ohm(freq_hz, self.turns) + 1j * TWO_PI * np.asarray(freq_hz, float) * self.stray_f)


@cache
def choke(key: str) -> Choke:
    """The choke of that part key (a 1:1 balun is one too); InputError if there is none."""
    own = key.removesuffix("_bought")
    data = facts("transformers").get(own, {})
    if "choke_turns" not in data:
        faults = FaultList("catalogue")
        faults.add("choke", key, "one of " + ", ".join(k for k, v in facts("transformers").items() if "choke_turns" in v))
        faults.raise_if_any()
    return Choke(key=key, ring=ring_in(pieces_of(own)), turns=data["choke_turns"], stray_f=data["choke_stray"])
