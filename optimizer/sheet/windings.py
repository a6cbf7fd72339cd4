"""Drawings of what is wound: coil, trap, ring transformer, choke. Not to scale; the numbers beside them count."""

from __future__ import annotations

import math

from ..network.bench import answers_of
from ..network.transformer import LineBalun, Transformer
from ..parts.choke import Choke
from ..parts.coil import CoilDesign
from ..parts.ferrite import Ring
from ..parts.ready_made import ReadyMade
from ..parts.trap import CoaxTrapDesign, TrapDesign
from .built import Built
from .canvas import Canvas
from .units import Units

TITLES = {CoilDesign: "Coil", TrapDesign: "Trap", CoaxTrapDesign: "Coaxial trap", LineBalun: "1:1 balun"}
COIL_WIDE, MOST_DRAWN = 300.0, 30
RING_OUT, RING_WIDE = 78.0, 400.0


def windings_of(built: Built, units: Units) -> list[tuple[str, tuple[str, ...], str]]:
    """(name, lines, drawing) of every part that has a winding sheet; the drawing may be empty."""
    found = []
    counts = {}
    for load in built.all_loads:
        counts[load.element] = counts.get(load.element, 0) + 1
    answers = answers_of(built.feed, built.all_loads, bought=built.bought)
    numbers = {f"load {i}": count for i, count in enumerate(counts.values(), 1)}
    for name, part in answers.items():
        lines = part.sheet()
        if lines:
            found.append((_title(name, part, numbers.get(name, 1)), tuple(units.words(v) for v in lines), drawing(part, units)))
    return found


def _title(name: str, part, count: int) -> str:
    if isinstance(part, ReadyMade):
        return f"{_title(name, part.like, count)}, ready-made"
    kind = TITLES.get(type(part), name.capitalize())
    if isinstance(part, Transformer) and not part.key.endswith("_bought"):
        kind = f"Transformer {part.primary_turns:g} : {part.secondary_turns:g} turns"
    return kind + (f", {count} alike" if count > 1 else "")


def drawing(part, units: Units) -> str:
    """SVG of a part, empty for one that has no drawing or is bought."""
    if getattr(part, "key", "").endswith("_bought"):
        return ""
    if isinstance(part, CoilDesign):
        return _coil(part, units, 0.0)
    if isinstance(part, TrapDesign):
        return _coil(part.coil, units, part.capacitor_f)
    if isinstance(part, Transformer):
        return _ring(part.ring, part.secondary_turns, part.primary_turns, units, f"Ring transformer {part.key}")
    if isinstance(part, (Choke, LineBalun)):
        from ..parts.choke import choke

        wound = part if isinstance(part, Choke) else choke(part.key)
        return _ring(wound.ring, wound.turns, 0.0, units, f"Choke {part.key}")
    return ""


def _coil(coil: CoilDesign, units: Units, capacitor_f: float) -> str:
    """Former with its turns, seen from the side; a trap's capacitor across it."""
    title = f"{'Trap' if capacitor_f else 'Coil'} {coil.inductance_h * 1e6:.1f}"
    canvas = Canvas(COIL_WIDE + 130, 205.0 if capacitor_f else 165.0, title=title)
    x, y, high = 65.0, 52.0, 52.0
    canvas.path(((x - 30, y), (x + COIL_WIDE + 30, y), (x + COIL_WIDE + 30, y + high), (x - 30, y + high)), "ink", closed=True)
    drawn = min(math.ceil(coil.turns), MOST_DRAWN)
    pitch = COIL_WIDE / drawn
    for i in range(drawn):
        canvas.path(((x + i * pitch, y + high + 3), (x + (i + 0.5) * pitch, y - 3)), "bold")
    canvas.path(((x, y + high + 3), (x - 20, y + high / 2), (4, y + high / 2)), "bold")
    canvas.path(((x + (drawn - 0.5) * pitch, y - 3), (x + COIL_WIDE + 20, y + high / 2), (COIL_WIDE + 126, y + high / 2)), "bold")
    _measure(canvas, x, x + COIL_WIDE, y - 14, f"{coil.turns:.1f} turns, {units.small(coil.length_m, 0)} long")
    canvas.text((x + COIL_WIDE / 2, y + high + 24), f"former {units.small(coil.former.diameter_m, 0)} across, "
                f"wire {units.small(coil.wire_diameter_m)}, {units.small(coil.pitch_m, 2)} from turn to turn", anchor="middle", size=11)  # fmt: skip
    canvas.text((x + COIL_WIDE / 2, y + high + 40), "each lead through two holes in the former, then to the wire with a strain relief", anchor="middle", size=10)
    if capacitor_f:
        low = y + high + 70
        canvas.path(((12, y + high / 2), (12, low), (x + COIL_WIDE / 2 - 4, low)), "ink")
        canvas.path(((x + COIL_WIDE + 53, y + high / 2), (x + COIL_WIDE + 53, low), (x + COIL_WIDE / 2 + 4, low)), "ink")
        canvas.draw(f"M{x + COIL_WIDE / 2 - 4} {low - 14}V{low + 14}M{x + COIL_WIDE / 2 + 4} {low - 14}V{low + 14}", "bold")
        canvas.text((x + COIL_WIDE / 2 + 18, low - 5), f"{capacitor_f * 1e12:.0f} pF, inside or along the former", size=11)
    return canvas.svg()


def _measure(canvas: Canvas, x1: float, x2: float, y: float, words: str) -> None:
    canvas.draw(f"M{x1} {y - 5}V{y + 5}M{x2} {y - 5}V{y + 5}M{x1} {y}H{x2}", "ink")
    canvas.text(((x1 + x2) / 2, y - 8), words, anchor="middle", size=11, bold=True)


def _ring(ring: Ring, turns: float, tapped: float, units: Units, title: str) -> str:
    """Ring from above. The first half of the turns runs along the top from left to right, the wire crosses through the hole,
    the second half runs along the bottom from left to right: start and end lie on opposite sides."""
    canvas = Canvas(RING_WIDE, 245.0, title=title)
    x0, y0 = 150.0, 128.0
    inner = RING_OUT * ring.inner_m / ring.outer_m
    canvas.circle((x0, y0), RING_OUT, "ink")
    canvas.circle((x0, y0), inner, "ink")
    count, half = round(turns), math.ceil(turns / 2)
    for i in range(count):
        along = (i + 0.5) / half if i < half else (i - half + 0.5) / max(count - half, 1)
        angle = math.radians(160 - 140 * along if i < half else 200 + 140 * along)
        _turn(canvas, (x0, y0), angle, inner, i < round(tapped))
    step, rest = 70 / half, 70 / max(count - half, 1)  # half a turn's angle above and below
    start, cross = math.radians(160 - step), math.radians(20 + step)
    canvas.path((_polar(x0, y0, RING_OUT + 6, start), (14, y0 - 50)), "bold" if tapped else "ink")
    canvas.path((_polar(x0, y0, inner - 5, cross), _polar(x0, y0, inner - 5, math.radians(200 + rest))), "dash")
    canvas.path((_polar(x0, y0, RING_OUT + 6, math.radians(340 - rest)), (262, y0 + 62)), "ink")
    words = [
        (264, y0 + 66, "end: to the wire" if tapped else "out: to the feed point"),
        (264, y0 + 80, "(high voltage)" if tapped else ""),
        (14, 24, "start: shield and counterpoise" if tapped else "in: from the radio"),
        (250, 24, f"{turns:g} turns in all"),
        (250, 40, f"half ({half}) along the top,"),
        (250, 54, "cross over through the"),
        (250, 68, "hole (dashes), the rest"),
        (250, 82, "along the bottom, same"),
        (250, 96, "sense"),
        (10, y0 + 104, f"ring {units.small(ring.outer_m, 0)} across, type {ring.material}, {units.small(ring.height_m)} high in all"),
    ]
    if tapped:
        tap = _polar(x0, y0, RING_OUT + 6, math.radians(160 - step * (2 * round(tapped) - 1)))
        canvas.path((tap, (tap[0] - 6, 40)), "bold")
        words.append((14, 38, f"tap after {tapped:g} turns (thick): inner conductor"))
    for x, y, text in filter(lambda w: w[2], words):
        canvas.text((x, y), text, size=10.5)
    return canvas.svg()


def _turn(canvas: Canvas, middle, angle: float, inner: float, thick: bool) -> None:
    """One turn: the wire over the ring's face, doubled where it belongs to the tapped part."""
    for shift in (-0.025, 0.025) if thick else (0.0,):
        canvas.path((_polar(*middle, inner - 5, angle + shift), _polar(*middle, RING_OUT + 6, angle + shift)), "bold" if thick else "ink")


def _polar(x0: float, y0: float, radius: float, angle: float) -> tuple[float, float]:
    return x0 + radius * math.cos(angle), y0 - radius * math.sin(angle)
