"""The first run after installing: every compiled function compiled at once, by two processes, and kept on disk.

Without it all works as well: what is not on disk is compiled where it is first called, one after the other. The two processes call
everything compiled on a wire and a lot that have one of each thing, without the garbage collector, which would take a tenth of the time.
A mark in the user's cache folder says that it is done; it names the files, their age, Python and numba.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from collections.abc import Callable
from functools import cache
from importlib.metadata import version
from pathlib import Path

from .field.kept import folder

FILES = ("physics/compiled.py", "field/kernels.py", "field/pieces.py", "field/far.py", "field/near.py", "site/kernels.py", "families/kernels.py")
SAYING = "compiling, once after installing: some ten seconds"


@cache
def compile_all(say: Callable[[str], None] = lambda text: None, *, kindly: bool = False) -> None:
    """Once a process: compile what is not on disk yet; `say` is told if there is something to do. `kindly`: let others go first."""
    kept = folder()
    if kept is None or (mark := kept / f"compiled-{_version()}").exists():
        return
    say(SAYING)
    code = "import sys; from optimizer.compiling import exercise; exercise(sys.argv[1], kindly=len(sys.argv) > 2)"
    hands = [
        subprocess.Popen([sys.executable, "-c", code, part, *["kindly"] * kindly], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        for part in PARTS
    ]
    try:
        done = [hand.wait() == 0 for hand in hands]
    finally:
        for hand in hands:
            hand.kill()
    if all(done):
        try:
            kept.mkdir(parents=True, exist_ok=True)
            mark.touch()
        except OSError:
            pass


def exercise(part: str, *, kindly: bool = False) -> None:
    """Call every compiled function of a part."""
    import gc

    if kindly and hasattr(os, "nice"):
        os.nice(10)
    gc.disable()
    PARTS[part]()


def _version() -> str:
    here = Path(__file__).parent
    files = [(name, (here / name).stat().st_mtime_ns) for name in FILES]
    text = repr((str(here), files, sys.version, version("numba"), version("llvmlite"), os.environ.get("NUMBA_CACHE_DIR")))
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _field() -> None:
    from .wires.model import Ground, Port, Wire
    from .field.near import fields
    from .field.solver import solve
    from .physics.soil import Soil

    wire = Wire(name="wire", points_m=((0.0, 0.0, 5.0), (10.0, 0.0, 5.0)), radius_m=0.001)
    soil = Ground(kind="soil", soil=Soil(relative_permittivity=13.0, conductivity_s_per_m=0.005))
    fields(solve((wire,), (Port(name="feed", wire="wire", at_m=5.0),), (), soil, [14e6, 14.1e6]), 0, [[5.0, 5.0, 2.0]])


def _geometry() -> None:
    import numpy as np
    from shapely.geometry import LineString, Point, box

    from .families.placement import plot_of
    from .families.sag import Sag
    from .field.far import plane_waves
    from .site.clearance import margins
    from .site.fall import covers
    from .site.model import Anchor, Building, KeepOut, Mast, MastSpot, OverheadLine, Site, Span, Structure, Tree
    from .wires.model import Wire

    lot = box(0, 0, 30, 30)
    lines = [
        OverheadLine(name=kind, kind=kind, path=LineString([(40, 0), (40, 30)]), height_m=8.0, clearance_m=3.0) for kind in ("power", "telecom")
    ]
    site = Site(
        name="lot", stem="lot", lot=lot, usable=lot, height_limit_m=10.0, itu_region=1, currency="EUR",
        buildings=(Building(name="house", footprint=box(2, 2, 8, 8), height_m=6.0, clearance_m=1.0),),
        keep_outs=(KeepOut(name="path", footprint=box(20, 2, 22, 4), from_m=None, to_m=None),),
        trees=(Tree(name="tree", at_m=(25.0, 25.0), height_m=6.0, crown_radius_m=2.0),),
        overhead_lines=tuple(lines), mast_spots=(MastSpot(name="spot", where=Point(15, 15)),),
    )  # fmt: skip
    wire = Wire(name="wire", points_m=((12.0, 12.0, 3.0), (15.0, 15.0, 8.0), (18.0, 12.0, 3.0)), radius_m=0.001)
    structure = Structure(
        wires=(wire,), masts=(Mast(at_m=(15.0, 15.0), height_m=8.0),), anchors=(Anchor(at_m=(12.0, 12.0), kind="stake"),),
        spans=(Span(holds_m=wire.points_m, lengths_m=(7.0, 7.0)),),
    )  # fmt: skip
    margins(site, structure)
    covers(structure.spans[0], wire)
    plot, middle = plot_of(site), (15.0, 15.0, 8.0)
    plot.lot.rooms(middle)
    plot.lot.room(middle, 1.0, 0.0)
    plot.lot.hold_mask(np.array([middle]))
    plot.obstacles.leg_missing(middle, 2.5, 3.0, 5.0, ())
    plot.obstacles.check((wire,), (), ())
    Sag([wire.points_m]).at((13.0, 13.0, 4.0))
    plane_waves(np.zeros((1, 3)), np.zeros((1, 3), complex), 1.0, *np.ones((3, 1)))


PARTS = {"field": _field, "geometry": _geometry}
