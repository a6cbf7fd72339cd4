"""What a service may be asked for, and where it keeps things. Frozen records; defaults suit one household."""

from __future__ import annotations

import os
from dataclasses import dataclass, field
from pathlib import Path


@dataclass(frozen=True, kw_only=True)
class Limits:
    """Bounds on every input and every user."""

    body_bytes: int = 1_000_000
    sites: int = 200
    runs: int = 500
    waiting_runs: int = 20
    seconds: float = 3600.0
    trials: int = 100_000
    wall_s: float = 2 * 3600.0  # of one run, whatever it was asked for
    page_items: int = 100
    readings: int = 500
    streams: int = 100  # open event streams of one user
    requests_per_s: float = 100.0  # of one user, on average
    requests_at_once: int = 1000  # and in a burst
    wrong_tokens_per_s: float = 1.0  # of one address
    wrong_tokens_at_once: int = 10


@dataclass(frozen=True, kw_only=True)
class ServiceSettings:
    """`home`: folder of results; `store`: SQLAlchemy URL, None is a file in `home`. `tokens`: SHA-256 of a token → user, empty on loopback.

    `at_once`: runs that work at a time, `cores`: processes they share, or a `cluster`'s address. `loopback`: only names of this machine are answered.
    `compiles_ahead`: what the first search after an installation would wait for is begun at the start.
    """

    home: Path
    store: str | None = None
    tokens: dict[str, str] = field(default_factory=dict)
    loopback: bool = True
    at_once: int = 2
    cores: int = os.cpu_count() or 1
    cluster: str | None = None
    compiles_ahead: bool = False
    limits: Limits = Limits()

    @property
    def store_url(self) -> str:
        return self.store or f"sqlite:///{self.home / 'store.sqlite'}"
