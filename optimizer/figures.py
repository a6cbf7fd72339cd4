"""Raw figures of one design on one wished segment: field, circuit, curve, gain. No weights, no limits.

A few frequencies across the segment are solved; the impedance between them is a rational curve; the circuit from
the port back to the radio is applied to the dense curve. Frequencies are the same for every design with the same
wishes, so ground tables are shared. Gains and efficiency are per watt accepted from the radio and are means over
the segment (of power, not of decibels).
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from .criteria.coverage import covered_share, swr_best_worst
from .criteria.exposure import NOBODY, Watch, Worst, worst_where_people_stay
from .criteria.gain import FAR_ELEVATION_DEG, NEAR_ELEVATION_DEG
from .families.design import Design
from .field.sweep import curve
from .network.endure import Stands, accepted, stands_of
from .network.feedpoint import look
from .parts.choke import held
from .physics.wishes import BandWish
from .wires.model import Ground

HALF_WIDTH_DEG = 20.0
BEFORE_PORT = ("tuner", "line", "transformer")  # where power goes before it reaches the wire


@dataclass(frozen=True, kw_only=True)
class BandFigures:
    """One wished segment.

    `freq_hz`, `swr`: the dense curve at the radio; `solved_hz`, `solved_ohm`: what the solver said at the port,
    ohms as (re, im); `budget`: where a watt from the radio goes, shares that sum to one; `exposure`: the worst point where
    people stay; `stands`: part → power it stands; `choke_share`: of the port's power, what a choke at the feed took off efficiency and gains.
    """

    covered_share: float
    swr_best: float
    swr_worst: float
    efficiency: float
    gain_near_dbi: float
    gain_far_dbi: float
    freq_hz: tuple[float, ...]
    swr: tuple[float, ...]
    solved_hz: tuple[float, ...]
    solved_ohm: tuple[tuple[float, float], ...]
    budget: dict[str, float]
    exposure: Worst = NOBODY
    stands: dict[str, Stands] = field(default_factory=dict)
    choke_share: float = 0.0


def segment_nodes_hz(wish: BandWish, count: int) -> np.ndarray:
    """Frequencies to solve: both edges and evenly between, (count,)."""
    return np.linspace(wish.low_hz, wish.high_hz, count)


def port_solution(design: Design, ground: Ground, freq_hz, key: str = ""):
    """Field solution of the design with its coils and traps in place, and what is switched on the segment `key`."""
    from .field.solver import solve  # compiled code comes with it, which stored figures do without

    return solve(design.structure.wires, (design.port,), held(design.loads_on(key), freq_hz), ground, np.asarray(freq_hz, float))


def band_figures(
    design: Design, ground: Ground, wish: BandWish, *, swr_limit, nodes, dense, patterns, watch: Watch | None = None
) -> BandFigures:
    """Solve one segment at `nodes` frequencies, with `patterns` of them integrated for gain and efficiency.

    `watch`: whom to keep from exposure; None asks nothing.
    """
    solution = port_solution(design, ground, segment_nodes_hz(wish, nodes), wish.key)
    return figures_of(solution, design, wish, swr_limit=swr_limit, dense=dense, patterns=patterns, watch=watch)


def figures_of(
    solution, design: Design, wish: BandWish, *, swr_limit, dense, patterns, watch: Watch | None = None
) -> BandFigures:
    """Figures of a solution whose frequencies reach both edges of the segment, in ascending order."""
    freq, fine = solution.freq_hz, np.linspace(wish.low_hz, wish.high_hz, dense)
    swr = look(fine, curve(freq, solution.z_ohm, fine), design.feed).swr_radio
    seen = look(freq, solution.z_ohm, design.feed)
    best, worst = swr_best_worst(fine, swr, low_hz=wish.low_hz, high_hz=wish.high_hz)
    return BandFigures(
        covered_share=covered_share(fine, swr, low_hz=wish.low_hz, high_hz=wish.high_hz, swr_limit=swr_limit),
        swr_best=best,
        swr_worst=worst,
        freq_hz=tuple(fine.tolist()),
        swr=tuple(np.asarray(swr, float).tolist()),
        solved_hz=tuple(freq.tolist()),
        solved_ohm=tuple((z.real, z.imag) for z in np.asarray(solution.z_ohm).tolist()),
        **_radiated(wish, solution, seen, patterns),
        exposure=_exposure(solution, seen, watch),
        stands=stands_of(solution, seen, design.feed),
    )


def loudest(figures: BandFigures, feed) -> tuple[float, float]:
    """The solved frequency at which most of the radio's power reaches the port [Hz], and the share that does."""
    freq, z = np.array(figures.solved_hz), np.array([complex(*ohm) for ohm in figures.solved_ohm])
    seen = look(freq, z, feed)
    reaches = accepted(seen) * np.asarray(seen.delivered)
    i = int(np.argmax(reaches))
    return float(freq[i]), float(reaches[i])


def with_choke(figures: BandFigures, share: float) -> BandFigures:
    """The same figures with that share of the port's power lost in the choke at the feed."""
    port = {name: part for name, part in figures.budget.items() if name not in BEFORE_PORT}
    budget = figures.budget | {name: (1.0 - share) * part for name, part in port.items()} | {"choke": share * sum(port.values())}
    return replace(
        figures, choke_share=share, budget=budget, efficiency=(1.0 - share) * figures.efficiency,
        gain_near_dbi=figures.gain_near_dbi + _dbi(1.0 - share), gain_far_dbi=figures.gain_far_dbi + _dbi(1.0 - share),
    )  # fmt: skip


def with_limit(figures: BandFigures, wish: BandWish, swr_limit: float) -> BandFigures:
    """The same figures for a radio with another SWR limit; nothing is solved."""
    share = covered_share(
        figures.freq_hz, figures.swr, low_hz=wish.low_hz, high_hz=wish.high_hz, swr_limit=swr_limit
    )
    return replace(figures, covered_share=share)


def _exposure(solution, seen, watch: Watch | None) -> Worst:
    """At the solved frequency that takes most of the radio's power."""
    if watch is None:
        return NOBODY
    reaches = accepted(seen) * np.asarray(seen.delivered)
    i = int(np.argmax(reaches))
    return worst_where_people_stay(solution, i, watch, float(reaches[i]))


def _radiated(wish, solution, seen, patterns) -> dict:
    """Efficiency, gains and loss budget, means over `patterns` of the solved frequencies."""
    at = np.unique(np.linspace(0, len(solution.freq_hz) - 1, patterns + 2)[1:-1].round().astype(int))
    rows = [_per_radio_watt(solution, seen, i, wish.bearing_deg) for i in at]
    mean = {key: float(np.mean([row[key] for row in rows])) for key in ("efficiency", "near", "far")}
    names = sorted({name for row in rows for name in row["budget"]})
    return {
        "efficiency": mean["efficiency"],
        "gain_near_dbi": _dbi(mean["near"]),
        "gain_far_dbi": _dbi(mean["far"]),
        "budget": {n: float(np.mean([row["budget"].get(n, 0.0) for row in rows])) for n in names},
    }


def _per_radio_watt(solution, seen, i: int, bearing_deg) -> dict:
    pattern, delivered = solution.pattern(i), float(np.asarray(seen.delivered)[i])
    toward = {"bearing_deg": bearing_deg, "half_width_deg": HALF_WIDTH_DEG}
    budget = {name: float(np.asarray(share)[i]) for name, share in seen.shares.items()}
    budget |= {name: share * delivered for name, share in solution.loss_shares(i).items()}
    return {
        "efficiency": pattern.efficiency * delivered,
        "near": 10 ** (pattern.gain_mean_dbi(*NEAR_ELEVATION_DEG, **toward) / 10) * delivered,
        "far": 10 ** (pattern.gain_mean_dbi(*FAR_ELEVATION_DEG, **toward) / 10) * delivered,
        "budget": budget,
    }


def _dbi(power_ratio: float) -> float:
    return 10.0 * float(np.log10(max(power_ratio, 1e-12)))
