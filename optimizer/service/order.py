"""What a run was asked for, as it lies in the store: enough for a working process to do it, now or after a kill.

    {"site": {"form", "content"}, "wish": {…}, "seconds", "trials", "seed"}            a run
    … and "change": {…}, "from": id of the run whose work is reused                     a rerun
"""

from __future__ import annotations

from ..errors import FaultList
from ..physics.wish_reader import wishes_of
from ..physics.wishes import WishList
from ..site.model import Site
from ..site.read import site_of

LEAST_SECONDS = 2.0  # for a run that had used up its time when it was killed


def site_in(order: dict, stem: str = "site") -> Site:
    """The order's site. Raises InputError."""
    return site_of(order["site"]["form"], order["site"]["content"], stem=stem)


def wishes_in(order: dict, site) -> WishList:
    """The order's wish list, for anything with `itu_region` and `country`. Raises InputError with every fault."""
    return wishes_of(document_of(order["wish"]), site, FaultList("wish"))


def document_of(wish: dict) -> dict:
    """The wish as the document of a wish file: a list of bands becomes its tables."""
    bands = wish.get("bands")
    if isinstance(bands, list) and not all(isinstance(b, str) for b in bands):
        return {k: v for k, v in wish.items() if k != "bands"} | {"band": bands}
    return wish


def seconds_left(order: dict, spent_s: float) -> float | None:
    """Time still to search [s]; None where only trials count."""
    seconds = order.get("seconds")
    return None if seconds is None else min(seconds, max(LEAST_SECONDS, seconds - spent_s))
