"""The error tree.

    LotwireError              exit status 1, our fault unless a subclass says otherwise
    ├── InputError            2, bad input: carries every fault found, not only the first
    ├── NothingFits           3, no design meets the hard limits: reasons and relaxations
    └── SolveError            1, the field computation broke down

A `Fault` names the source (a file or an option), the field as the user wrote it, the value met,
what is allowed and, where it helps, a hint.
"""

from __future__ import annotations

from dataclasses import dataclass, field


class LotwireError(Exception):
    """Anything lotwire raises on purpose."""

    exit_status = 1


@dataclass(frozen=True)
class Fault:
    """One thing wrong with the input."""

    source: str
    field: str
    value: object
    allowed: str
    hint: str = ""

    def __str__(self) -> str:
        shown = repr(self.value)
        if len(shown) > 80:
            shown = shown[:77] + "..."
        text = f"{self.source}: {self.field}: got {shown}, need {self.allowed}"
        return text + (f" ({self.hint})" if self.hint else "")


class InputError(LotwireError, ValueError):
    """Bad input; `faults` lists all of it."""

    exit_status = 2

    def __init__(self, faults):
        self.faults = tuple(faults)
        super().__init__("\n".join(str(f) for f in self.faults))

    def __reduce__(self):
        return type(self), (self.faults,)


class NothingFits(LotwireError):
    """No design meets the hard limits. `reasons`: family key → text, `relaxations`: texts; `note`: what became of an earlier table."""

    exit_status = 3

    def __init__(self, reasons: dict[str, str], relaxations: list[str], note: str = ""):
        self.reasons, self.relaxations, self.note = dict(reasons), list(relaxations), note
        super().__init__("nothing fits")

    def __reduce__(self):
        return type(self), (self.reasons, self.relaxations, self.note)


class SolveError(LotwireError):
    """The field computation failed on a case that passed its checks."""


@dataclass
class FaultList:
    """Collects faults while a reader goes on reading."""

    source: str
    faults: list[Fault] = field(default_factory=list)

    def add(self, field: str, value: object, allowed: str, hint: str = "") -> None:
        self.faults.append(Fault(self.source, field, value, allowed, hint))

    def raise_if_any(self) -> None:
        if self.faults:
            raise InputError(self.faults)
