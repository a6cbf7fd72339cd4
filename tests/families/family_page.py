"""The page of families, made from the families themselves: `python tests/families/family_page.py` writes optimizer/docs/families_parameters.md.

Bounds hang on lot and wishes, so one lot and one wish list are taken for all; where a family cannot stand there, that is said.
"""

from __future__ import annotations

from pathlib import Path

from lots import plain, wish

from optimizer.families.catalogue import FAMILIES
from optimizer.families.family import NoPlace

PAGE = Path(__file__).parents[2] / "optimizer" / "docs" / "families_parameters.md"
SITE, WISHES = plain(24.0, 18.0, height_limit_m=10.0), wish("40m", "20m", "10m", tuner="external")
HEAD = """# Families: parameters with their bounds, trimming order, weak point

Made by `python tests/families/family_page.py`, on a lawn of 24 x 18 m with nothing higher than 10 m allowed, 40m, 20m and 10m wished and an external tuner at
hand; bounds move with lot and wishes. Lengths that a trimming step names are trimmed, not searched. What each serves and why: `families.md`.
"""


def page() -> str:
    return "\n".join([HEAD, *(line for family in FAMILIES.values() for line in about(family))])


def about(family) -> list[str]:
    """One family as Markdown lines."""
    lines = [f"## {family.key}: {family.title}", "", f"Weak point: {family.weak_point}", ""]
    try:
        parameters, design = family.parameters(SITE, WISHES), next(family.build(v, SITE, WISHES) for v in family.starts(SITE, WISHES))
    except NoPlace as missed:
        return [*lines, f"Does not stand there: {missed}", ""]
    lines += [f"Serves there: {', '.join(design.serves)}.", "", "| parameter | from | to |", "|---|---|---|"]
    lines += [f"| `{p.name}` | {' / '.join(map(str, p.choices))} | |" if p.choices else f"| `{p.name}` | {p.low:.2f} | {p.high:.2f} |" for p in parameters]
    lines += ["", "Trimming, in this order:" if design.trims else "Not trimmed.", ""]
    lines += [f"{i}. {_step(t)}" for i, t in enumerate(design.trims, start=1)] + ([""] if design.trims else [])
    return lines


def _step(trim) -> str:
    where = "from the ground" if trim.reachable else "not from the ground as it hangs there"
    moves = f"; moves {', '.join(trim.disturbs)} too" if trim.disturbs else ""
    return f"{trim.element} (`{trim.parameter}`) to {trim.target_mhz:.3f} MHz on {trim.band}, {where}{moves}{'; ' + trim.note if trim.note else ''}."


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
