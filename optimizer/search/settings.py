"""What a run may spend and how: settings, progress and results of a search. Frozen records."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from ..criteria.weights import DEFAULT, Weights
from ..evaluate import COARSE, FULL, Evaluation, Storey
from ..safety import Safety
from ..spread import MEMBERS


@dataclass(frozen=True, kw_only=True)
class SearchSettings:
    """`seconds` or `trials` (solved candidates) end the search, whichever comes first where both are given.

    `ledger`: database URL or file of finished evaluations, None keeps them in memory. `cluster`: address of a running
    cluster that works instead of `workers` processes here. `rows` in the table, at most `rows_per_family` of one family. `members`: gardens in which leaders are built and trimmed, 0 none;
    `garden_weights`: what readings at the site taught of them. Same seed, trials and one worker: same table.
    """

    seconds: float | None = None
    trials: int | None = None
    seed: int = 1
    workers: int = 1
    sampler: str = "surface"
    ledger: str | Path | None = None
    cluster: str | None = None
    rows: int = 10
    rows_per_family: int = 3
    coarse: Storey = COARSE
    full: Storey = FULL
    members: int = MEMBERS
    weights: Weights = field(default_factory=Weights)
    garden_weights: tuple[float, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Progress:
    """A moment of a search. `left_s`: estimate of the time left; `best`: score of the best so far; `leaders()`: the table's rows so far."""

    tried: int
    rejected: int
    reused: int
    best: float | None
    best_title: str
    elapsed_s: float
    left_s: float | None
    share: float
    stage: str
    leaders: Callable[[], list[Evaluation]] = list


@dataclass(frozen=True, kw_only=True)
class RankResult:
    """The table, best first, and what it takes to judge the run.

    `rejected`: family key → why none of it is offered. `tried` candidates were solved or taken from the
    ledger (`reused` of them), `ruled_out` missed a hard limit before any solve, `failed` broke down (reasons). `safety`: one a row. `weights`: what the
    scores were made with; `note`: what had to be mended in the store.
    """

    rows: tuple[Evaluation, ...]
    rejected: dict[str, str]
    relaxations: tuple[str, ...]
    tried: int
    reused: int
    ruled_out: int
    failed: dict[str, int]
    elapsed_s: float
    interrupted: bool
    versions: dict[str, str]
    safety: tuple[Safety, ...] = ()
    weights: Weights = DEFAULT
    note: str = ""
