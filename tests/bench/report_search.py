"""Tables and curves of the runs that `bench_search.py` left: writes optimizer/docs/search_study.md and search_curves.svg.

    python tests/bench/report_search.py RUNS [--page FILE.md] [--curves FILE.svg]
"""

from __future__ import annotations

import argparse
import json
from html import escape
from pathlib import Path
from statistics import median

from lots import ROOT

DOCS = ROOT / "optimizer" / "docs"
GOOD = 0.98
ALIKE = 0.01  # of a score of 100
VERDICTS = {1: "better", 0: "as good", -1: "worse"}
PANEL, ACROSS = (250, 150), 3
LOOKS = {"search": "stroke:#b03a1e;stroke-width:1.8", "uniform": "stroke:#26312a;stroke-width:1.4;stroke-dasharray:5 3"}


def runs_in(folder: Path) -> dict[str, list[dict]]:
    """Lot → its runs."""
    found: dict[str, list[dict]] = {}
    for path in sorted(folder.glob("*.json")):
        run = json.loads(path.read_text(encoding="utf-8"))
        found.setdefault(run["lot"], []).append(run)
    return found


def at(run: dict, column: int, limit: float) -> float:
    """Best score by then; `column` 0 goes by processor time, 1 by candidates solved."""
    return max((best for *by, best in run["curve_cpu_s_tried_best"] if by[column] <= limit), default=0.0)


def reached(run: dict, score: float) -> tuple[float, int] | None:
    """Processor time and candidates when the score was first reached."""
    return next(((t, n) for t, n, best in run["curve_cpu_s_tried_best"] if best >= score), None)


def row(key: str, runs: list[dict]) -> tuple[str, float | None, int | None]:
    """A line of the table; the search's median as a share of the long run's best; and whether it is better (1), as good (0) or worse (-1) than sampling's."""
    short = {mode: [r for r in runs if r["mode"] == mode and r["seed"] > 0] for mode in LOOKS}
    ends = {mode: [at(r, 0, r["asked_cpu_s"]) for r in rs] for mode, rs in short.items()}
    middle = {mode: median(e) if e else None for mode, e in ends.items()}
    best = max((at(r, 0, 1e9) for r in runs if r["seed"] == 0), default=None)
    share = middle["search"] / best if best and middle["search"] else None
    any_best = max(at(r, 0, 1e9) for r in runs)
    soon = [reached(r, GOOD * best) for r in short["search"]] if best else []
    words = sorted(f"{s[0]:.0f} s" if s else "not" for s in soon)
    pace = [r["tried"] / r["cpu_s"] for r in short["search"]]
    won = None if None in middle.values() else (middle["search"] > middle["uniform"] + ALIKE) - (middle["search"] < middle["uniform"] - ALIKE)
    return (
        f"| {key} | {_score(best)} | {any_best:.2f} | {_over(ends['search'])} | {_part(middle['search'], best) if best else '–'} | {_part(middle['search'], any_best)} | {_over(ends['uniform'])} |"
        f" {'–' if won is None else VERDICTS[won]} | {', '.join(words) or '–'} | {median(pace) if pace else 0:.1f} |"
    ), share, won


def _score(value: float | None) -> str:
    return "–" if value is None else f"{value:.2f}"


def _part(value: float | None, of: float) -> str:
    return "–" if value is None else f"{100 * value / of:.1f} %"


def _over(scores: list[float]) -> str:
    """Median, and the least and the most, of so many."""
    return f"{median(scores):.2f} ({min(scores):.2f} to {max(scores):.2f}; {len(scores)})" if scores else "–"


def page(found: dict[str, list[dict]]) -> str:
    every = [r for runs in found.values() for r in runs]
    short = sorted({r["asked_cpu_s"] for r in every if r["seed"] > 0})
    long = sorted({r["asked_cpu_s"] for r in every if r["seed"] == 0})
    rows = [row(k, runs) for k, runs in found.items()]
    shares, judged = [s for _, s, _ in rows if s is not None], [won for *_, won in rows if won is not None]
    return "\n".join([
        "# The search against uniform random sampling", "",
        "Made by `tests/bench/bench_search.py` and `report_search.py`. Every run alone in one process, in line; time is its processor time from the first",
        f"look at the lot on: {', '.join(f'{s:g}' for s in short)} s, what a run of 60 s on two cores has for searching" + (f"; {', '.join(f'{s:g}' for s in long)} s for the long run" if long else "") + ".",
        "Scores are those of the search's own storey, without gardens. Uniform sampling has the same geometry checks and trimming, no starts, families in turn. In brackets:",
        f"least and most, and how many seeds. `soon`: processor time until {100 * GOOD:.0f} % of the long run's best, seed by seed.", "",
        "| lot | long run | best of any run | search, median | of the long run | of any run | uniform, median | so the search is | soon | solved a second |", "|---|---|---|---|---|---|---|---|---|---|",
        *(text for text, *_ in rows), "",
        (f"The search's median is {100 * GOOD:.0f} % of the long run's best or more on {sum(s >= GOOD for s in shares)} of {len(shares)} lots."
         if shares else "The runs ten times as long are still to be made with the search as it is.") + " Its median is better than that of sampling on"
        f" {judged.count(1)} of {len(judged)} lots, as good (to {ALIKE:g}) on {judged.count(0)}, worse on {judged.count(-1)}.", "",
        f"![best score over processor time]({'search_curves.svg'})", "",
        f"Runs of {min(r['date'] for r in every)} to {max(r['date'] for r in every)}, field solver {every[0]['versions']['solver']}. Line drawn through: search; dashed: sampling.",
    ]) + "\n"  # fmt: skip


def curves(found: dict[str, list[dict]]) -> str:
    """One panel a lot: best score over processor time, search drawn through, sampling dashed."""
    wide, high = PANEL
    down = -(-len(found) // ACROSS)
    panels = [panel(key, runs, n % ACROSS * wide, n // ACROSS * high) for n, (key, runs) in enumerate(found.items())]
    size = f"{ACROSS * wide} {down * high}"
    style = "text{font:11px Georgia,serif;fill:#26312a}polyline{fill:none}.axis{fill:none;stroke:#26312a;stroke-width:.7}"
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size}"><style>{style}</style>\n' + "\n".join(panels) + "\n</svg>\n"


def panel(key: str, runs: list[dict], left: float, top: float) -> str:
    x0, y0, x1, y1 = left + 34, top + 20, left + PANEL[0] - 12, top + PANEL[1] - 28
    end = max(r["cpu_s"] for r in runs if r["seed"] > 0) if any(r["seed"] for r in runs) else max(r["cpu_s"] for r in runs)
    scores = [best for r in runs for *_, best in r["curve_cpu_s_tried_best"]]
    low, high = 0.9 * min((at(r, 0, 0.2 * end) for r in runs), default=0.0), max(scores) * 1.02

    def place(t, s):
        return f"{x0 + (x1 - x0) * min(t, end) / end:.1f},{y1 - (y1 - y0) * (max(s, low) - low) / max(high - low, 1e-9):.1f}"

    lines = []
    for run in runs:
        corners, last = [], None
        for t, _, best in run["curve_cpu_s_tried_best"]:
            if t > end:
                break
            corners += ([place(t, last)] if last is not None else []) + [place(t, best)]
            last = best
        if last is not None:
            corners.append(place(min(end, run["cpu_s"]), last))
        lines.append(f'<polyline style="{LOOKS[run["mode"]]}" points="{" ".join(corners)}"/>')
    return (
        f'<path class="axis" d="M{x0},{y0}V{y1}H{x1}"/>' + "".join(lines)
        + f'<text x="{x0}" y="{y0 - 6}">{escape(key)}</text><text x="{x0 - 4}" y="{y0 + 8}" text-anchor="end">{high:.0f}</text>'
        + f'<text x="{x0 - 4}" y="{y1}" text-anchor="end">{low:.0f}</text><text x="{x1}" y="{y1 + 13}" text-anchor="end">{end:.0f} s</text>'
    )  # fmt: skip


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("runs", type=Path)
    ask.add_argument("--page", type=Path, default=DOCS / "search_study.md")
    ask.add_argument("--curves", type=Path, default=DOCS / "search_curves.svg")
    given = ask.parse_args()
    found = runs_in(given.runs)
    given.page.write_text(page(found), encoding="utf-8")
    given.curves.write_text(curves(found), encoding="utf-8")


if __name__ == "__main__":
    main()
