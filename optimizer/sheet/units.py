"""Lengths in words, metric or imperial. SI inside; this is the edge where they are printed.

    1 ft = 0.3048 m exactly, 1 in = 0.0254 m exactly. Source: NIST Special Publication 811, 2008 edition, appendix B.8.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from ..errors import FaultList

FOOT_M = 0.3048
INCH_M = 0.0254
LEAST_FOR_FEET_M = 3.0
SYSTEMS = ("metric", "imperial")
_NUMBER_UNIT = re.compile(r"(?<![\d.(])(\d+(?:\.\d+)?) (mm|m)(?![\w²/])")

_TWO_MM = re.compile(r"(\d+(?:\.\d+)?) × (\d+(?:\.\d+)?) mm\b")


@dataclass(frozen=True)
class Units:
    """How lengths are written; `system` is metric or imperial."""

    system: str = "metric"

    def __post_init__(self):
        faults = FaultList("option")
        if self.system not in SYSTEMS:
            faults.add("--units", self.system, " or ".join(SYSTEMS))
        faults.raise_if_any()

    @property
    def imperial(self) -> bool:
        return self.system == "imperial"

    def length(self, metres: float) -> str:
        """A length to cut or measure: to 1 cm, or to 1/8 inch."""
        return feet_inches(metres, 8) if self.imperial else f"{metres:.2f} m"

    def height(self, metres: float) -> str:
        """A height or distance to set out: to 1 dm, or to the inch."""
        return feet_inches(metres, 1) if self.imperial else f"{round(metres, 1) + 0.0:.1f} m"  # never -0.0

    def small(self, metres: float, digits: int = 1) -> str:
        """The size of a part: millimetres, or inches to a hundredth."""
        return f"{metres / INCH_M:.2f} in" if self.imperial else f"{metres * 1e3:.{digits}f} mm"

    def cut(self, metres: float) -> str:
        """A few centimetres of wire."""
        return f"{metres / INCH_M:.1f} in" if self.imperial else f"{metres * 100:.1f} cm"

    def signed_cut(self, metres: float) -> str:
        """A few centimetres more or less."""
        return ("+" if metres >= 0 else "−") + self.cut(abs(metres))

    def slope(self, hz_per_m: float) -> str:
        """How far a cut moves a frequency."""
        step, name = (INCH_M, "in") if self.imperial else (0.01, "cm")
        khz = abs(hz_per_m) * step / 1e3
        return f"{khz:.{0 if khz >= 10 else 1}f} kHz per {name}"

    def words(self, text: str) -> str:
        """A text whose lengths are metric ("0.40 m", "61 mm"), with the lengths in this system; those in brackets stay."""
        if not self.imperial:
            return text
        text = _TWO_MM.sub(r"\1 mm × \2 mm", text)
        return _NUMBER_UNIT.sub(lambda m: self._converted(m[1], m[2]), text)

    def _converted(self, number: str, unit: str) -> str:
        """No finer than the text had it: whole metres to the foot (short ones to the inch), decimetres to the inch, centimetres to 1/8 inch."""
        value, digits = float(number), len(number.partition(".")[2])
        if unit == "mm":
            return self.small(value / 1e3)
        if digits == 0 and value >= LEAST_FOR_FEET_M:
            return f"{value / FOOT_M:.0f} ft"
        return feet_inches(value, 1 if digits < 2 else 8)


def feet_inches(metres: float, parts_of_inch: int) -> str:
    """Feet, inches and a fraction of an inch, rounded to 1/`parts_of_inch`: 3.05 m → "10 ft 0 1/8 in"."""
    ticks = round(abs(metres) / INCH_M * parts_of_inch)
    feet, left = divmod(ticks, 12 * parts_of_inch)
    whole, rest = divmod(left, parts_of_inch)
    fraction = f" {Fraction(rest, parts_of_inch)}" if rest else ""
    sign = "-" if metres < 0 and ticks else ""
    return f"{sign}{f'{feet} ft ' if feet else ''}{whole}{fraction} in"


def nice_step(span: float, count: int = 5) -> float:
    """A round step of 1, 2 or 5 times a power of ten that divides `span` into about `count` parts."""
    rough = span / count
    power = 10.0 ** math.floor(math.log10(rough))
    return next(s * power for s in (1, 2, 5, 10) if rough <= s * power * 1.0001)
