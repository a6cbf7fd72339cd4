"""Frozen records as plain JSON data, and back.

A record is an object with its class under the key "" (module below this package, then name); tuples are lists, complex numbers and arrays
records of their own. Reading takes a class by that name from this package alone, and only a dataclass, so a store from elsewhere can bring no code in.
Fields that a class has got since take their defaults.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from functools import cache
from importlib import import_module

import numpy as np

PACKAGE = __name__.split(".")[0]
CLASS = ""
COMPLEX, ARRAY = "complex", "array"
_BARE = (float, int, str, bool, type(None))


def packed(thing):
    """Plain data of a record, a tuple, a dict by text, or a number."""
    kind = type(thing)
    if kind in _BARE:
        return thing
    if kind in (tuple, list):
        return [packed(v) for v in thing]
    if kind is dict:
        return {str(k): packed(v) for k, v in thing.items()}
    if is_dataclass(thing):
        return {CLASS: _name_of(kind)} | {name: packed(getattr(thing, name)) for name in _fields_of(kind)}
    if kind is complex:
        return {CLASS: COMPLEX, "re": thing.real, "im": thing.imag}
    if kind is np.ndarray:
        return {CLASS: ARRAY, "values": thing.tolist()}
    return packed(thing.item())  # a number of an array library


def unpacked(thing):
    """What `packed` was given. Raises ValueError where the data name no record of this package."""
    kind = type(thing)
    if kind is list:
        return tuple(v if type(v) in _BARE else unpacked(v) for v in thing)
    if kind is not dict:
        return thing
    name = thing.get(CLASS)
    if name is None:
        return {k: unpacked(v) for k, v in thing.items()}
    if name == COMPLEX:
        return complex(thing["re"], thing["im"])
    if name == ARRAY:
        return np.array(thing["values"])
    return _class_of(name)(**{k: v if type(v) in _BARE else unpacked(v) for k, v in thing.items() if k != CLASS})


@cache
def _name_of(kind: type) -> str:
    return f"{kind.__module__.removeprefix(PACKAGE + '.')}.{kind.__qualname__}"


@cache
def _fields_of(kind: type) -> tuple[str, ...]:
    return tuple(f.name for f in fields(kind))


@cache
def _class_of(name: str) -> type:
    module, _, kind = name.rpartition(".")
    if not all(part.isidentifier() for part in (*module.split("."), kind)):
        raise ValueError(f"no record: {name!r}")
    try:
        found = getattr(import_module(f"{PACKAGE}.{module}"), kind)
    except (ImportError, AttributeError) as missing:
        raise ValueError(f"no record: {name!r}") from missing
    if not (isinstance(found, type) and is_dataclass(found)):
        raise ValueError(f"no record: {name!r}")
    return found
