"""The sheet as a document: sections of plain blocks, no looks. Whatever prints it decides how each kind of block looks."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Text:
    words: str


@dataclass(frozen=True)
class Heading:
    """Of a part of a section."""

    words: str


@dataclass(frozen=True)
class Caution:
    """What can hurt, at the step where it matters. `loud`: the one that kills."""

    words: str
    loud: bool = False


@dataclass(frozen=True)
class Items:
    """A list of lines; `boxes`: to tick off."""

    lines: tuple[str, ...]
    boxes: bool = False


@dataclass(frozen=True)
class Table:
    """`numbers`: columns set to the right."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...] = ()
    total: tuple[str, ...] = ()


@dataclass(frozen=True)
class Figure:
    svg: str
    caption: str = ""


@dataclass(frozen=True)
class Figures:
    """Drawings side by side where there is room."""

    figures: tuple[Figure, ...]


@dataclass(frozen=True)
class Beside:
    """A drawing, and the lines that belong to it at its side where there is room; a page never parts them."""

    figure: Figure
    items: Items


@dataclass(frozen=True)
class Step:
    """One step of the work: what to do, and what can hurt while doing it."""

    title: str
    words: tuple[str, ...]
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True)
class Steps:
    steps: tuple[Step, ...]


Block = Text | Heading | Caution | Items | Table | Figure | Figures | Beside | Steps


@dataclass(frozen=True, kw_only=True)
class Section:
    """`garden`: one of the sides that are carried outside."""

    key: str
    title: str
    blocks: tuple[Block, ...]
    garden: bool = False


@dataclass(frozen=True, kw_only=True)
class Document:
    title: str
    lead: str
    note: str
    made_with: str
    sections: tuple[Section, ...]
    mark: str = ""  # of the design it is of, see `report.stale`
