"""The order of the work, from marking out to use, with the cautions that belong to each step."""

from __future__ import annotations

import math

from ..families.line_outside import RADIO
from ..families.pieces import kind_of
from ..parts.cautions import CAUTIONS, cautions_for
from .built import Built
from .model import Step
from .units import Units

ONLY_IF = {  # cautions of a step that do not concern every design
    "battery": lambda b: b.wishes.station == "battery",
    "guys": lambda b: any(a.kind in ("guy", "stake") for a in b.anchors),
    "support": lambda b: any(True for _ in b.site.supports or b.site.trees),
    "hot_coils": lambda b: bool(b.feed.transformer) or any(kind_of(v.element) in ("coil", "trap") for v in b.all_loads),
    "raising": lambda b: bool(b.masts),
    "stakes": lambda b: bool(b.anchors),
}
POST_IN_GROUND_M = 0.6  # common practice, no source; the bill holds it


def step_cautions(step: str, built: Built) -> tuple[str, ...]:
    """Texts of one step that concern this design."""
    filed = built.content.get("cautions_by_step", {}).get(step)
    silent = {CAUTIONS[key] for key, concerns in ONLY_IF.items() if not concerns(built)}
    return tuple(text for text in filed or cautions_for(step, built.site.country) if text not in silent)


def first_sentence(text: str) -> str:
    """The short form for outside; the full text stands in the annex."""
    head = text.split(". ")[0]
    return head if head.endswith(".") else head + "."


def steps_of(built: Built, units: Units, *, short: bool) -> tuple[Step, ...]:
    """All steps; `short`: the first sentence of each caution, else in full the first time."""
    asked = {
        "survey": ("Mark out", _mark_out(built)),
        "foundations": ("Posts, sleeves, stakes", _ground(built, units)),
        "build": ("Wind, cut and join on the ground", _build(built)),
        "raise": ("Raise", _raise(built, units)),
        "connect": ("Line and earth", _connect(built, units)),
        "trim": ("Trim", _trim(built)),
        "use": ("First use", _use(built)),
    }
    found, said = [], set()
    for key, (title, words) in asked.items():
        cautions = step_cautions(key, built)
        found.append(Step(title, words, tuple(units.words(first_sentence(c) if short or c in said else c) for c in cautions)))
        said |= set(cautions)
    return tuple(found)


def _mark_out(built: Built) -> tuple[str, ...]:
    return (
        "Look up first: find every overhead line near the lot, service drops too. Stop if one is not on the plan.",
        "Peg every lettered point of the plan with two tapes. Check that wires and guys stay inside the lot.",
    )


def _ground(built: Built, units: Units) -> tuple[str, ...]:
    words = []
    posts = [a for a in built.anchors if a.kind == "end" and a.height_m > 0]
    if posts:
        words.append(f"Set posts {units.height(POST_IN_GROUND_M)} into the ground, upright, and tamp them.")
    if built.masts:
        words.append("Drive the ground sleeve at each M; try the pole in it before anything hangs on it.")
    if any(a.kind in ("guy", "stake") for a in built.anchors):
        words.append("Drive stakes at G and S, leaning away from the pull.")
    return tuple(words) or ("Nothing to set into the ground.",)


def _build(built: Built) -> tuple[str, ...]:
    kinds = dict.fromkeys(kind_of(v.element) for v in built.all_loads if kind_of(v.element) in ("coil", "trap"))
    wind = "Check" if built.bought else "Wind"
    words = [f"{'Measure' if built.bought else 'Wind and measure'} {' and '.join(f'the {k}s' for k in kinds)} first (annex)."] if kinds else []
    if built.feed.transformer:
        words.append(f"{wind} the transformer{'' if built.bought else ' and check it'} on the bench (annex).")
    if built.feed.choke:
        words.append(f"{wind} the choke; it sits in the line {_choke_place(built)}.")
    words.append("Cut by the list, tape a mark at each finished length. Hang it with the spare let out beyond the mark: the first reading is of the whole length.")
    return tuple(words)


def _raise(built: Built, units: Units) -> tuple[str, ...]:
    words = ["Dry, calm day, two people. Lay everything out on the ground in its final line first."]
    for i, mast in enumerate(built.masts, 1):
        guys = [c for c in built.cords_m if math.dist(c[0][:2], mast.at_m) < 0.05 and c[1][2] == 0.0 and c[0][2] < mast.height_m - 0.05]
        tied = f" Guys at {units.height(guys[0][0][2])} up, tied before the wire is pulled." if guys else ""
        words.append(f"M{i}: halyard through the top guide, raise the pole to {units.height(mast.height_m)}.{tied}")
    words.append("Pull the wire up by the halyard, then tie the ends: firm, with a little sag, never bow-string tight.")
    return tuple(words)


def _connect(built: Built, units: Units) -> tuple[str, ...]:
    line = f"Run the line ({units.height(built.feed.line_length_m)}) from radio to feed, away from the wire at a right angle as far as you can."
    choke = [f"Choke {_choke_place(built)}."] if built.feed.choke else []
    if built.feed.choke_at == RADIO:
        choke.append("The outside of the line up to it is the return path: lay it as drawn, join its shield to the transformer's cold side, no other choke.")
    return (line, *choke, "Leave the plug at the radio out until everything is up.")


def _choke_place(built: Built) -> str:
    return "where the line enters the house" if built.feed.choke_at == RADIO else "at the feed"


def _trim(built: Built) -> tuple[str, ...]:
    if not built.trims:
        return ("Nothing to cut: tune each band at low power and note the settings.",)
    words = ["Follow the trimming table in its order. Fold first, cut later: a fold can be undone."]
    if any(not t.reachable for t in built.trims):
        words.append("Where the table says “let down”, lower the wire for that step.")
    return tuple(words)


def _use(built: Built) -> tuple[str, ...]:
    limit = f"{built.wishes.swr_limit:g}"
    return (f"Low power first. SWR over your segment under {limit}? Then full power for a minute, and look for warmth.",)
