"""From a design on its site to the document: everything on the sheet, nothing of its looks."""

from __future__ import annotations

from ..report.notes import HONEST_NOTE
from ..report.stale import mark_of
from .annex import annex_sections
from .built import Built
from .cuts import cuts_of
from .garden import garden_sections
from .model import Document
from .places import places_of, tapes_of
from .readings import expected
from .solved import solved_bands
from .units import Units
from .zone import zone_of


def document(built: Built, units: Units) -> Document:
    """The whole sheet. Solves the design's wires a few times: seconds, not minutes."""
    content = built.content
    readings = expected(built)
    garden = garden_sections(built, tapes_of(built, places_of(built)), cuts_of(built), readings, units, zone_of(content))
    return Document(
        title=built.title,
        lead=f"{built.site.name}, rank {content['rank']}: {units.words(content.get('needs', ''))}. {content['cost']:.2f} {content['currency']}.",
        note=HONEST_NOTE[0].upper() + HONEST_NOTE[1:] + ".",
        made_with=content.get("made_with", ""),
        sections=(*garden, *annex_sections(built, solved_bands(built), readings, units)),
        mark=mark_of(content),
    )
