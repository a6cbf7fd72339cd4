"""What the ranking does when each weight is halved or doubled, on the ten lots. Writes the page optimizer/docs/weights_study.md.

    python tests/bench/bench_weights.py LEDGERS [--lots terrace wedge] [--trials 60] [--members 12] [--page FILE]

First every lot is searched once, its work kept in LEDGERS (what is there is not done again); then all that is stored is judged again under
each set of weights, without a solve. Rows that were not built in gardens do not feel `ease` and `quantile`.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from itertools import combinations
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
from lots import ROOT, lots, problem

from optimizer.criteria.weights import DEFAULT, Weights
from optimizer.errors import NothingFits
from optimizer.search.again import rank_again
from optimizer.search.rank import rank_site
from optimizer.search.settings import SearchSettings

PAGE = ROOT / "optimizer" / "docs" / "weights_study.md"
FACTORS = (0.5, 2.0)


def changed() -> list[tuple[str, float, Weights]]:
    """Each weight halved and doubled alone; a double beyond what is allowed is cut there."""
    out = []
    for name, value in vars(DEFAULT).items():
        for factor in FACTORS:
            most = 1.0 - (DEFAULT.gain if name == "efficiency" else DEFAULT.efficiency if name == "gain" else 0.0)
            out.append((name, factor, replace(DEFAULT, **{name: min(most, factor * value)})))
    return out


def marks(result) -> list[tuple]:
    """What makes a row the same one under other weights."""
    return [(row.family, tuple(sorted((k, str(v)) for k, v in row.values.items()))) for row in result.rows]


def compared(before: list, after: list) -> dict:
    """`first`: same winner; `first_kind`: same kind of wire first; `stayed`: share of the old rows still there; `turned`: share of pairs of common rows whose order turned."""
    common = [m for m in before if m in after]
    pairs = list(combinations(common, 2))
    turned = sum(after.index(a) > after.index(b) for a, b in pairs)
    return {
        "first": before[0] == after[0], "first_kind": before[0][0] == after[0][0], "stayed": len(common) / len(before),
        "turned": turned / len(pairs) if pairs else 0.0,
    }  # fmt: skip


def searched(key: str, folder: Path, trials: int, members: int):
    """(site, wishes, settings) of a lot whose work is in the folder."""
    site, wishes = problem(key)
    settings = SearchSettings(trials=trials, seed=1, workers=1, members=members, ledger=folder / f"{key}.sqlite")
    if not (folder / f"{key}.done").exists():
        try:
            rank_site(site, wishes, settings)
        except NothingFits:
            print(f"{key}: nothing fits", flush=True)
        (folder / f"{key}.done").touch()
    return site, wishes, settings


def study(key: str, folder: Path, trials: int, members: int) -> dict:
    site, wishes, settings = searched(key, folder, trials, members)
    base = rank_again(site, wishes, settings, {})
    if not base.rows:
        return {}
    found = {}
    for name, factor, weights in changed():
        again = rank_again(site, wishes, replace(settings, weights=weights), {})
        found[name, factor] = compared(marks(base), marks(again)) | {"winner": again.rows[0].design.title}
    return {"winner": base.rows[0].design.title, "rows": len(base.rows), "judged": base.reused, "changes": found}


def page(studies: dict[str, dict], trials: int, members: int) -> str:
    """The page in Markdown."""
    told = {k: s for k, s in studies.items() if s}
    lines = [
        "# What the weights do", "",
        f"Made by `tests/bench/bench_weights.py`: {len(told)} lots of `tests/bench/lots.toml`, each searched with {trials} designs (seed 1, one worker, the leaders",
        f"in {members} gardens); all stored work was then judged again with one weight halved or doubled. No solve is needed for that.", "",
        "## How the defaults were chosen", "",
        "By what an operator is worth to himself, without a source (`criteria/weights.py` says so): a band that matches is half of its worth, the other half is",
        "being heard, shared evenly between power that reaches the sky and where it goes; cost nudges between equals; handwork at a change of band weighs more than",
        "cost, trouble with trimming less; three gardens of four must reach the score. The table shows how much hangs on each choice.", "",
        "| weight | from | to | same design first | same kind first | rows that stayed | pairs turned |", "|---|---|---|---|---|---|---|",
    ]  # fmt: skip
    for name, factor, weights in changed():
        all_ = [s["changes"][name, factor] for s in told.values()]
        share = {c: sum(a[c] for a in all_) / len(all_) for c in ("first", "first_kind", "stayed", "turned")}
        lines.append(
            f"| {name} | {getattr(DEFAULT, name):g} | {getattr(weights, name):g} | {sum(a['first'] for a in all_)} of {len(all_)} |"
            f" {sum(a['first_kind'] for a in all_)} of {len(all_)} | {100 * share['stayed']:.0f} % | {100 * share['turned']:.0f} % |"
        )
    lines += ["", "Rows and pairs are means over the lots. Who comes first by default, and whom a changed weight puts first instead:", ""]
    lines += ["| lot | judged | rows | first | another first with |", "|---|---|---|---|---|"]
    for key, s in told.items():
        others = [f"{n} × {f:g}: {c['winner']}" for (n, f), c in s["changes"].items() if not c["first_kind"]]
        lines.append(f"| {key} | {s['judged']} | {s['rows']} | {s['winner']} | {'; '.join(others) or 'none'} |")
    return "\n".join(lines) + "\n"


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("ledgers", type=Path)
    ask.add_argument("--lots", nargs="+", default=list(lots()))
    ask.add_argument("--trials", type=int, default=60)
    ask.add_argument("--members", type=int, default=12)
    ask.add_argument("--page", type=Path, default=PAGE)
    given = ask.parse_args()
    given.ledgers.mkdir(parents=True, exist_ok=True)
    studies = {}
    for key in given.lots:
        studies[key] = study(key, given.ledgers, given.trials, given.members)
        print(key, studies[key].get("winner", "nothing fits"), flush=True)
    given.page.write_text(page(studies, given.trials, given.members), encoding="utf-8")


if __name__ == "__main__":
    main()
