"""Compiled code made ready while somebody still draws: once on a machine, in the background, in a process of the desk.

The first search after an installation would else wait for it. It stays in the cache of the compiler, for the command too.
"""

from __future__ import annotations

import logging
import threading
from concurrent.futures import CancelledError
from pathlib import Path

from .desk import Desk
from .faults import Refused

PACKAGE = Path(__file__).parents[1]
COMPILED = ("field", "site", "families")  # folders with a `kernels.py`
WITHIN_S = 900.0
CORNERS = {
    "lot": [(0, 0), (22, 0), (22, 26), (0, 26)], "building": [(2, 1), (9, 1), (9, 7), (2, 7)], "tree": [(18, 20)], "support": [(9, 7)],
    "radio": [(8, 7)], "people": [(10, 2), (13, 2), (13, 5), (10, 5)], "keep_out": [(1, 23), (3, 23), (3, 25), (1, 25)], "overhead_line": [(-5, -25), (27, -25)],
}  # fmt: skip
MORE = {
    "building": "height_m = 6.0", "tree": "height_m = 7.0\ncrown_radius_m = 2.0", "support": 'height_m = 5.0\nkind = "gable"', "radio": "height_m = 2.0",
    "overhead_line": "height_m = 6.0",
}  # fmt: skip
BANDS = "40m 20m"


def warm_up(desk: Desk) -> None:
    """Begin, where it was not done yet; what goes wrong is no more than noted, for the first search does the same."""
    if not compiled():
        threading.Thread(target=_ask, args=(desk,), daemon=True).start()


def compiled(package: Path = PACKAGE) -> bool:
    """Does every folder with compiled code have it in the cache beside it, no older than its source?"""
    return all(
        any(cache.stat().st_mtime >= (package / part / "kernels.py").stat().st_mtime for cache in (package / part / "__pycache__").glob("kernels.*.nbi"))
        for part in COMPILED
    )


def _ask(desk: Desk) -> None:
    try:
        desk.ask(compile_all, within_s=WITHIN_S)
    except (Refused, RuntimeError, CancelledError) as trouble:  # it broke, or the service ended
        logging.getLogger("lotwire.warm").info("not compiled ahead: %s", trouble)


def compile_all() -> None:
    """Place one start of every kind of wire on a made-up lot, and measure one of them."""
    from ..evaluate import COARSE, place
    from ..families.catalogue import FAMILIES
    from ..families.family import NoPlace
    from ..physics.wish_reader import read_wishes
    from ..search.crew import do
    from ..site.read import site_of

    site = site_of("tape", _any_lot())
    wishes = read_wishes(BANDS, site)
    standing = []
    for family in (f for f in FAMILIES.values() if f.starts and f.serves(wishes)):
        try:
            standing += [(family.key, v) for v in list(family.starts(site, wishes))[:2] if place(site, wishes, family, v).fits]
        except NoPlace:
            continue
    do(site, wishes, *standing[0], COARSE)


def _any_lot() -> str:
    """The lot as a tape form with fixed points."""
    named = {f"{role}{n}": at for role, corners in CORNERS.items() for n, at in enumerate(corners)}
    lines = ["[site]", 'name = "any lot"', "itu_region = 1", "height_limit_m = 10.0", 'currency = "EUR"', "[points]"]
    lines += [f"{name} = [{x}, {y}]" for name, (x, y) in named.items()]
    for role, corners in CORNERS.items():
        lines += ["[[feature]]", f'role = "{role}"', f"points = {[f'{role}{n}' for n in range(len(corners))]}"]
        lines.append(MORE.get(role, ""))
    return "\n".join(lines)
