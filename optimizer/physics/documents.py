"""JSON and TOML files from outside, read with bounds: whatever is wrong becomes a fault, never a traceback.

UTF-8 only (a byte-order mark is allowed); at most 8 MB, 32 levels and 1000 bits a number; a member that stands twice is a fault.
TOML, whose reader takes the square of a dotted key's length: at most 500,000 characters and 60 dots a line.
"""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

from ..errors import FaultList

MOST_BYTES = 8_000_000
DEEPEST = 32
MOST_TOML = 500_000
MOST_DOTS = 60


def read_text(path, faults: FaultList) -> str | None:
    """Text of a file, or None with the fault noted."""
    try:
        with open(path, "rb") as file:
            raw = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        faults.add("file", str(path), "a file that can be read", getattr(error, "strerror", None) or str(error))
        return None
    if len(raw) > MOST_BYTES:
        faults.add("file", f"more than {MOST_BYTES} bytes", f"at most {MOST_BYTES} bytes")
        return None
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        faults.add("file", raw[error.start : error.start + 8], "UTF-8 text", f"byte {error.start} is not UTF-8")
        return None


def read_json(path, faults: FaultList) -> dict | None:
    """The object of a JSON file, or None with the fault noted."""
    return parse_json(read_text(path, faults), faults)


def read_toml(path, faults: FaultList) -> dict | None:
    """The table of a TOML file, or None with the fault noted."""
    return parse_toml(read_text(path, faults), faults)


def parse_json(text: str | None, faults: FaultList) -> dict | None:
    """The object in a JSON text, or None with the fault noted (a text of None has its fault already)."""
    return _parse(text, faults, "JSON", lambda text: json.loads(text, object_pairs_hook=_once(faults)))


def parse_json_value(text: str, faults: FaultList):
    """Any value in a strict JSON text (no NaN, no infinities, texts that can be stored anywhere), or None with the fault noted."""

    def loads(text):
        document = json.loads(text, object_pairs_hook=_once(faults), parse_constant=_no_constant)
        if "\\u" in text:
            json.dumps(document, ensure_ascii=False).encode()  # half a character is a ValueError
        if "\\u0000" in text:
            raise ValueError("a text holds the character NUL")
        return document

    return _parse(text, faults, "JSON", loads, kind=None)


def _no_constant(name: str):
    raise ValueError(f"{name} is not a JSON number")


def parse_toml(text: str | None, faults: FaultList) -> dict | None:
    """The table in a TOML text, or None with the fault noted (a text of None has its fault already)."""
    return _parse(text, faults, "TOML", _toml)


def _toml(text: str) -> dict:
    if len(text) > MOST_TOML:
        raise ValueError(f"more than {MOST_TOML} characters")
    crowded = next((i for i, line in enumerate(text.splitlines(), 1) if line.count(".") > MOST_DOTS), None)
    if crowded is not None:
        raise ValueError(f"more than {MOST_DOTS} dots in line {crowded}; break the line")
    return tomllib.loads(text)


def _parse(text: str | None, faults: FaultList, form: str, loads, kind=dict):
    """The document, or None with the fault noted. kind: None takes any value."""
    if text is None:
        return None
    try:
        document = loads(text)
    except RecursionError:
        faults.add("file", text[:20], f"{form} that is not nested so deep")
        return None
    except (ValueError, OverflowError) as error:
        faults.add("file", text[:40], f"well-formed {form}", str(error))
        return None
    if not _bounded(document):
        faults.add("file", text[:20], f"{form} nested at most {DEEPEST} deep, with whole numbers of at most 1000 bits")
        return None
    if kind is not None and not isinstance(document, kind):
        faults.add("file", document, f"a {form} object")
        return None
    return document


def _bounded(document) -> bool:
    """Whether a document can be walked, shown and stored without trouble."""
    level = [document]
    for _ in range(DEEPEST):
        if any(isinstance(v, int) and v.bit_length() > 1000 for v in level):
            return False
        inner = [v.values() if isinstance(v, dict) else v for v in level if isinstance(v, (dict, list))]
        level = [v for values in inner for v in values]
        if not level:
            return True
    return False


def _once(faults: FaultList):
    """Hook for objects that notes a member standing twice."""

    def build(pairs):
        members = dict(pairs)
        if len(members) < len(pairs):
            names = [key for key, _ in pairs]
            for key in sorted({k for k in names if names.count(k) > 1}):
                faults.add(key, [v for k, v in pairs if k == key], "each member once in its object")
        return members

    return build


def stem_of(path) -> str:
    return Path(path).stem
