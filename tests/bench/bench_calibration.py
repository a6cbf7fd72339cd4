"""Does the stated 10 to 90 % band hold? Hidden gardens of another generator, trimmed by the same plan.

    OMP_NUM_THREADS=1 python tests/bench/bench_calibration.py count [first seed] [number of a design ...]
    python tests/bench/bench_calibration.py page [first seed]
    python tests/bench/bench_calibration.py pooled FIRST FIRST ...

`count` prints and keeps the counts (results/calibration/), all designs or those named by number; `page` writes them into optimizer/docs/trimming.md,
`pooled` prints what several counts say together, each with ensembles of its own.
Wanted: 34 to 46 of 50 for each figure (80 %, two standard deviations of a plain count). Marked =: all gardens of an ensemble come to the same figure (a share of
1, say), there is no band to test. Marked ~: in some ensemble the band ends at a share of 0 or 1, only its other side can be missed, up to 45 of 50
are expected. The fifty are drawn together, spread evenly over what their generator draws; those of the page were not looked at before.
"""

import json
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "ensemble"))
import numpy as np
from bench_ensemble import SITES, first_that_stands
from calibration import ENSEMBLES, coverage
from pages import put

from optimizer.families.catalogue import FAMILIES
from optimizer.physics.wish_reader import read_wishes
from optimizer.site.read import read_site
from optimizer.spread import FIGURES, HIGH, LOW, MEMBERS

GARDENS, FIRST = 50, 7000
LEAST, MOST = 34, 46
BANDS = "40m 20m 10m"
DESIGNS = (
    ("end_fed_half_wave_drooped", "terrace.geojson"), ("linked_dipole", "terrace.geojson"), ("end_fed_loaded_tail", "l_shape.geojson"),
    ("end_fed_half_wave_drooped", "l_shape.geojson"), ("trap_dipole", "workshop_yard.toml"),
)  # fmt: skip
KEPT = Path(__file__).parents[2] / "results" / "calibration"


def count(first=str(FIRST), *numbers):
    KEPT.mkdir(parents=True, exist_ok=True)
    for n in [int(n) for n in numbers] or range(len(DESIGNS)):
        key, site_name = DESIGNS[n]
        site, family = read_site(SITES / site_name), FAMILIES[key]
        wishes = read_wishes(BANDS, site)
        found = first_that_stands(family, site, wishes)
        gardens = range(int(first), int(first) + GARDENS)
        got = coverage(site, wishes, family, found.values, gardens, first_ensemble=1 + ENSEMBLES * max(0, (int(first) - FIRST) // 1000))
        kept = {"design": key.replace("_", " "), "site": site.name, "counts": [[*place, *c] for place, c in got.items()]}
        (KEPT / f"{first}-{n}.json").write_text(json.dumps(kept), encoding="utf-8")
        print("\n".join(_rows(kept)), flush=True)


def page(first=str(FIRST)):
    all_kept = _kept(first)
    counts = [c for kept in all_kept for c in kept["counts"] if not c[5]]
    inside = np.array([c[2] for c in counts])
    few, many, chance = sum(inside < LEAST), sum(inside > MOST), _by_chance()
    head = ["design, lot", "band", *(_name(figure) for figure in FIGURES)]
    words = (
        f"Of {len(inside)} figures with a band {len(inside) - few - many} keep {LEAST} to {MOST} (bold: those that do not): {many} are too wide, {few} too narrow. "
        f"The mean is {inside.mean():.1f}, the standard deviation {inside.std():.1f}. Below the band lie {sum(c[3] for c in counts)} results, above it "
        f"{sum(c[4] for c in counts)}. With members and hidden gardens drawn independently by the very same generator the mean would be {chance.mean():.1f}, "
        f"the standard deviation {chance.std():.1f}, and {np.mean((chance < LEAST) | (chance > MOST)) * len(inside):.0f} figures of {len(inside)} outside."
    )
    table = ["| " + " | ".join(head) + " |", "|---" * len(head) + "|", *(row for kept in all_kept for row in _rows(kept))]
    outside = [line for kept in all_kept for line in _outside(kept, chance)]
    put("trimming.md", "coverage", [f"Gardens {first} to {int(first) + GARDENS - 1}.", "", *table, "", words, "", *outside])


def _kept(first) -> list[dict]:
    return [json.loads((KEPT / f"{first}-{n}.json").read_text(encoding="utf-8")) for n in range(len(DESIGNS))]


def pooled(*firsts):
    """Inside of all gardens of the counts, for every fifty; figures without a band in any of them are left out."""
    gardens, inside, out = GARDENS * len(firsts), [], []
    columns = {figure: [] for figure in FIGURES}
    for same in zip(*map(_kept, firsts)):
        for rows in zip(*(kept["counts"] for kept in same)):
            if any(row[5] for row in rows):
                continue
            key, figure = rows[0][:2]
            per_fifty = GARDENS * sum(row[2] for row in rows) / gardens
            inside.append(per_fifty)
            columns[figure].append(per_fifty)
            if not LEAST <= per_fifty <= MOST:
                out.append(f"- {_name(figure)} on {key}, {same[0]['design']}, {same[0]['site']}: {per_fifty:.1f} ({', '.join(str(row[2]) for row in rows)})")
    kept = len(inside) - len(out)
    words = (
        f"Counts of {', '.join(firsts)} and on together, {gardens} gardens and {ENSEMBLES * len(firsts)} ensembles: of {len(inside)} figures {kept} keep {LEAST} to {MOST} of every "
        f"{GARDENS}. Mean {np.mean(inside):.1f}, standard deviation {np.std(inside):.1f}, least {min(inside):.1f}, most {max(inside):.1f}."
    )
    head = ["", *map(_name, FIGURES)]
    means = [f"{np.mean(c):.1f} ({min(c):.1f} to {max(c):.1f}; {len(c)})" for c in columns.values()]
    table = ["| " + " | ".join(head) + " |", "|---" * len(head) + "|", "| " + " | ".join([f"inside, of {GARDENS}: mean (least to most; how many)", *means]) + " |"]
    print("\n".join([words, "", *table, "", *out]))


def _name(figure: str) -> str:
    return figure.replace("_", " ").replace("gain ", "").replace("dbi", "gain")


def _outside(kept, chance) -> list[str]:
    """What does not keep to the bounds, and how often chance alone goes so far."""
    out = []
    for key, figure, inside, below, above, alike, ended in kept["counts"]:
        if alike or LEAST <= inside <= MOST:
            continue
        so_far = np.mean(chance <= inside) if inside < LEAST else np.mean(chance >= inside)
        side = "; the band ends at a share of 0 or 1, so that one side only can be missed" if ended else ""
        out.append(
            f"- {_name(figure)} on {key}, {kept['design']}, {kept['site']}: {inside} inside, {below} below, {above} above{side}. "
            f"A true band comes so far in {100 * so_far:.1f} % of such counts of independent gardens."
        )
    return out


def _rows(kept) -> list[str]:
    """Lines of the table, a band each."""
    keys = dict.fromkeys(c[0] for c in kept["counts"])
    return [f"| {kept['design']}, {kept['site']} | {key} | " + " | ".join(_cell(c) for c in kept["counts"] if c[0] == key) + " |" for key in keys]


def _cell(row) -> str:
    _, _, inside, below, above, alike, ended = row
    mark = f"{inside}" + ("=" if alike else "~" if ended else "")
    bold = "**" if not alike and not LEAST <= inside <= MOST else ""
    return f"{bold}{mark}{bold} ({below}, {above})"


def _by_chance(rounds: int = 200000) -> np.ndarray:
    """Counts inside if nothing but chance is at work and all is drawn independently, (rounds,). The share of a distribution between ranks 2.5 and 22.5
    of 24 is Beta(20, 5) distributed (order statistics of the uniform distribution); each of the ensembles meets as many gardens."""
    rng = np.random.default_rng(1)
    between = (HIGH - LOW) * (MEMBERS + 1)
    shares = rng.beta(between, MEMBERS + 1 - between, (rounds, ENSEMBLES))
    return rng.binomial(GARDENS // ENSEMBLES, shares).sum(axis=1)


if __name__ == "__main__":
    {"count": count, "page": page, "pooled": pooled}[sys.argv[1]](*sys.argv[2:])
