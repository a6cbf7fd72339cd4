"""What a run was asked for, as it lies in the store: enough for a working process to do it, now or after a kill.

    site      form and content as they were then; id and name for showing
    wish      the wish list, with the names of a wish file; weights: name → number, those that are not the default
    seconds, trials, seed
    from      the run whose work a rerun reuses, and change: what was asked to differ; null for a run of its own
"""

from __future__ import annotations

import json
from types import SimpleNamespace

from ..criteria.weights import weights_of
from ..errors import FaultList, InputError
from ..parts.catalogue import catalogue
from ..physics.wish_reader import wishes_of
from ..physics.wishes import WishList
from ..site.model import Site
from ..site.read import site_of

SITE = ("id", "name", "form", "content", "summary_json")
DEFAULT_SECONDS = 60.0
LEAST_SECONDS = 2.0  # for a run that had used up its time when it was killed


def order_for(site, asked: dict, *, earlier: str | None = None, change: dict | None = None) -> dict:
    """The order for a kept site's row. Raises InputError with every fault of the wish list and the weights."""
    order = {"site": {k: getattr(site, k) for k in SITE}, "wish": asked["wish"]}
    order |= {"weights": asked["weights"], "from": earlier, "change": change, **{k: asked[k] for k in ("seconds", "trials", "seed")}}
    if earlier is None and order["seconds"] is None and order["trials"] is None:
        order["seconds"] = DEFAULT_SECONDS
    check(order, SimpleNamespace(**json.loads(site.summary_json)))
    return order


def check(order: dict, where) -> None:
    """Wish list and weights against a place with `itu_region` and `country`. Raises InputError."""
    faults = FaultList("order")
    for read in (lambda: wishes_in(order, where), lambda: weights_of(order["weights"], FaultList("order"))):
        try:
            read()
        except InputError as bad:
            faults.faults += bad.faults
    faults.raise_if_any()


def site_in(order: dict, stem: str = "site") -> Site:
    """The order's site. Raises InputError."""
    return site_of(order["site"]["form"], order["site"]["content"], stem=stem)


def wishes_in(order: dict, site) -> WishList:
    """The order's wish list, for anything with `itu_region` and `country`. Raises InputError with every fault."""
    return wishes_of(document_of(order["wish"]), site, FaultList("wish"), known_parts=catalogue())


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
