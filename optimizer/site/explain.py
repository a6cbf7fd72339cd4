"""Margins in plain words: what is in the way, and the smallest change that would let it in."""

from __future__ import annotations

RULES = {
    "lot_m": (
        "reaches outside the lot less its setback",
        "move or shorten it; the measure is its reach plus its length outside, {short:.2f} m in all",
    ),
    "height_limit_m": ("stands above the height limit", "lower it, or raise height_limit_m, by {short:.2f} m"),
    "building_m": (
        "comes too near a building or passes through it",
        "keep the wire {short:.2f} m farther off, or lessen that building's clearance_m if it may be nearer",
    ),
    "keep_out_m": ("enters a keep-out", "move it; it is {short:.2f} m into the keep-out"),
    "tree_m": ("passes through a tree's crown", "move the wire {short:.2f} m away from the crown, or above it"),
    "overhead_power_m": (
        "could come down on an overhead power line",
        "move it {short:.2f} m away from the line, or shorten mast or wire by as much; nothing relaxes this rule",
    ),
    "overhead_telecom_m": ("comes too near an overhead telecom line", "keep it {short:.2f} m farther off"),
    "mast_spot_m": (
        "needs a mast where none may stand",
        "move the mast {short:.2f} m, or survey another mast_spot there",
    ),
    "wire_height_m": ("has a wire in or on the ground", "raise the lowest point of the wire by {short:.2f} m"),
}


def names(limit: str) -> str:
    """A rule's breach in plain words, e.g. 'stands above the height limit'."""
    return RULES[limit][0] if limit in RULES else limit


def smallest_change(limit: str, margin_m: float) -> str:
    """What would meet the rule, in plain words; empty where it is met."""
    if margin_m >= 0.0 or limit not in RULES:
        return ""
    return RULES[limit][1].format(short=-margin_m)


def explain(margins: dict[str, float]) -> list[str]:
    """One sentence for every rule that is not met, the worst first."""
    missed = sorted((value, limit) for limit, value in margins.items() if value < 0.0)
    return [f"It {names(limit)} ({value:.2f} m): {smallest_change(limit, value)}." for value, limit in missed]
