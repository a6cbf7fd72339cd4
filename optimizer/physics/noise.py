"""Noise that comes in from outside, by the kind of place.

    Fam = c - d log10(f / MHz)          median man-made noise over k T0 B [dB], for a short vertical aerial over perfect ground
    Pn  = Fam - 174 + 10 log10(B / Hz)  noise power in a bandwidth [dBm], k T0 = -174 dBm/Hz at 290 K

ITU-R P.372, part 5 (man-made noise); constants in `tables/noise.csv`. Valid 0.3 to 250 MHz (quiet rural and galactic: from 0.3 and from
the critical frequency up). Medians in time and place: one house's noise may be twenty decibels off.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from .tables import number, read_table

KT0_DBM_PER_HZ = -174.0
COLUMNS = ("place", "c_db", "d_db", "upper_decile_db", "lower_decile_db", "source", "note")


@dataclass(frozen=True, kw_only=True)
class Place:
    """A kind of place; deciles: how far above and below the median one hour in ten lies, None where the table has none."""

    name: str
    c_db: float
    d_db: float
    deciles_db: tuple[float, float] | None

    def figure_db(self, freq_hz):
        """Median external noise figure [dB over k T0 B]."""
        return self.c_db - self.d_db * np.log10(np.asarray(freq_hz, float) / 1e6)

    def power_dbm(self, freq_hz, bandwidth_hz: float):
        """Median noise power in a bandwidth, for an aerial without loss [dBm]."""
        return self.figure_db(freq_hz) + KT0_DBM_PER_HZ + 10.0 * np.log10(bandwidth_hz)


@lru_cache(maxsize=1)
def places() -> dict[str, Place]:
    """All kinds of place by name."""
    return {row["place"]: _place(row) for row in read_table("noise.csv", columns=COLUMNS, key=("place",), may_be_empty=("upper_decile_db", "lower_decile_db", "note"))}


def _place(row) -> Place:
    deciles = (number(row, "upper_decile_db"), number(row, "lower_decile_db")) if row["upper_decile_db"] else None
    return Place(name=row["place"], c_db=number(row, "c_db"), d_db=number(row, "d_db"), deciles_db=deciles)
