"""The two sides that are carried outside: where everything goes; what to cut, in which order, and what the meter should say."""

from __future__ import annotations

from ..parts.cautions import CAUTIONS
from .built import Built
from .cuts import Cut
from .model import Caution, Figure, Figures, Section, Steps, Table, Text
from .places import Tapes
from .readings import GARDEN_SHARE, Expected
from .survey import survey_blocks
from .units import Units
from .views import TALL_SIDE_WIDTH, WIDTH, is_close, is_tall, lines_beyond, plan, side, side_words
from .work import steps_of


def garden_sections(built: Built, tapes, cuts, readings, units: Units, zone=None) -> tuple[Section, Section]:
    """Both sides."""
    return (
        Section(key="where", title="Side 1: where it goes", garden=True, blocks=(
            Caution(CAUTIONS["overhead_lines"], loud=True),
            *_pictures(built, tapes, units, zone),
            _set_out(tapes, units),
            *survey_blocks(built, tapes, units),
        )),
        Section(key="work", title="Side 2: cut, put up, trim", garden=True, blocks=(
            _cut_table(cuts, units),
            Steps(steps_of(built, units, short=True)),
            *_trim_blocks(readings, built, units),
        )),
    )  # fmt: skip


THIN = (
    ("counterpoise", "Long dashes: counterpoise (return wire). "),
    ("line", "Dotted: feed line, and beyond the radio what the wiring of the house is taken for (nothing to lay). "),
)


def _pictures(built: Built, tapes, units: Units, zone):
    """Plan and side view, beside each other where the lot stands upright on the page."""
    tall = is_tall(built, tapes, zone)
    both = (Figure(plan(built, tapes, units, zone), _plan_words(built, tapes, units, zone)), Figure(side(built, tapes, units, TALL_SIDE_WIDTH if tall else WIDTH), side_words(built)))
    return (Figures(both),) if tall else both


def _plan_words(built: Built, tapes, units: Units, zone) -> str:
    drawn = {w.role for w in built.wires}
    words = "Thick: wire. " + "".join(text for role, text in THIN if role in drawn) + "Short dashes: cords and guys. Dashed frame: what you must stay inside."
    if built.site.lot.interiors:
        words += " Barred: a hole in the lot, not your ground."
    if is_close(built, tapes, zone):
        words += " The frame on the small drawing of the whole lot is what the plan shows."
    beyond = lines_beyond(built, units, zone)
    if sum(s.kind == "power" for s in built.site.overhead_lines) > len(beyond):
        words += " Dash-dot: overhead POWER line."
    if zone is not None:
        words += " Cross-hatched: nobody there while you send."
    return " ".join((words, *beyond))


def _set_out(tapes: tuple[Tapes, ...], units: Units) -> Table:
    """Every point with its height and how to find it."""
    rows = []
    for tape in tapes:
        corners = [f"{units.length(d)} from {c.name}" for c, d in tape.corners]
        from_first = f"{units.length(tape.distance_m)}, {tape.bearing_deg:.0f}°" if tape.place.letter != tape.from_letter else "start here"
        up = units.height(tape.place.height_m) if tape.place.height_m > 0 else "ground"
        rows.append((tape.place.letter, tape.place.what, up, from_first, ", ".join(corners)))
    first = tapes[0].from_letter if tapes else ""
    return Table(
        "Set out: each point by bearing (clockwise from north) or by two tapes from the dotted corners",
        ("point", "what", "height", f"from {first}", "two tapes"), tuple(rows),
    )  # fmt: skip


def _cut_table(cuts: tuple[Cut, ...], units: Units) -> Table:
    rows = tuple(
        (f"{c.count} ×", c.what, units.length(c.cut_m), units.length(c.start_m), units.length(c.start_m + c.finished_m), units.length(c.finished_m))
        for c in cuts
    )
    return Table("Cut list: marks are measured from the first end", ("", "piece", "cut", "mark 1 at", "mark 2 at", "between marks"), rows, numbers=(2, 3, 4, 5))


def _trim_blocks(readings: tuple[Expected, ...], built: Built, units: Units):
    """The trimming table with its words; one line where nothing is trimmed."""
    if not readings:
        return (Text("Nothing to trim: cut to the marks. The tuner matches every band; note its settings band by band at low power, to find them again."),)
    return (_trim_table(readings, built, units), Text(_trim_words(readings, units)))


def _trim_table(readings: tuple[Expected, ...], built: Built, units: Units) -> Table:
    rows = []
    for number, e in enumerate(readings, 1):
        low, high = (f / 1e6 for f in e.start_range_hz)
        others = "moves " + ", ".join(e.step.disturbs) if e.step.disturbs else "moves no other band"
        how = "from the ground" if e.step.reachable else "let down"
        note = f"; {e.step.note}" if e.step.note else ""
        note += "; before coil and tail are hung" if e.bare else ""
        about = "" if e.solved else "about "
        rows.append((
            str(number), f"{e.step.element} ({how}{note}; {others})", e.step.band, units.cut(e.start_m - e.finished_m),
            f"{low:.3f} to {high:.3f}", f"{e.target_hz / 1e6:.3f}", about + units.slope(e.hz_per_m), "",
        ))  # fmt: skip
    columns = ("", "what to shorten", "band", "spare", "first reading MHz", "aim MHz", "a cut moves it", "yours")
    return Table("Trim in this order: frequency of lowest SWR (the dip)", columns, tuple(rows), numbers=(3, 4, 5))


def _trim_words(readings, units: Units) -> str:
    step = "an inch" if units.imperial else "a centimetre"
    return (
        f"How far: the kHz from your reading to the aim, divided by the kHz that {step} moves it. Shorten by half of that, read again, repeat; "
        "lotwire trim, or “trim” on its page, works it out from your readings. Reading above the aim: too short, unfold. "
        f"{_how_sure(readings)} soil, trees and gutters move it. Far outside: look for an open joint before cutting. "
        "If your meter reads inside the bands only, fold to the finished length first and work from there; never send outside your allocation."
    )


def _how_sure(readings: tuple[Expected, ...]) -> str:
    if any(e.first for e in readings):
        return "The first reading lies there in four of five gardens (pictures in the annex):"
    return f"The first reading is given ± {100 * GARDEN_SHARE:.0f} %:"
