"""Amateur allocations and their customary segments from 1.8 to 54 MHz.

The table `tables/bands.csv` holds, for each ITU region and for some countries, the allocated ranges of every band
and the
segments for Morse, digital and voice, with source and standing of each row. A country's ranges replace its region's
(a band the country does not have is gone); segments are the country's where it has its own, else the region's,
cut to what is allocated. Countries not in the table get their region's ranges: local rules decide.
Frequencies are in kHz in the table, in Hz everywhere else.
Validity: allocations change; rows marked `from memory` were not confirmed. Sources: row by row.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from .tables import number, read_table

BAND_NAMES = ("160m", "80m", "60m", "40m", "30m", "20m", "17m", "15m", "12m", "10m", "6m")
SEGMENTS = ("morse", "digital", "voice", "all")
COLUMNS = ("scope", "band", "segment", "low_khz", "high_khz", "source", "status", "note")
COUNTRY_COLUMNS = ("code", "itu_region", "other_names", "source", "note")

Range = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Band:
    """One band as allocated. `allocations_hz[0]` is its widest range, which is also the segment `all`."""

    name: str
    allocations_hz: tuple[Range, ...]
    segments_hz: dict[str, Range]
    source: str
    status: str  # published, or from memory
    note: str = ""

    def holds(self, low_hz: float, high_hz: float) -> bool:
        """Whether a range lies within one allocated range."""
        return any(low <= low_hz and high_hz <= high for low, high in self.allocations_hz)


@lru_cache(maxsize=1)
def _rows() -> dict[tuple[str, str, str], list[dict]]:
    """(scope, band, segment) → rows, in file order."""
    found: dict[tuple[str, str, str], list[dict]] = {}
    key = ("scope", "band", "segment", "low_khz")
    for row in read_table("bands.csv", columns=COLUMNS, key=key, may_be_empty=("note",)):
        found.setdefault((row["scope"], row["band"], row["segment"]), []).append(row)
    return found


@lru_cache(maxsize=1)
def countries() -> dict[str, tuple[str, int]]:
    """Code or other name, in small letters → (ISO 3166-1 code, ITU region)."""
    rows = read_table("countries.csv", columns=COUNTRY_COLUMNS, key=("code",), may_be_empty=("note", "other_names"))
    return {
        name.lower(): (r["code"], int(number(r, "itu_region")))
        for r in rows
        for name in (r["code"], *r["other_names"].split("|"))
    }


def country_code(country: str | None) -> str | None:
    """ISO code of a country in the table, None for any other."""
    return countries().get(str(country).strip().lower(), (None, 0))[0]


@lru_cache(maxsize=64)
def band_table(region: int, country: str | None = None) -> dict[str, Band]:
    """Band name → `Band` for an ITU region (1, 2, 3) and, where the table knows it, a country, longest wave first."""
    if region not in (1, 2, 3):
        raise ValueError(f"ITU region is {region!r}, need 1, 2 or 3")
    code = country_code(country)
    bands = (_band(name, f"region {region}", code) for name in BAND_NAMES)
    return {band.name: band for band in bands if band is not None}


def band_of(freq_hz: float, region: int, country: str | None = None) -> str | None:
    """Name of the band in which a frequency is allocated, or None."""
    for band in band_table(region, country).values():
        if band.holds(freq_hz, freq_hz):
            return band.name
    return None


def _band(name: str, region: str, code: str | None) -> Band | None:
    rows = _rows().get((code or region, name, "allocation"))
    if not rows:
        return None
    allocations = tuple(sorted((_range(r) for r in rows), key=lambda a: a[0] - a[1]))
    segments = {"all": allocations[0]}
    for segment in SEGMENTS[:-1]:
        wished = _rows().get((code, name, segment)) or _rows().get((region, name, segment))
        cut = _cut(_range(wished[0]), allocations) if wished else None
        if cut is not None:
            segments[segment] = cut
    first = rows[0]
    return Band(
        name=name,
        allocations_hz=allocations,
        segments_hz=segments,
        source=first["source"],
        status=first["status"],
        note=first["note"],
    )


def _range(row) -> Range:
    return round(number(row, "low_khz") * 1e3, 3), round(number(row, "high_khz") * 1e3, 3)


def _cut(segment: Range, allocations) -> Range | None:
    """The widest part of a segment that is allocated, or None."""
    parts = [(max(segment[0], low), min(segment[1], high)) for low, high in allocations]
    widest = max(parts, key=lambda p: p[1] - p[0])
    return widest if widest[1] > widest[0] else None
