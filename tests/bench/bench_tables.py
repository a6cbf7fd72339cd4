"""Short tables of the six lots of tests/families/lots, with what an experienced eye looks at: masts, feed, coils, what bends where.

    python tests/bench/bench_tables.py [--lot NAME] [--seconds 30 | --trials N] [--gardens 24] [--workers 2] [--seed 1]

Says for each lot how many families of at least half the best score it offers. Nothing is kept between runs.
"""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from optimizer.criteria.fit import worst
from optimizer.errors import NothingFits
from optimizer.physics.wish_reader import read_wishes
from optimizer.search.rank import rank_site
from optimizer.search.settings import SearchSettings
from optimizer.site.read import read_site

LOTS = Path(__file__).parents[1] / "families" / "lots"
WISHED = {
    "courtyard": {"bands": "20m 15m 10m", "power_w": 50.0},
    "flats": {"bands": "20m 15m 10m", "power_w": 20.0, "mast_limit_m": 4.0},
    "terrace": {"bands": "40m:digital 20m 10m"},
    "strip": {"bands": "40m 20m 10m", "budget": 350.0},
    "corner": {"bands": "40m 20m 15m", "tuner": "radio"},
    "large": {"bands": "80m 40m 20m@far"},
}


def table(name: str, settings: SearchSettings) -> None:
    given = dict(WISHED[name])
    site = read_site(LOTS / f"{name}.geojson")
    wishes = read_wishes(given.pop("bands"), site, **given)
    print(f"\n{name}: {site.name}, {site.usable.area:.0f} m2 usable; wished {WISHED[name]}")
    try:
        result = rank_site(site, wishes, settings)
    except NothingFits as nothing:
        print(f"  nothing fits: {nothing.relaxations[:3]}")
        return
    for i, row in enumerate(result.rows):
        poorest = min(row.score.bands, key=lambda k: row.score.bands[k].worth)
        b = row.bands[poorest]
        print(
            f"{i + 1:3d} {row.family:26s} {row.total:5.1f} {row.cost:7.2f} {site.currency}  worst {poorest}: {100 * b.covered_share:.0f} % covered, "
            f"{100 * b.efficiency:.0f} % to the sky"
        )
        print(f"      {_eye(row)}")
    sensible = {row.family for row in result.rows if row.total >= 0.5 * result.rows[0].total}
    print(f"  {len(sensible)} families of half the best score or more; {result.tried} designs in {result.elapsed_s:.0f} s, load {os.getloadavg()[0]:.1f}")


def _eye(row) -> str:
    """Masts, feed, ends, coils, least margin: in metres, local."""
    design, wires = row.design, {w.name: w for w in row.design.structure.wires}
    masts = " ".join(f"{m.height_m:.1f}@({m.at_m[0]:.1f},{m.at_m[1]:.1f})" for m in design.structure.masts) or "none"
    feed = wires[design.port.wire].point_at(design.port.at_m)
    loads = " ".join(f"{type(x.element).__name__.lower()} {wires[x.wire].point_at(x.at_m)[2]:.1f} m up" for x in design.loads)
    main = [w for w in design.structure.wires if w.role == "radiator"]
    low = min(p[2] for w in main for p in w.points_m)
    tight = worst({k: m for k, m in row.margins.items() if k != "budget"})
    change = f"; {row.change_min:.1f} min a change" if row.change_min > 0.2 else ""
    return (
        f"masts {masts}; feed {feed[2]:.1f} m up; {sum(w.length_m for w in main):.1f} m of wire down to {low:.1f} m; {loads or 'no loads'}; "
        f"line {design.feed.line_length_m:.0f} m, {design.feed.impedance_ratio or 1:g}:1{change}; tightest {tight[0]} {tight[1]:.2f}"
    )


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--lot", choices=sorted(WISHED))
    parser.add_argument("--seconds", type=float)
    parser.add_argument("--trials", type=int)
    parser.add_argument("--gardens", type=int, default=24)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    seconds = 30.0 if given.seconds is None and given.trials is None else given.seconds
    effort = {"seconds": seconds, "trials": given.trials, "members": given.gardens}
    for name in [given.lot] if given.lot else WISHED:
        table(name, SearchSettings(**effort, workers=given.workers, seed=given.seed))


if __name__ == "__main__":
    main()
