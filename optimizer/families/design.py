"""A design: one wire aerial placed on one lot, with all its parts. Frozen, built by a family.

`structure.wires` are the conductors the field solver sees, `port` is where the feed sits, `loads` the
coils and traps, `feed` all that lies between the radio and the port. `bill` says which parts of the
catalogue are used and how many; `trims` in which order the lengths are adjusted. `by_band`: wish key -> loads that
are there on that segment only, such as links left open; `switched_by`: what must come down for that, as in `criteria.handling`.
`apex_deg`: the angle over the support where it is sharper than a right angle.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from ..site.model import Structure
from ..wires.model import Load, Port

LOADED_SLOPE = -0.35  # a short piece beyond a coil or trap moves its band so much less than a plain wire would (a start for trimming)


@dataclass(frozen=True, kw_only=True)
class Feed:
    """Everything between the radio's socket and the feed port, as keys of the parts catalogue.

    `transformer`: part key or None (then the line meets the wire direct); `impedance_ratio`: 49, 4 ... or
    None; `choke`: part key or None, `choke_at` the feed or the radio; `line`: cable type key; `compensation_f`: capacitor across the
    transformer's primary [F]; `tuner`: part key or None, at the radio.
    """

    line: str
    line_length_m: float
    transformer: str | None = None
    impedance_ratio: float | None = None
    compensation_f: float = 0.0
    choke: str | None = None
    choke_at: str = "feed"
    tuner: str | None = None


@dataclass(frozen=True, kw_only=True)
class BillItem:
    """`part`: key of the price list; `quantity` in the part's unit; `use`: what for, in plain words."""

    part: str
    quantity: float
    use: str


@dataclass(frozen=True, kw_only=True)
class TrimStep:
    """One adjustment: which element, watching which band, aiming at which frequency.

    `parameter` is the family's parameter (a length in metres) that the step changes; `reachable` tells
    whether it can be done from the ground; `disturbs` the other bands that move with it; `slope`: change of the band's
    log frequency per log length, by rule of thumb.
    """

    element: str
    parameter: str
    band: str
    target_mhz: float
    reachable: bool
    disturbs: tuple[str, ...] = ()
    note: str = ""
    slope: float = -1.0


@dataclass(frozen=True, kw_only=True)
class Design:
    family: str
    title: str
    values: dict
    structure: Structure
    port: Port
    loads: tuple[Load, ...]
    feed: Feed
    bill: tuple[BillItem, ...]
    trims: tuple[TrimStep, ...]
    serves: tuple[str, ...] = field(default=())
    weak_point: str = ""
    by_band: tuple[tuple[str, tuple[Load, ...]], ...] = ()
    switched_by: str = ""
    apex_deg: float | None = None

    @property
    def all_loads(self) -> tuple[Load, ...]:
        """Every lumped thing once, switched ones too."""
        return all_of(self.loads, self.by_band)

    def loads_on(self, key: str) -> tuple[Load, ...]:
        """Everything lumped in the wires on that wished segment: `loads`, and what is switched there by hand."""
        return self.loads + next((loads for k, loads in self.by_band if k == key), ())


def all_of(loads, by_band) -> tuple[Load, ...]:
    """Loads and switched loads, each once."""
    return tuple(dict.fromkeys((*loads, *(load for _, switched in by_band for load in switched)))) if by_band else loads
