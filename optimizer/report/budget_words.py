"""Where a watt from the radio goes, part by part in plain words, in the order it passes them; sums to one."""

from __future__ import annotations

from ..parts.choke import Choke
from ..physics.elements import Capacitor, Coil, Trap

KINDS = ((Trap, "traps"), (Coil, "coils"), (Capacitor, "capacitors"), (Choke, "choke"))
ORDER = ("tuner", "line", "transformer", "choke", "coils", "traps", "capacitors", "other loads", "wire", "soil", "sky")


def plain_budget(design, key: str, budget: dict[str, float]) -> dict[str, float]:
    """Shares by part; parts that the design does not have are left out."""
    loads = design.loads_on(key)
    found: dict[str, float] = {}
    for name, share in budget.items():
        word = _kind(loads[int(name.removeprefix("load "))].element) if name.startswith("load ") else name
        found[word] = found.get(word, 0.0) + share
    absent = {name for name, there in (("tuner", design.feed.tuner), ("transformer", design.feed.transformer)) if not there}
    return {name: found[name] for name in ORDER if name in found and name not in absent}


def _kind(element) -> str:
    return next((name for kind, name in KINDS if isinstance(element, kind)), "other loads")
