"""One design to be trimmed: its lengths as cut and as finished, in the sheet's order, and the design at any of them.

Lengths are told by u = log(length / finished length), one number a step, in the order of trimming; a `Look` is what is read: a
wished segment, with or without what lies beyond the outermost coil.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..ensemble.builder import bare_of
from ..ensemble.yard import LOW, Yard
from ..errors import Fault, InputError, LotwireError
from ..families.catalogue import FAMILIES
from ..families.design import Design
from ..families.family import NoPlace
from ..outside import completed
from ..sheet.built import Built
from ..sheet.readings import Expected, expected

Look = tuple[str, bool]
DEEPEST = 0.06  # a first reading is looked for so far below its band, at most


@dataclass(frozen=True, kw_only=True, eq=False)
class Case:
    """`built`: the design from its file; `steps`: the sheet's trimming steps with the lengths and readings it gives."""

    built: Built
    steps: tuple[Expected, ...]

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(e.step.parameter for e in self.steps)

    @cached_property
    def finished_m(self) -> np.ndarray:
        return np.array([e.finished_m for e in self.steps])

    @cached_property
    def start(self) -> np.ndarray:
        """u of the pieces as cut."""
        return np.log(np.array([e.start_m for e in self.steps]) / self.finished_m)

    @cached_property
    def looks(self) -> tuple[Look, ...]:
        """What can be read: every trimmed segment, first those read before the coil is hung."""
        return tuple(dict.fromkeys([*((e.step.band, True) for e in self.steps if e.bare), *((e.step.band, False) for e in self.steps)]))

    @cached_property
    def lowest(self) -> float:
        """How far below a segment's middle to look, as a share of it."""
        return min(LOW, 0.955 * float(np.exp(-min(DEEPEST, self.start.max(initial=0.0)))))

    @property
    def bands(self):
        keys = {key for key, _ in self.looks}
        return tuple(w for w in self.built.wishes.bands if w.key in keys)

    def wish(self, key: str):
        return next(w for w in self.built.wishes.bands if w.key == key)

    def at(self, u) -> Design:
        """The design with these lengths. Raises NoPlace."""
        lengths = dict(zip(self.names, (self.finished_m * np.exp(u)).tolist()))
        family = FAMILIES[self.built.content["family"]]
        design = family.build({**_plain(self.built.content["values"]), **lengths}, self.built.site, self.built.wishes)
        return completed(design, self.built.site, self.built.wishes)

    def yard(self, garden, change=lambda design: design) -> Yard:
        """That garden with the design in it, as built with uncut lengths; `change` is what was done wrong."""
        return Yard(garden, change(self.longest), self.bands, self.lowest)

    @cached_property
    def longest(self) -> Design:
        for share in (1.0, 0.5, 0.0):
            try:
                return self.at(share * self.start)
            except NoPlace:
                continue
        raise NoPlace("lot", 0.1, "the design does not stand here")

    def reads_bare(self, e: Expected, log) -> bool:
        """Is that step's band still read without what lies beyond the coil? Until a later piece was worked on."""
        later = self.names[self.index(e.step.parameter) + 1 :]
        return e.bare and not any(r.step in later for r in log)

    def index(self, parameter: str) -> int:
        return self.names.index(parameter)


def case_of(built: Built) -> Case:
    """Raises InputError where the design has nothing to trim or its family builds it no more."""
    source = f"design {built.content.get('rank', '')}".strip()
    if not built.trims:
        raise InputError([Fault(source, "trimming", [], "a design with lengths to trim", "this kind is not trimmed")])
    case = Case(built=built, steps=expected(built))
    try:
        case.at(0.0 * case.finished_m)
        _ = case.longest
    except (LotwireError, ArithmeticError, LookupError, TypeError, ValueError) as bad:
        raise InputError([Fault(source, "values", str(bad)[:80], "a design that its family still builds", "rank the site again")]) from bad
    return case


def bared(design: Design, bare: bool) -> Design:
    return bare_of(design) if bare else design


def _plain(values: dict) -> dict:
    return {k: tuple(v) if isinstance(v, list) else v for k, v in values.items()}
