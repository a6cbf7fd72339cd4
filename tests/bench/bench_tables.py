"""Short tables of the six lots of tests/families/lots, with what an experienced eye looks at: masts, feed, coils, what bends where.

    python tests/bench/bench_tables.py [--lot NAME] [--seconds 30 | --trials N] [--gardens 24] [--workers 2] [--seed 1] [--page FILE]

Says for each lot how many families of at least half the best score it offers. Nothing is kept between runs; `--page` writes the tables as Markdown.
"""

from __future__ import annotations

import argparse
import os
from dataclasses import dataclass
from pathlib import Path

from optimizer.criteria.fit import worst
from optimizer.errors import NothingFits
from optimizer.physics.wish_reader import read_wishes
from optimizer.report.words import hidden_by_line
from optimizer.search.rank import rank_site
from optimizer.search.settings import SearchSettings
from optimizer.site.model import Site
from optimizer.site.read import read_site

LOTS = Path(__file__).parents[1] / "families" / "lots"
SHOWN = 6
WISHED = {
    "courtyard": {"bands": "20m 15m 10m", "power_w": 50.0},
    "flats": {"bands": "20m 15m 10m", "power_w": 20.0, "mast_limit_m": 4.0},
    "terrace": {"bands": "40m:digital 20m 10m"},
    "strip": {"bands": "40m 20m 10m", "budget": 350.0},
    "corner": {"bands": "40m 20m 15m", "tuner": "radio"},
    "large": {"bands": "80m 40m 20m@far"},
}


@dataclass(frozen=True)
class Table:
    """What the main job found on one lot."""

    name: str
    site: Site
    rows: tuple
    nothing: str = ""
    tried: int = 0
    elapsed_s: float = 0.0

    @property
    def sensible(self) -> set[str]:
        """Families of half the best score or more."""
        return {row.family for row in self.rows if row.total >= 0.5 * self.rows[0].total}


def table(name: str, settings: SearchSettings) -> Table:
    given = dict(WISHED[name])
    site = read_site(LOTS / f"{name}.geojson")
    try:
        result = rank_site(site, read_wishes(given.pop("bands"), site, **given), settings)
    except NothingFits as nothing:
        return Table(name, site, (), str(nothing.relaxations[:3]))
    return Table(name, site, tuple(result.rows), "", result.tried, result.elapsed_s)


def printed(found: Table) -> None:
    """For the terminal."""
    site = found.site
    print(f"\n{found.name}: {site.name}, {site.usable.area:.0f} m2 usable; wished {WISHED[found.name]}")
    for i, row in enumerate(found.rows, start=1):
        print(f"{i:3d} {row.family:26s} {row.total:5.1f} {row.cost:7.2f} {site.currency}  worst {_worst(row)}")
        print(f"      {_eye(row)}")
    if not found.rows:
        print(f"  nothing fits: {found.nothing}")
    print(f"  {len(found.sensible)} families of half the best score or more; {found.tried} designs in {found.elapsed_s:.0f} s, load {os.getloadavg()[0]:.1f}")


def paged(found: list[Table], settings: SearchSettings) -> str:
    """The same as a page of the docs, with nothing in it that hangs on the machine."""
    effort = f"--trials {settings.trials} --workers {settings.workers} --gardens {settings.members} --seed {settings.seed}"
    lines = [
        "# Six lots and what the main job offers on them", "",
        f"Made by `python tests/bench/bench_tables.py {effort} --page optimizer/docs/families_tables.md`; lots of our own drawing in `tests/families/lots`. The",
        f"first {SHOWN} rows of each table; *worst* is the wished band worth least: share covered, share of the power that reaches the sky.",
    ]  # fmt: skip
    for one in found:
        site, wished = one.site, ", ".join(f"{k} {v}" for k, v in WISHED[one.name].items())
        lines += ["", f"## {one.name}: {site.name}", ""]
        lines += [f"{site.usable.area:.0f} m² usable, nothing higher than {site.height_limit_m:g} m; {wished}. {len(one.sensible)} families score half the best or more.", ""]
        lines += [f"| | family | score | cost, {site.currency} | worst band | what it is |", "|---|---|---|---|---|---|"]
        for i, row in enumerate(one.rows[:SHOWN], start=1):
            lines.append(f"| {i} | {row.family} | {row.total:.1f} | {row.cost:.0f} | {_worst(row)} | {_eye(row)} |")
        lines += [one.nothing] if one.nothing else []
    return "\n".join(lines) + "\n"


def _worst(row) -> str:
    poorest = min(row.score.bands, key=lambda k: row.score.bands[k].worth)
    b = row.bands[poorest]
    return f"{poorest}: {100 * b.covered_share:.0f} % covered, {100 * b.efficiency:.0f} % to the sky"


def _eye(row) -> str:
    """Masts, feed, ends, coils, least margin: in metres, local."""
    design, wires = row.design, {w.name: w for w in row.design.structure.wires}
    masts = " ".join(f"{m.height_m:.1f}@({m.at_m[0]:z.1f},{m.at_m[1]:z.1f})" for m in design.structure.masts) or "none"
    feed = wires[design.port.wire].point_at(design.port.at_m)
    loads = " ".join(f"{type(x.element).__name__.lower()} {wires[x.wire].point_at(x.at_m)[2]:.1f} m up" for x in design.loads)
    main = [w for w in design.structure.wires if w.role == "radiator"]
    low = min(p[2] for w in main for p in w.points_m)
    tight = worst({k: m for k, m in row.margins.items() if k != "budget"})
    hidden = "".join(f"; on {key} the line's loss hides SWR {worst:.1f}" for key, worst in hidden_by_line(row).items())
    change = f"; {row.change_min:.1f} min a change" if row.change_min > 0.2 else ""
    return (
        f"masts {masts}; feed {feed[2]:.1f} m up; {sum(w.length_m for w in main):.1f} m of wire down to {low:.1f} m; {loads or 'no loads'}; "
        f"line {design.feed.line_length_m:.0f} m, {design.feed.impedance_ratio or 1:g}:1{hidden}{change}; tightest {tight[0]} {tight[1]:.2f}"
    )


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--lot", choices=sorted(WISHED))
    parser.add_argument("--seconds", type=float)
    parser.add_argument("--trials", type=int)
    parser.add_argument("--gardens", type=int, default=24)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--page", type=Path)
    given = parser.parse_args()
    seconds = 30.0 if given.seconds is None and given.trials is None else given.seconds
    settings = SearchSettings(seconds=seconds, trials=given.trials, members=given.gardens, workers=given.workers, seed=given.seed)
    found = []
    for name in [given.lot] if given.lot else WISHED:
        found.append(table(name, settings))
        printed(found[-1])
    if given.page:
        given.page.write_text(paged(found, settings), encoding="utf-8")


if __name__ == "__main__":
    main()
