"""Reading a site: the one door for both survey forms, chosen by the file's suffix."""

from __future__ import annotations

from pathlib import Path

from ..errors import FaultList
from ..physics.documents import parse_json, parse_toml
from .geojson import read_geojson, site_of_map
from .model import Site
from .tape import read_tape, site_of_tape

READERS = {".geojson": read_geojson, ".json": read_geojson, ".toml": read_tape}


def read_site(path) -> Site:
    """The site in a file: `.geojson` (map) or `.toml` (tape survey).

    Raises InputError with every fault found; nothing else escapes for whatever the file holds.
    """
    suffix = Path(path).suffix.lower()
    if suffix not in READERS:
        faults = FaultList(str(path))
        faults.add("file", str(path), "a name that ends in .geojson (map) or .toml (tape survey)")
        faults.raise_if_any()
    return READERS[suffix](path)


def site_of(form: str, content: str, *, stem: str = "site", source: str = "content") -> Site:
    """The site in a text. form: geojson (map) or tape. Raises InputError with every fault found."""
    faults = FaultList(source)
    if form == "geojson":
        return site_of_map(parse_json(content, faults), stem, faults)
    if form == "tape":
        return site_of_tape(parse_toml(content, faults), stem, faults)
    faults.add("form", form, "geojson or tape")
    faults.raise_if_any()
