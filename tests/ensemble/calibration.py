"""How often a hidden garden's trimmed result falls inside the stated 10 to 90 % band, figure by figure.

A band from 24 members is itself drawn, and so are the gardens hidden from it: with both drawn independently one ensemble's coverage scatters by 8 per
cent about the truth, on top of the hidden gardens' own scatter. So the members of an ensemble and the set of hidden gardens are each spread evenly over
their own unknowns, and the hidden gardens are shared out among `ENSEMBLES` ensembles of other seeds, each carrying out its own plan.
"""

from hidden_gardens import hidden_garden

from optimizer.ensemble.growth import grown_in
from optimizer.ensemble.spread import in_gardens, summary
from optimizer.spread import FIGURES

ENSEMBLES = 10
SHARES = ("covered_share", "efficiency")


def coverage(site, wishes, family, values, seeds, *, first_ensemble=1):
    """{(key, figure): [inside, below, above, ensembles without a band, ensembles whose band ends at a share of 0 or 1, beyond which
    nothing can be]}; a value at an edge of the band is inside. `seeds`: a range from a multiple of its length, gardens drawn together; `first_ensemble`: seed of the first."""
    assert seeds.start % len(seeds) == 0, seeds
    count = {(w.key, name): [0, 0, 0, 0, 0] for w in wishes.bands for name in FIGURES}
    for nth in range(ENSEMBLES):
        ready, outcomes = in_gardens(site, wishes, family, values, seed=first_ensemble + nth)
        spread = summary(ready, outcomes)
        bands = {place: spread.band(*place) for place in count}
        for place, (low, high) in bands.items():
            count[place][3] += high - low < 1e-9
            count[place][4] += place[1] in SHARES and (low < 1e-9 or high > 1.0 - 1e-9)
        for n in seeds[nth::ENSEMBLES]:
            figures = grown_in(hidden_garden(site, n, among=len(seeds)), ready, wishes).figures
            for place, (low, high) in bands.items():
                value = getattr(figures[place[0]], place[1])
                count[place][1 if value < low - 1e-9 else 2 if value > high + 1e-9 else 0] += 1
    return count
