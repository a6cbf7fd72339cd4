"""The candidate generator: which families can serve a wish on a lot, and why the others cannot."""

from __future__ import annotations

from ..site.model import Site
from .catalogue import FAMILIES
from .family import Family, NoPlace, Parameter


def survey(site: Site, wishes) -> tuple[list[tuple[Family, tuple[Parameter, ...]]], dict[str, str]]:
    """Usable families with their parameters on that lot, and for the rest: family key -> reason."""
    usable, reasons = [], {}
    for family in FAMILIES.values():
        if not family.serves(wishes):
            reasons[family.key] = "serves none of the wished bands"
            continue
        try:
            usable.append((family, tuple(family.parameters(site, wishes))))
        except NoPlace as missed:
            reasons[family.key] = str(missed)
    return usable, reasons


def candidates(site: Site, wishes) -> list[tuple[Family, tuple[Parameter, ...]]]:
    """Families that can serve the wish on that lot, with their parameters."""
    return survey(site, wishes)[0]


def reasons(site: Site, wishes) -> dict[str, str]:
    """Family key -> why it cannot serve the wish there."""
    return survey(site, wishes)[1]
