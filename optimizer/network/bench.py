"""A design's electrical parts as things on the bench: what each answers, and the sheets of all that is wound.

Works on any design's feed (fields of `families.design.Feed`) and loads. A load carries values only; the winding that gives
them on the standard former is designed here again, which is what the bill prices.
"""

from __future__ import annotations

from ..parts.coil import design_coil
from ..parts.stress import Answers
from ..parts.trap import design_trap
from ..physics.elements import Coil, Trap
from ..physics.solenoid import resonance_hz
from .choke import choke
from .line import LineRun, line_type
from .transformer import transformer
from .tuner import TunedLoad, tuner

COIL_HZ = 7.1e6


def answers_of(feed, loads=(), *, coil_hz: float = COIL_HZ, tuner_load_ohm: complex = 100.0 + 0j) -> dict[str, Answers]:
    """Part by name ("line", "transformer", "choke", "tuner", "load 1" ...), radio first.

    coil_hz : the band a coil's Q is taken at. Equal loads are listed once.
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
        if isinstance(element, Coil):
            found[f"load {number}"] = design_coil(element.inductance_h, coil_hz)
        elif isinstance(element, Trap):
            tuned = resonance_hz(element.inductance_h, element.capacitance_f)
            found[f"load {number}"] = design_trap(tuned, inductance_h=element.inductance_h)
    return found


def sheets_of(feed, loads=(), **settings) -> dict[str, tuple[str, ...]]:
    """Build sheet by part name, of the parts that have one."""
    return {name: each.sheet() for name, each in answers_of(feed, loads, **settings).items() if each.sheet()}
