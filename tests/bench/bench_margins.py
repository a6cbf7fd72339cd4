"""Time of one judgement of all margins: `python tests/bench/bench_margins.py`. Load of the machine moves it two- to threefold."""

import platform
import sys
import timeit
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "site"))
from plain_lots import wire  # noqa: E402

from optimizer.site.clearance import margins  # noqa: E402
from optimizer.site.model import Anchor, Mast, Span, Structure  # noqa: E402
from optimizer.site.read import read_site  # noqa: E402

SITES = Path(__file__).parents[2] / "sites"


def structure(site):
    """A drooped wire over one mast with four guys and a counterpoise."""
    x, y = site.usable.representative_point().coords[0]
    run = ((x - 2.0, y - 8.0, 2.5), (x, y, 8.0), (x + 1.0, y + 9.0, 3.0))
    feet = [(x + dx, y + dy) for dx, dy in ((2, 2), (2, -2), (-2, 2), (-2, -2))]
    return Structure(
        wires=(wire(*run), wire(run[0], (x - 2.0, y - 10.0, 2.5), role="counterpoise", name="return")),
        masts=(Mast(at_m=(x, y), height_m=8.0),),
        anchors=tuple(Anchor(at_m=f, kind="guy") for f in feet),
        cords_m=tuple(((x, y, 6.0), (*f, 0.0)) for f in feet),
        spans=(Span(holds_m=run, lengths_m=(10.0, 10.5)),),
        holds_at_m=(run[0][:2],),
    )


def main():
    print(platform.machine(), "Python", platform.python_version())
    for name in ("terrace", "l_shape"):
        site = read_site(SITES / f"{name}.geojson")
        design = structure(site)
        first = timeit.timeit(lambda: margins(site, design), number=1)  # noqa: B023
        times = timeit.repeat(lambda: margins(site, design), number=500, repeat=5)  # noqa: B023
        cold = timeit.repeat(lambda: margins(replace(site), design), number=50, repeat=3)  # noqa: B023
        print(
            f"{name}: first {first:.2f} s, then {min(times) / 500 * 1e6:.0f} us; on a new site {min(cold) / 50 * 1e6:.0f} us"
        )


if __name__ == "__main__":
    main()
