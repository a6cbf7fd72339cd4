"""Typed fields out of a table a person wrote, with every fault kept.

`Fields` wraps one mapping of a file (or the options of a command) and the prefix the user knows it by.
Each getter returns the checked value, or its default when the key is absent or wrong; what is wrong goes
to the shared `FaultList`. `finish` reports the keys nobody asked for, with the nearest known spelling.
"""

from __future__ import annotations

import difflib
import math
from dataclasses import dataclass, field

from ..errors import FaultList

REQUIRED = object()


def near_spelling(word: str, known) -> str:
    """'did you mean …?' for the nearest of `known`, or an empty text."""
    close = difflib.get_close_matches(str(word)[:64], [str(k) for k in known], n=1, cutoff=0.6)
    return f"did you mean {close[0]}?" if close else ""


def as_number(value) -> float | None:
    """A finite float, or None for anything else (booleans, text, NaN and infinity included)."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return None
    try:
        number = float(value)
    except OverflowError:
        return None
    return number if math.isfinite(number) else None


def clean_text(value) -> bool:
    """True for a text of one line that can be printed and stored anywhere."""
    return isinstance(value, str) and bool(value.strip()) and len(value) <= 200 and value.isprintable()


def number_hint(value) -> str:
    if isinstance(value, bool):
        return "true and false are not numbers"
    if isinstance(value, str):
        return "write the number without quotes and with a decimal point"
    return ""


@dataclass
class Fields:
    """One mapping the user wrote. `prefix`: how the user would point at it, e.g. `features[3].properties`."""

    values: dict
    prefix: str
    faults: FaultList
    asked: set = field(default_factory=set)

    def name(self, key: str) -> str:
        return f"{self.prefix}.{key}" if self.prefix else key

    def wrong(self, key: str, allowed: str, hint: str = "") -> None:
        self.faults.add(self.name(key), self.values.get(key), allowed, hint)

    def _take(self, key: str, default, allowed: str):
        """(present, value); a missing required key is reported."""
        self.asked.add(key)
        if key in self.values:
            return True, self.values[key]
        if default is REQUIRED:
            self.faults.add(self.name(key), "nothing", allowed, "this one has no default")
        return False, None if default is REQUIRED else default

    def number(self, key, *, low=None, high=None, above=None, default=REQUIRED, unit="") -> float | None:
        """A finite number within low..high (inclusive) or above `above`; None when missing or wrong."""
        allowed = _range_text(low, high, above, unit)
        present, value = self._take(key, default, allowed)
        if not present:
            return value
        number = as_number(value)
        bad = number is None or (low is not None and number < low) or (high is not None and number > high)
        if bad or (above is not None and number <= above):
            self.wrong(key, allowed, number_hint(value))
            return None if default is REQUIRED else default
        return number

    def text(self, key, *, default=REQUIRED, allowed="a text of one line, at most 200 characters") -> str | None:
        present, value = self._take(key, default, allowed)
        if present and not clean_text(value):
            self.wrong(key, allowed)
            return None if default is REQUIRED else default
        return value.strip() if present else value

    def word(self, key, known, *, default=REQUIRED) -> str | None:
        """One of the words `known`."""
        allowed = "one of " + ", ".join(known)
        present, value = self._take(key, default, allowed)
        if present and (not isinstance(value, str) or value not in known):
            self.wrong(key, allowed, near_spelling(value, known) if isinstance(value, str) else "")
            return None if default is REQUIRED else default
        return value

    def flag(self, key, *, default=REQUIRED) -> bool | None:
        present, value = self._take(key, default, "true or false")
        if present and not isinstance(value, bool):
            self.wrong(key, "true or false")
            return None if default is REQUIRED else default
        return value

    def finish(self, free=()) -> None:
        """Report every key that was never asked for, save the `free` ones."""
        for key in self.values:
            if key not in self.asked and key not in free:
                known = sorted(self.asked)
                listed = "no such property here" if not known else "one of " + ", ".join(known)
                self.faults.add(self.name(str(key)), self.values[key], listed, near_spelling(key, known))


def _range_text(low, high, above, unit) -> str:
    tail = f" {unit}" if unit else ""
    if above is not None:
        return f"a number above {above:g}{tail}" + (f", at most {high:g}" if high is not None else "")
    if low is not None and high is not None:
        return f"a number from {low:g} to {high:g}{tail}"
    if low is not None:
        return f"a number of at least {low:g}{tail}"
    return "a number" + (f" in{tail}" if unit else "")
