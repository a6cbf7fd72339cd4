"""The advice in plain words, for somebody at the wire with gloves on."""

from __future__ import annotations

from ..sheet.units import Units
from .advise import RADIO, Advice, Settings
from .case import Case
from .faults import KINDS
from .log import Reading
from .points import falls_to

HANDS_OFF = "Transmitter off and line unplugged before you touch wire, coil, transformer or counterpoise."
ON_AIR = "Low power, listen first, identify, short, and never outside your allocation."
SURE = ((0.9, "almost surely"), (0.6, "probably"), (0.0, "perhaps"))


def words_of(case: Case, advice: Advice, settings: Settings, units: Units, last: Reading | None = None) -> str:
    """One paragraph, a list of causes where something is wrong. `last`: the last reading."""
    e = case.steps[case.index(advice.step)]
    said = {
        "read": f"Read {e.step.band} now: nothing has been read there yet.",
        "cut": _cut(e, advice, settings, units),
        "fold": f"Fold back {units.cut(advice.move_m)} ± {units.cut(advice.sigma_m)}{_each(e)} of the {e.step.element}, mark it, do not cut: a fold can be let out again. {_length(advice, units)}",
        "unfold": f"Let out {units.cut(-advice.move_m)} ± {units.cut(advice.sigma_m)}{_each(e)} of the {e.step.element}. {_length(advice, units)}{_joined(e, advice)}",
        "stop": f"Good enough: {_left(advice, units)}. {_further(case, advice)}",
        "done": f"Done, all bands: {_left(advice, units)}. Twist what is folded flat along the wire, or cut it off at its mark; lift, read once more.",
        "wrong": _stray(e, advice, last) if advice.likely_hz else _wrong(advice),
    }[advice.verdict]
    if advice.seeking:
        said = _seeking(e, advice, units, last)
    moving = advice.verdict in ("cut", "fold", "unfold")
    more = [_moves(advice), HANDS_OFF] if moving else []
    if moving or advice.verdict in ("read", "stop"):
        more.append(_read_next(case, advice, settings))
    return "\n".join([said, *(line for line in more if line)])


def _seeking(e, advice: Advice, units: Units, last: Reading | None) -> str:
    """A try, not a computed length: what is folded can be let out again."""
    side = falls_to(last) if last else 0
    where = "beside them, on which side is not known"
    if side * advice.move_m < 0.0:  # as the move has it
        where = f"{'below' if side < 0 else 'above'} them, for SWR falls that way"
    how = f"fold back {units.cut(advice.move_m)}" if advice.move_m > 0 else f"let out {units.cut(-advice.move_m)}"
    return (
        f"No dip shows at the frequencies that were read: it lies {where}. To look for it {how}{_each(e)} of the {e.step.element}, do not cut, and read "
        f"again. {_length(advice, units)}{_joined(e, advice)}"
    )


def _cut(e, advice: Advice, settings: Settings, units: Units) -> str:
    return (
        f"Shorten the {e.step.element} by {units.cut(advice.move_m)}{_each(e)}: fold it back first, read, cut when it reads right. The whole way is "
        f"{units.cut(advice.wanted_m)} ± {units.cut(advice.sigma_m)}; a cut of this much is too much in at most {100 * settings.chance:g} of 100 cases. {_length(advice, units)}"
    )


def _each(e) -> str:
    """A step's length is that of one piece; two or more alike are all made so long."""
    return " each" if "both" in e.step.element or "alike" in e.step.element else ""


def _length(advice: Advice, units: Units) -> str:
    return f"It is {units.length(advice.length_m)} now and will be {units.length(advice.length_m - advice.move_m)}."


def _joined(e, advice: Advice) -> str:
    """Wire that was never there cannot be let out."""
    more = advice.length_m - advice.move_m > e.start_m + 0.01
    return " That is longer than the cut list has it: measure the piece first; if it was cut right, join wire on." if more else ""


def _left(advice: Advice, units: Units) -> str:
    return f"what is left, {units.cut(abs(advice.wanted_m))} ± {units.cut(advice.sigma_m)}, is not worth a cut"


def _further(case: Case, advice: Advice) -> str:
    if advice.next_step is None:
        return ""
    step = case.steps[case.index(advice.next_step)].step
    return f"Go on with the {step.element}: read {step.band}."


def _moves(advice: Advice) -> str:
    told = [f"{m.band} by {m.hz / 1e3:+.0f} ± {max(1.0, m.sigma_hz / 1e3):.0f} kHz" for m in advice.others if abs(m.hz) >= 500.0]
    return f"This moves {', '.join(told)}." if told else ""


def frequencies_mhz(case: Case, band: str) -> tuple[float, float, float]:
    """Where somebody with the radio's SWR alone should read: inside the wished segment's edges."""
    wish = case.wish(band)
    inside = 0.02 * (wish.high_hz - wish.low_hz)
    return tuple(round(f / 1e6, 3) for f in (wish.low_hz + inside, wish.centre_hz, wish.high_hz - inside))


def _read_next(case: Case, advice: Advice, settings: Settings) -> str:
    name = advice.next_step or advice.step
    band = case.steps[case.index(name)].step.band
    if settings.user == RADIO:
        at = ", ".join(f"{f:.3f}" for f in frequencies_mhz(case, band))
        return f"Then read the SWR at {at} MHz. {ON_AIR}"
    if advice.verdict in ("stop", "read"):
        return ""
    return f"Then read {band} again; with this piece right it shows about {advice.aim_hz / 1e6:.3f} MHz."


def _wrong(advice: Advice) -> str:
    lines = [f"Do not cut: something is wrong, {_sure(1 - advice.sound)}. {HANDS_OFF} Look in this order:"]
    for number, cause in enumerate(advice.causes, 1):
        what, check = KINDS[cause.kind]
        lines.append(f"  {number}. {what} ({100 * cause.share / max(1e-9, 1 - advice.sound):.0f} %): {check}.")
    lines.append("When it is put right, read again and say so (--mended); if all is sound after all, --checked.")
    return "\n".join(lines)


def _stray(e, advice: Advice, last: Reading | None) -> str:
    """A reading that cannot be right: slips of reading and telling first, for they are the commonest (common practice, no source)."""
    low, high = (f"{f / 1e6:.2f}" for f in advice.likely_hz)
    band = last.band if last else e.step.band
    read = f"{last.dip_hz / 1e6:.3f} MHz" if last and last.dip_hz else "that"
    lines = [
        f"Do not cut: {read} cannot be this wire's lowest SWR on {band}. At the lengths in the log it lies from {low} to {high} MHz, whatever the garden, the parts and "
        f"a slip of the hand do. {HANDS_OFF} Look in this order:",
        f"  1. the reading is mistyped, or is the dip of another band: read it again, on {band}.",
        "  2. it belongs to another step or other lengths: measure the pieces against the cut list, the order of work and the log.",
        "  3. a coil, link or trap is missing or bridged, a joint is open, the counterpoise is off: follow the wire from end to end.",
        "  4. something close by has a dip of its own (gutter, cable, another aerial): does this dip move when the piece is folded back?",
    ]
    if advice.causes:
        kinds = "; ".join(f"{KINDS[c.kind][0]} ({KINDS[c.kind][1]})" for c in advice.causes[:2])
        lines.append(f"Of the faults that were simulated the likeliest: {kinds}.")
    lines.append("It is kept but not gone by. Take it back with --strike, and read again.")
    return "\n".join(lines)


def _sure(share: float) -> str:
    return next(word for least, word in SURE if share >= least)
