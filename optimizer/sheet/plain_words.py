"""The few words of the trade that a sheet cannot do without, each in plain ones; only those that the design needs."""

from __future__ import annotations

import re

from ..families.pieces import kind_of
from .built import Built
from .model import Table

ALWAYS = (
    ("SWR", "how badly wire and radio match: 1 is perfect, 2 usual limit; read on the radio or on a meter"),
    ("dip", "the frequency at which the SWR is lowest; shortening the wire moves it up"),
    ("feed", "the point where the line from the radio meets the wire"),
    ("line", "the cable between radio and feed"),
    ("dBi, dB", "strength in decibels: 3 more is twice the power, 6 more one step of a signal meter"),
    ("band, segment", "a range of frequencies you may use; the part of it that you asked for"),
)
IF_THERE = {
    "coil": ("coil", "turns of wire on a tube, in the wire: makes a short wire act longer"),
    "trap": ("trap", "coil and capacitor side by side: ends the wire for a higher band, lets a lower one pass"),
    "capacitor": ("capacitor", "two surfaces that do not touch: makes a long wire act shorter"),
    "link": ("link", "a plug or clamp that joins two pieces of wire for one band and parts them for another"),
    "counterpoise": ("counterpoise, radials", "the return wires of a wire that is fed at its end; they carry current too"),
    "transformer": ("transformer 49:1, 9:1, 4:1", "a ring with two windings: brings the wire's high resistance down to the line's"),
    "choke": ("choke", "line wound on a ring: keeps radio current off the outside of the line"),
    "tuner": ("tuner", "a box of coils and capacitors between radio and line that makes the radio see SWR 1"),
    "halyard": ("halyard", "the rope that hoists the wire on the mast"),
    "guy": ("guy", "a rope that keeps the mast upright"),
}


_MAIN, _LEG = re.compile(r"\bmain\b"), re.compile(r"(?<!for )\b(\d+m)( [ab])?$")


def plain_wire(words: str) -> str:
    """Wires by name ("end of main", "40m a") in words that tell them from bands: "end of main wire", "leg for 40m"."""
    return _LEG.sub(r"leg for \1", _MAIN.sub("main wire", words))


def words_used(built: Built) -> Table:
    """The table for one design."""
    there = {kind_of(v.element) for v in built.all_loads} | {w.role for w in built.wires} | {a.kind for a in built.anchors}
    there |= {name for name in ("transformer", "choke", "tuner") if getattr(built.feed, name)} | ({"halyard"} if built.masts else set())
    return Table("", ("word", "what it is"), (*ALWAYS, *(words for key, words in IF_THERE.items() if key in there)))
