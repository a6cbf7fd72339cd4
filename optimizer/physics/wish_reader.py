"""Reading a wish list: the one-line form of `--bands`, or a TOML file.

One line: bands separated by blanks or commas, each

    BAND[:SEGMENT][*WEIGHT][@CONTACTS][@BEARING]          e.g.  40m:digital*2@near  20m  10m:voice@far@270  40m:7.05-7.1

    BAND      160m ... 6m           SEGMENT   morse, digital, voice, all (default), or two frequencies in MHz with a
    dash
    WEIGHT    a number above 0      CONTACTS  near, far or both (default)     BEARING  degrees clockwise from north

TOML file: `bands` as one line or tables [[band]], and the station's keys at the top, all optional:

    power_w = 100            mode_duty = 0.4        transmit_share = 0.5     swr_limit = 2.0
    tuner = "none"           # none, radio (built in) or external
    budget = 80.0            mast_limit_m = 10.0
    station = "mains"        # mains (mains earth) or battery
    parts = "own"            # own-wound coils, traps, transformer and choke, bought, or either
    [[band]]                 # band, segment ("digital" or [7.05, 7.1] in MHz), weight, contacts, bearing_deg
    band = "40m"
    [on_hand]                # parts catalogue key = quantity at price 0; [12, 9.5] are two pieces
    [prices]                 # parts catalogue key = your own unit price, in the site's currency
    [rates]                  # currency = units of it for one euro, where the price list has not the site's currency

A band may be named twice with two segments; the second is keyed "40m-2". Segments come from the table of the site's
region
and country; a frequency outside the allocation is a fault. Settings given beside the text or file (from
the command line) win over the file's. Every fault is reported at once.
"""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

from ..errors import FaultList
from .bands import BAND_NAMES, SEGMENTS, Band, band_table
from .documents import read_toml
from .fields import Fields, as_number, near_spelling
from .wishes import BandWish, WishList

CONTACTS = ("near", "far", "both")
OPTION_NAMES = {"mast_limit_m": "--mast-m", "power_w": "--power-w"}
MOST_WISHES = 40
MOST_PIECES = 100  # of one part in stock
NUMBER = r"[0-9]+(?:\.[0-9]*)?|\.[0-9]+"


def read_wishes(text_or_path, site, known_parts=None, **overrides) -> WishList:
    """The wish list in a one-line text, or in a file (a `Path`, or a text that ends in .toml).

    site        : anything with `itu_region`, `country` and `currency`
    known_parts : keys of the parts that may be on hand or have a price; None takes any
    overrides   : settings by their name in `WishList` (power_w, budget, mast_limit_m ...); None is not given
    Raises InputError with every fault.
    """
    bands = band_table(site.itu_region, site.country)
    if isinstance(text_or_path, Path) or str(text_or_path).strip().lower().endswith(".toml"):
        faults = FaultList(str(text_or_path))
        document = read_toml(text_or_path, faults)
        wishes, settings = ([], {}) if document is None else _from_document(document, bands, faults, known_parts)
        settings |= _with_currency(settings, getattr(site, "currency", "EUR"))
    else:
        faults = FaultList("option")
        wishes, settings = _from_line(str(text_or_path), "--bands", bands, faults), {}
    given = {k: v for k, v in overrides.items() if v is not None}
    settings |= _settings(Options(given, "", FaultListAs(faults, "option")), only=given)
    faults.raise_if_any()
    return WishList(bands=_keyed(wishes), **settings)


def wishes_of(document: dict, site, faults: FaultList, known_parts=None) -> WishList:
    """The wish list in a document of the file's form, already parsed. Raises InputError with every fault."""
    wishes, settings = _from_document(document, band_table(site.itu_region, site.country), faults, known_parts)
    settings |= _with_currency(settings, getattr(site, "currency", "EUR"))
    faults.raise_if_any()
    return WishList(bands=_keyed(wishes), **settings)


class Options(Fields):
    """Settings given as options of the command."""

    def name(self, key: str) -> str:
        return OPTION_NAMES.get(key, "--" + key.replace("_", "-"))


class FaultListAs(FaultList):
    """Adds to another list under another source."""

    def __init__(self, to: FaultList, source: str):
        super().__init__(source, to.faults)


# ---- settings ----


def _settings(fields: Fields, only=None) -> dict:
    """Checked settings of a station, those present only."""
    read = {
        "power_w": lambda k: fields.number(k, above=0.0, high=5000.0, unit="W"),
        "mode_duty": lambda k: fields.number(k, above=0.0, high=1.0),
        "transmit_share": lambda k: fields.number(k, above=0.0, high=1.0),
        "swr_limit": lambda k: fields.number(k, above=1.0, high=20.0),
        "tuner": lambda k: fields.word(k, ("none", "radio", "external")),
        "budget": lambda k: fields.number(k, low=0.0, high=1e7),
        "mast_limit_m": lambda k: fields.number(k, low=0.0, high=100.0, unit="m"),
        "station": lambda k: fields.word(k, ("mains", "battery")),
        "parts": lambda k: fields.word(k, ("own", "bought", "either")),
        "on_hand": lambda k: _numbers(fields, k, "part = quantity, or [quantity, quantity] for several pieces", several=True),
        "prices": lambda k: fields.values[k] if isinstance(fields.values[k], tuple) else _numbers(fields, k, "part = unit price"),
        "rates": lambda k: fields.values[k] if isinstance(fields.values[k], tuple) else _numbers(fields, k, "currency = units for one euro", above=0.0),
    }
    fields.asked.update(read)
    found = {key: get(key) for key, get in read.items() if key in fields.values}
    if only is not None:
        fields.finish()
    return {k: v for k, v in found.items() if v is not None}


def _numbers(fields: Fields, key: str, form: str, above=None, several=False):
    """A table of names and numbers as pairs; with `several` a name may have a list of numbers, a pair each."""
    value = fields.values[key]
    if not isinstance(value, dict):
        fields.wrong(key, f"a table [{key}] of {form}")
        return None
    inner = Fields(value, fields.name(key), fields.faults)
    numbers = [
        (str(name), of.number(k, low=0.0, high=1e6, above=above))
        for name in value
        for of, keys in [_pieces(inner, name) if several else (inner, (name,))]
        for k in keys
    ]
    return tuple((name, n) for name, n in numbers if n is not None)


def _pieces(fields: Fields, name):
    """(Fields, keys in them) of a name's numbers: the one, or those of its list."""
    given = fields.values[name]
    if not isinstance(given, list):
        return fields, (name,)
    if not 0 < len(given) <= MOST_PIECES:
        fields.wrong(name, f"a list of 1 to {MOST_PIECES} pieces")
        return fields, ()
    each = Fields({f"{name}[{i}]": v for i, v in enumerate(given)}, fields.prefix, fields.faults)
    return each, tuple(each.values)


def _known(pairs, table: str, known_parts, faults: FaultList) -> None:
    """Are these parts of the catalogue?"""
    for key, number in dict(pairs).items():
        if key not in known_parts:
            faults.add(f"{table}.{key}", number, "a part of the price list, optimizer/parts/tables/prices.csv, by its key", near_spelling(key, known_parts))


def _with_currency(settings: dict, currency: str) -> dict:
    """Prices of a wish file are in the site's currency."""
    return {"prices": tuple((part, price, currency) for part, price in settings["prices"])} if "prices" in settings else {}


# ---- the file ----


def _from_document(document: dict, bands: dict[str, Band], faults: FaultList, known_parts):
    fields = Fields(document, "", faults)
    settings = _settings(fields)
    for table in ("on_hand", "prices") if known_parts is not None else ():
        _known(settings.get(table, ()), table, known_parts, faults)
    fields.asked.update(("bands", "band"))
    wishes: list[BandWish] = []
    if "bands" in document:
        line = document["bands"]
        if isinstance(line, list) and all(isinstance(t, str) for t in line):
            line = " ".join(line)
        if isinstance(line, str):
            wishes += _from_line(line, "bands", bands, faults)
        else:
            fields.wrong("bands", 'a text such as "40m:digital*2 20m"')
    tables = document.get("band", [])
    if not isinstance(tables, list):
        fields.wrong("band", "tables [[band]]")
        tables = []
    for i, table in enumerate(tables[: MOST_WISHES + 1]):
        wishes.append(_from_table(table, f"band[{i}]", bands, faults))
    if "bands" not in document and not tables:
        faults.add("bands", "nothing", "at least one band, as bands or [[band]]")
    fields.finish()
    return [w for w in wishes if w is not None], settings


def _from_table(table, where: str, bands, faults: FaultList) -> BandWish | None:
    if not isinstance(table, dict):
        faults.add(where, table, "a table with a band")
        return None
    fields = Fields(table, where, faults)
    name = fields.text("band", allowed="a band such as 40m")
    weight = fields.number("weight", above=0.0, high=1000.0, default=1.0)
    contacts = fields.word("contacts", CONTACTS, default="both")
    bearing = fields.number("bearing_deg", low=0.0, high=360.0, default=None, unit="degrees")
    fields.asked.add("segment")
    fields.finish()
    band = None if name is None else _band(name, fields.name("band"), bands, faults)
    span = band and _span(band, table.get("segment", "all"), fields.name("segment"), faults)
    if not span:
        return None
    segment, low, high = span
    return BandWish(
        key=band.name,
        band=band.name,
        segment=segment,
        low_hz=low,
        high_hz=high,
        weight=weight,
        contacts=contacts,
        bearing_deg=bearing,
    )


# ---- the line ----


def _from_line(line: str, field: str, bands, faults: FaultList) -> list[BandWish]:
    tokens = line.replace(",", " ").split()
    if not tokens:
        faults.add(field, line, 'at least one band, such as "40m 20m"')
    if len(tokens) > MOST_WISHES:
        faults.add(field, f"{len(tokens)} bands", f"at most {MOST_WISHES}")
        return []
    wishes = [_from_token(t, field, bands, faults) for t in tokens]
    return [w for w in wishes if w is not None]


def _from_token(token: str, field: str, bands, faults: FaultList) -> BandWish | None:
    head, *marks = re.split(r"(?=[*@])", token)
    name, colon, segment = head.partition(":")
    before = len(faults.faults)
    weight, contacts, bearing = _marks(marks, token, field, faults)
    band = _band(name, field, bands, faults)
    span = band and _span(band, segment if colon else "all", field, faults)
    if not span or len(faults.faults) > before:
        return None
    kind, low, high = span
    return BandWish(
        key=band.name,
        band=band.name,
        segment=kind,
        low_hz=low,
        high_hz=high,
        weight=weight,
        contacts=contacts,
        bearing_deg=bearing,
    )


def _marks(marks, token: str, field: str, faults: FaultList):
    """Weight, contacts and bearing of the marks behind a band."""
    seen: dict[str, object] = {}
    for mark in marks:
        kind, value = _mark(mark)
        if kind is None:
            faults.add(
                field, token, "*WEIGHT above 0, @near, @far, @both or @BEARING from 0 to 360", f"{mark} is neither"
            )
        elif kind in seen:
            faults.add(field, token, f"one {kind} for each band")
        else:
            seen[kind] = value
    return seen.get("weight", 1.0), seen.get("contacts", "both"), seen.get("bearing")


def _mark(mark: str):
    text = mark[1:].lower()
    if mark[0] == "@" and text in CONTACTS:
        return "contacts", text
    if not re.fullmatch(NUMBER, text):
        return None, None
    value = float(text)
    if mark[0] == "*":
        return ("weight", value) if 0.0 < value <= 1000.0 else (None, None)
    return ("bearing", value) if value <= 360.0 else (None, None)


# ---- bands and segments ----


def _band(name: str, field: str, bands: dict[str, Band], faults: FaultList) -> Band | None:
    known = str(name).strip().lower().replace(" ", "")
    if known in bands:
        return bands[known]
    if known in BAND_NAMES:
        faults.add(field, name, "a band allocated here: " + ", ".join(bands))
        return None
    hint = f"did you mean {known}m?" if f"{known}m" in BAND_NAMES else near_spelling(known, BAND_NAMES)
    faults.add(field, name, "one of " + ", ".join(bands), hint)
    return None


def _span(band: Band, segment, field: str, faults: FaultList):
    """(segment, low, high) [Hz], or None with the fault noted."""
    if isinstance(segment, str) and segment.strip().lower() in SEGMENTS:
        word = segment.strip().lower()
        if word in band.segments_hz:
            return (word, *band.segments_hz[word])
        faults.add(field, segment, f"a segment of {band.name} here: {', '.join(band.segments_hz)}")
        return None
    pair = _pair(segment)
    if pair is None:
        hint = near_spelling(segment, SEGMENTS) if isinstance(segment, str) else ""
        faults.add(field, segment, f"{', '.join(SEGMENTS)}, or two frequencies in MHz such as 7.05-7.1", hint)
        return None
    low, high = (round(f * 1e6, 3) for f in pair)
    if low >= high:
        faults.add(field, segment, "the lower frequency first, then the higher")
        return None
    if not band.holds(low, high):
        ranges = "; ".join(f"{a / 1e6:g}-{b / 1e6:g}" for a, b in band.allocations_hz)
        hint = "frequencies are in MHz" if low > 1e9 else f"source: {band.source}"
        faults.add(field, segment, f"within {band.name} as allocated here, {ranges} MHz", hint)
        return None
    return "custom", low, high


def _pair(segment) -> tuple[float, float] | None:
    if isinstance(segment, str):
        match = re.fullmatch(rf"\s*({NUMBER})\s*-\s*({NUMBER})\s*", segment)
        numbers = [float(g) for g in match.groups()] if match else []
    else:
        numbers = [as_number(n) for n in segment] if isinstance(segment, list) else []
    return tuple(numbers) if len(numbers) == 2 and None not in numbers else None


def _keyed(wishes: list[BandWish]) -> tuple[BandWish, ...]:
    """Keys made unique: 40m, 40m-2 ..."""
    from dataclasses import replace

    counts: Counter = Counter()
    keyed = []
    for wish in wishes:
        counts[wish.band] += 1
        keyed.append(wish if counts[wish.band] == 1 else replace(wish, key=f"{wish.band}-{counts[wish.band]}"))
    return tuple(keyed)
