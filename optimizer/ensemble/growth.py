"""A design on its way through the gardens, step by step, so that work broken off goes on where it was.

    Felt ──► Looked, at some gardens ──► Drawn ──► Tried, one for every order of trimming where there are several ──► Grown, one for every garden

`Growth` computes the next step from those before it. Steps are records: kept somewhere and given back, in another process too, they
lead to the same figures to rounding (what a yard keeps from one solve to the next moves their last digits).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import t

from ..evaluate import place
from ..families.family import Family
from ..families.pieces import TRIM_SHARE
from ..figures import BandFigures
from ..physics.wishes import WishList
from ..site.model import Site
from ..wires.model import Ground
from .builder import Builder, Trimmed
from .garden import Garden, as_planned
from .plan import Drawing, Sensitivity, Way, sensitivity, wanted_lengths, ways
from .views import Seen, seen
from .yard import Yard

LOOKS = 8  # members whose dips say what allowance to cut with
PILOTS = 4  # members that try every order of trimming
ALLOWED_FOR = 0.95  # of the members end trimmable by cutting


@dataclass(frozen=True, kw_only=True)
class Felt:
    """What the design does in the open when its lengths change."""

    found: Sensitivity


@dataclass(frozen=True, kw_only=True)
class Looked:
    """Trimmed band → dip of the design, as computed, in one garden."""

    dips_hz: dict[str, float]


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """Lengths to build with, and orders of trimming worth trying."""

    start: dict[str, float]
    options: tuple[Way, ...]


@dataclass(frozen=True, kw_only=True)
class Tried:
    """What came of an order of trimming in the pilots, the first gardens."""

    way: str
    trimmed: tuple[Trimmed, ...]

    @property
    def rank(self) -> tuple[float, float]:
        """Share on target, then few moves; more is better."""
        return on_target(self.trimmed), -float(np.mean([one.moves for one in self.trimmed]))


@dataclass(frozen=True, kw_only=True)
class Grown:
    """One garden: how trimming went, the figures and what is seen, by wish key."""

    trimmed: Trimmed
    figures: dict[str, BandFigures]
    seen: dict[str, Seen]


Step = Felt | Looked | Drawn | Tried | Grown


@dataclass(frozen=True, kw_only=True)
class Prepared:
    """A design ready to be built anywhere: its drawing and the chosen plan."""

    drawing: Drawing
    found: Sensitivity
    way: Way
    tried: dict[str, float]
    start: dict[str, float]


class Growth:
    """A design and the gardens it is to stand in. `values`: as trimmed in the open; `steps`: those done, in order."""

    def __init__(self, site: Site, wishes: WishList, family: Family, values: dict, gardens: Sequence[Garden], steps: Iterable[Step] = ()):
        self.site, self.wishes, self.gardens = site, wishes, gardens
        self.design = place(site, wishes, family, values).design
        self.drawing = Drawing(self.design, family, site, wishes)
        self.steps = list(steps)
        self.open: Yard | None = None  # the plan's own garden, while it is needed
        self.yards: list[Yard] = []  # of the gardens looked at, then of the pilots; some 25 MB each

    @property
    def share(self) -> float:
        """How much is done, by gardens."""
        return len(self.grown) / len(self.gardens)

    @property
    def grown(self) -> list[Grown]:
        return self._of(Grown)

    @property
    def ready(self) -> Prepared:
        """The plan; when every order has been tried."""
        (felt,), (drawn,), tried = self._of(Felt), self._of(Drawn), {one.way: one.rank for one in self._of(Tried)}
        best = max(drawn.options, key=lambda way: tried[way.name]) if tried else drawn.options[0]
        shares = {name: rank[0] for name, rank in tried.items()}
        return Prepared(drawing=self.drawing, found=felt.found, way=best, tried=shares, start=drawn.start)

    def next(self) -> Step | None:
        """The next step, computed and counted among those done; None where all is."""
        step = self._next()
        if step is not None:
            self.steps.append(step)
        return step

    def _next(self) -> Step | None:
        felt, drawn, tried, done = self._of(Felt), self._of(Drawn), self._of(Tried), len(self.grown)
        if not felt:
            return Felt(found=sensitivity(self.drawing, self._open()))
        if not drawn:
            looked = self._of(Looked)
            return self._looked(felt[0].found, len(looked)) if len(looked) < len(self.gardens[:LOOKS]) else self._drawn(felt[0].found, looked)
        options = drawn[0].options
        if len(options) > max(1, len(tried)):
            way = options[len(tried)]
            return Tried(way=way.name, trimmed=tuple(Builder(yard, self.drawing.at, way.steps).trimmed() for yard in self._pilots()))
        if done == len(self.gardens):
            return None
        if tried and done < PILOTS:
            best = next(one for one in tried if one.way == self.ready.way.name)
            return judged(self._pilots()[done], best.trimmed[done], self.wishes)
        self.yards = []
        return grown_in(self.gardens[done], self.ready, self.wishes)

    def _open(self) -> Yard:
        if self.open is None:
            self.open = Yard(as_planned(Ground(kind="soil", soil=self.site.soil)), self.design, self.wishes.bands)
        return self.open

    def _looked(self, found: Sensitivity, number: int) -> Looked:
        yard = Yard(self.gardens[number], self.design, self.wishes.bands)
        if number == len(self.yards) < PILOTS:
            self.yards.append(yard)
        return Looked(dips_hz={band: yard.dip_hz(self.design, band) for band in found.dips_hz})

    def _drawn(self, found: Sensitivity, looked: list[Looked]) -> Drawn:
        start = _start(self.drawing, found, [look.dips_hz for look in looked])
        options = ways(self.drawing, self._open(), found, start)
        longest, looks = self.drawing.at(start), self.yards
        all_there = len(looks) == len(self.gardens[:PILOTS]) and len(options) > 1
        self.open, self.yards = None, [look.rebuilt(longest) for look in looks] if all_there else []
        return Drawn(start=start, options=options)

    def _pilots(self) -> list[Yard]:
        """The first gardens with the design as cut."""
        if not self.yards:
            longest = self.drawing.at(self._of(Drawn)[0].start)
            self.yards = [Yard(garden, longest, self.wishes.bands) for garden in self.gardens[:PILOTS]]
        return self.yards

    def _of(self, kind: type) -> list:
        return [step for step in self.steps if isinstance(step, kind)]


def grown_in(garden: Garden, ready: Prepared, wishes: WishList) -> Grown:
    """Built, trimmed and judged in one garden."""
    longest = ready.drawing.at({s.step.parameter: s.start_m for s in ready.way.steps})
    yard = Yard(garden, longest, wishes.bands)
    return judged(yard, Builder(yard, ready.drawing.at, ready.way.steps).trimmed(), wishes)


def judged(yard: Yard, trimmed: Trimmed, wishes: WishList) -> Grown:
    figures = {w.key: yard.figures(trimmed.design, w.key, wishes.swr_limit) for w in wishes.bands}
    return Grown(trimmed=trimmed, figures=figures, seen={w.key: seen(yard, trimmed.design, w) for w in wishes.bands})


def on_target(trimmed: Sequence[Trimmed]) -> float:
    """Share of all (member, band) that end on their target."""
    return float(np.mean([on for one in trimmed for on in one.on_target.values()] or [1.0]))


def _start(drawing: Drawing, found: Sensitivity, dips_hz: list[dict[str, float]]) -> dict[str, float]:
    """Lengths as cut, as far as the lot holds them: long enough for `ALLOWED_FOR` of the gardens to be trimmed by cutting. From a look at
    some of them, by Student's bound for one more: what gardens need is near enough normal."""
    wanted = [wanted_lengths(drawing, found, dips) for dips in dips_hz]
    share, count = 1.0 - (1.0 - ALLOWED_FOR) / max(1, len(drawing.lengths)), len(wanted)
    bound = float(t.ppf(share, count - 1)) * np.sqrt(1.0 + 1.0 / count) if count > 1 else 0.0
    longer = {}
    for name, length in drawing.lengths.items():
        needed = [w[name] / length - 1.0 for w in wanted]
        longer[name] = max(TRIM_SHARE, float(np.mean(needed) + bound * np.std(needed, ddof=count > 1)))
    return drawing.longest(longer)
