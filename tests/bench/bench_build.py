"""Time of one `build()` of every family, and of one rejection: `python tests/bench/bench_build.py`.

Microseconds of this thread's own processor time, the least of some rounds for each set of values (a loaded machine only adds), then the
median over the values: the families' starts for what builds, evenly drawn values for what is rejected. The "at once" column
counts only rejections over limits that the values and the lot's size show: mast height, height limit, lot, wire length, apex angle.
"""

import platform
import sys
from pathlib import Path
from statistics import median
from time import thread_time

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "families"))
from lots import garden, l_shaped, plain, wish  # noqa: E402

from optimizer.families.catalogue import FAMILIES  # noqa: E402
from optimizer.families.family import NoPlace  # noqa: E402

LOTS = {"plain": plain(), "garden": garden(), "l_shaped": l_shaped(), "large": plain(40.0, 30.0, height_limit_m=12.0)}
WISHES = (wish("40m", "20m", "10m"), wish("80m", "40m", "15m", tuner="external"), wish("20m"))
AT_ONCE = ("mast height", "height limit", "lot", "wire length", "apex angle")
ROUNDS, CALLS, DRAWN = 5, 20, 60


def drawn(parameters, rng):
    return {p.name: p.choices[rng.integers(len(p.choices))] if p.choices else float(rng.uniform(p.low, p.high)) for p in parameters}


def microseconds(build):
    def once():
        begun = thread_time()
        for _ in range(CALLS):
            try:
                build()
            except NoPlace:
                pass
        return (thread_time() - begun) / CALLS * 1e6

    return min(once() for _ in range(ROUNDS))


def tried(family, site, wishes):
    """(limit or "", microseconds) of the starts and of drawn values."""
    rng = np.random.default_rng(1)
    parameters = family.parameters(site, wishes)
    for values in [*family.starts(site, wishes)][:4] + [drawn(parameters, rng) for _ in range(DRAWN // 10)]:
        try:
            family.build(values, site, wishes)
            limit = ""
        except NoPlace as missed:
            limit = missed.limit
        yield limit, microseconds(lambda: family.build(values, site, wishes))  # noqa: B023


def measured(family):
    found = []
    for site in LOTS.values():
        for wishes in WISHES:
            try:
                if family.serves(wishes):
                    found += tried(family, site, wishes)
            except NoPlace:
                continue
    return found


def middle(times):
    return f"{median(times):7.0f}" if times else "      -"


def main():
    print(platform.machine(), "Python", platform.python_version(), f"- a plain loop of 1000 sums: {microseconds(lambda: [sum((i, 1)) for i in range(1000)]):.0f} us")
    print(f"{'family':28}{'builds':>8}{'rejects':>9}{'at once':>9}   microseconds, median; slowest rejections")
    for key in sys.argv[1:] or FAMILIES:
        found = measured(FAMILIES[key])
        built = [t for limit, t in found if not limit]
        missed = [(t, limit) for limit, t in found if limit]
        at_once = [t for t, limit in missed if limit in AT_ONCE]
        worst = {limit: round(t) for t, limit in sorted(missed)}
        print(f"{key:28}{middle(built):>8}{middle([t for t, _ in missed]):>9}{middle(at_once):>9}   {worst}")


if __name__ == "__main__":
    main()
