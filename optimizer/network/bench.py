"""A design's electrical parts as things on the bench: what each answers, and the sheets of all that is wound.

Works on any design's feed (fields of `families.design.Feed`) and loads. A load carries values only; the winding that gives
them on the standard former is designed here again, which is what the bill prices.
"""

from __future__ import annotations

from ..parts.choke import choke
from ..parts.ready_made import coil_bought, trap_bought
from ..parts.stress import Answers
from ..parts.winding import COIL_HZ, winding_of
from ..physics.elements import Coil
from .line import LineRun, line_type
from .transformer import transformer
from .tuner import TunedLoad, tuner


def answers_of(feed, loads=(), *, coil_hz: float = COIL_HZ, tuner_load_ohm: complex = 100.0 + 0j, bought: bool = False) -> dict[str, Answers]:
    """Part by name ("line", "transformer", "choke", "tuner", "load 1" ...), radio first.

    coil_hz : the band a coil's Q is taken at. Equal loads are listed once. `bought`: coils and traps are ready-made.
    """
    found: dict[str, Answers] = {}
    if feed.tuner:
        found["tuner"] = TunedLoad(tuner=tuner(feed.tuner), load_ohm=tuner_load_ohm)
    found["line"] = LineRun(kind=line_type(feed.line), length_m=feed.line_length_m)
    if feed.choke:
        found["choke"] = choke(feed.choke)
    if feed.transformer:
        found["transformer"] = transformer(feed.transformer)
    for number, element in enumerate(dict.fromkeys(load.element for load in loads), start=1):
        winding = winding_of(element, coil_hz)
        if winding and bought:
            winding = coil_bought(winding) if isinstance(element, Coil) else trap_bought(winding)
        if winding:
            found[f"load {number}"] = winding
    return found


def sheets_of(feed, loads=(), **settings) -> dict[str, tuple[str, ...]]:
    """Build sheet by part name, of the parts that have one."""
    return {name: each.sheet() for name, each in answers_of(feed, loads, **settings).items() if each.sheet()}
