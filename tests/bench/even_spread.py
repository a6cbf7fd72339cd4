"""What even spreading does for a 10 to 90 % band of 24 members: its coverage of a sum of so many even unknowns, by mean and standard deviation
over ensembles. No field is solved. Writes into optimizer/docs/trimming.md.

    python tests/bench/even_spread.py
"""

import warnings

import numpy as np
from pages import put
from scipy.stats import qmc

from optimizer.ensemble.draws import places
from optimizer.spread import MEMBERS, edges

UNKNOWNS, ENSEMBLES, TRUTH = (1, 2, 3, 10), 1000, 20000


def covered(members: np.ndarray, truth: np.ndarray) -> float:
    """Share of the truth between the edges of the band of these members."""
    low, high = (end[0] for end in edges([[v] for v in members]))
    return float(np.mean((truth >= low) & (truth <= high)))


def main():
    rng = np.random.default_rng(1)
    ways = {
        "independent": lambda seed, count: rng.random((MEMBERS, count)),
        "evenly spread": lambda seed, count: np.array([places(seed, f"unknown {n} of {count}", MEMBERS) for n in range(count)]).T,
        "scrambled Sobol points": lambda seed, count: qmc.Sobol(d=count, rng=seed).random(MEMBERS),
    }
    lines = ["| members | " + " | ".join(f"{count} unknown{'s' * (count > 1)}" for count in UNKNOWNS) + " |", "|---" * (1 + len(UNKNOWNS)) + "|"]
    for name, draw in ways.items():
        cells = []
        for count in UNKNOWNS:
            truth = rng.random((TRUTH, count)).sum(axis=1)
            shares = [covered(draw(seed, count).sum(axis=1), truth) for seed in range(ENSEMBLES)]
            cells.append(f"{100 * np.mean(shares):.1f} ± {100 * np.std(shares):.1f} %")
        lines.append(f"| {name} | " + " | ".join(cells) + " |")
        print(lines[-1], flush=True)
    put("trimming.md", "even", lines)


if __name__ == "__main__":
    warnings.simplefilter("ignore")  # 24 is no power of two
    main()
