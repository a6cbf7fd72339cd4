"""What a family is: a value with a key, parameters and one `build`. The catalogue lists them.

`parameters(site, wishes)` gives the search space on that lot; `build(values, site, wishes)` places the
design or raises `NoPlace` naming the limit and by how much it is missed. Same input, same design.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ..errors import LotwireError

OUT_OF_REACH_M = 2.5  # common practice: nothing under voltage lower than this


class NoPlace(LotwireError):
    """These values cannot stand on this lot. `limit` names the rule, `short_by` how much is missing."""

    def __init__(self, limit: str, short_by: float = 0.0, detail: str = ""):
        self.limit, self.short_by, self.detail = limit, short_by, detail
        super().__init__(f"{limit}: {detail or short_by}")


@dataclass(frozen=True, kw_only=True)
class Parameter:
    """A number to search: `choices` for a categorical, else low..high (log scale by choice)."""

    name: str
    low: float | None = None
    high: float | None = None
    choices: tuple = ()
    log: bool = False


@dataclass(frozen=True, kw_only=True)
class Family:
    key: str
    title: str
    serves: Callable  # (wishes) -> tuple of band names it can serve there, empty: none
    parameters: Callable  # (site, wishes) -> tuple[Parameter, ...]
    build: Callable  # (values, site, wishes) -> Design
    starts: Callable | None = None  # (site, wishes) -> iterable of hand-made value dicts
    lengths: Callable | None = None  # (values, site, wishes) -> lengths by rule of thumb that hang on the other values, before trimming
    weak_point: str = ""
