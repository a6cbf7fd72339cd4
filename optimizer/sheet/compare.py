"""Measured SWR against the expected band, band by band, and what the difference suggests. Pure: numbers in, words out.

A point agrees when it lies in the expected band widened by the meter's error (`METER_SHARE` of the reading and `METER_SWR`). A band is then one of

    agrees       `ENOUGH` of its points do
    low, high    its dip lies below or above where the dip of four of five gardens lies
    flat low     hardly any dip where one is expected, and a good match everywhere: something eats the power
    flat high    no dip at all and a bad match everywhere: nothing gets to the wire
    no dip       as level, match between good and bad: which way the dip lies is not told
    worse        dip in its place, least SWR too high
    better       dip in its place, least SWR lower than in nine of ten gardens: loss flatters
    off          none of these

The list of causes goes by what the bands have in common, likeliest first. All limits here: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..spread import CurveBand
from .measured import Measured

METER_SHARE, METER_SWR = 0.10, 0.10
ENOUGH = 0.8
FEW = 3  # points a band needs before its dip is looked for
FLAT = 1.35  # greatest over least SWR of a flat curve
OPEN_SWR = 5.0
ALIKE = 0.6  # shifts of two bands of one cause: the smaller over the larger, as shares


@dataclass(frozen=True, kw_only=True)
class Predicted:
    """One band: what is expected over the gardens, and how far a cut moves it. `khz_per_cm`: None without a step of its own."""

    key: str
    expected: CurveBand
    element: str = ""
    khz_per_cm: float | None = None
    assumed: bool = False  # the band of a rule of thumb, not of gardens


@dataclass(frozen=True, kw_only=True)
class Compared:
    """One band. `dip_hz`: None where its dip was not in sight; `shift`: from the nearest end of the expected dips, as a share of the frequency."""

    key: str
    verdict: str
    points: int
    inside: float
    dip_hz: float | None
    shift: float
    least_swr: float
    words: str


def compare(predicted: tuple[Predicted, ...], measured: Measured) -> tuple[Compared, ...]:
    """Every predicted band that was measured."""
    return tuple(c for c in (_one(p, measured) for p in predicted) if c is not None)


def _one(band: Predicted, measured: Measured) -> Compared | None:
    e = band.expected
    near = (measured.freq_hz >= 0.94 * e.dip_hz[0]) & (measured.freq_hz <= 1.06 * e.dip_hz[1]) | _within(measured.freq_hz, e)
    freq, swr = measured.freq_hz[near], measured.swr[near]
    shown = _within(freq, e)
    if not shown.any():
        return None
    low, high = (np.interp(freq[shown], e.freq_hz, side) for side in (e.low, e.high))
    agrees = (swr[shown] >= low / (1 + METER_SHARE) - METER_SWR) & (swr[shown] <= high * (1 + METER_SHARE) + METER_SWR)
    dip = _dip(freq, swr)
    shift = 0.0 if dip is None else max(0.0, dip / e.dip_hz[1] - 1.0) + min(0.0, dip / e.dip_hz[0] - 1.0)
    verdict = "agrees" if agrees.mean() >= ENOUGH else _verdict(e, freq, swr, dip, shift)
    found = Compared(key=band.key, verdict=verdict, points=int(near.sum()), inside=float(agrees.mean()), dip_hz=dip, shift=shift, least_swr=float(swr.min()), words="")
    return Compared(**{**found.__dict__, "words": _words(band, found)})


def _within(freq_hz, e: CurveBand):
    return (freq_hz >= e.freq_hz[0]) & (freq_hz <= e.freq_hz[-1])


def _dip(freq, swr) -> float | None:
    """Frequency of the least SWR: middle of the least tenth; None where it lies at the end of what was measured."""
    if len(freq) < FEW:
        return None
    flat = np.flatnonzero(swr <= swr.min() + 0.05)
    return None if flat[0] == 0 or flat[-1] == len(freq) - 1 else float(0.5 * (freq[flat[0]] + freq[flat[-1]]))


def _verdict(e: CurveBand, freq, swr, dip, shift) -> str:
    wanted = max(e.high) / max(min(e.low), 1.0)
    level, poor = len(freq) >= FEW and swr.max() / swr.min() < FLAT, swr.min() > min(e.high) + METER_SWR
    if level and poor and abs(np.log(swr[-1] / swr[0])) <= METER_SHARE:  # no flank beyond the meter's error: which way the dip lies is not told
        return "flat high" if swr.min() > OPEN_SWR else "no dip"
    if level and wanted > FLAT**2:
        return "flat high" if swr.min() > OPEN_SWR else "flat low"
    if dip is None and len(freq) >= FEW and poor:
        return "low" if swr[0] < swr[-1] else "high"  # falls towards one end: the dip lies beyond it
    if abs(shift) > 0.001:
        return "low" if shift < 0 else "high"
    if swr.min() > min(e.high) * (1 + METER_SHARE) + METER_SWR:
        return "worse"
    return "better" if swr.min() < min(e.low) / (1 + METER_SHARE) - METER_SWR or swr.max() < max(e.low) / (1 + METER_SHARE) - METER_SWR else "off"


def _words(band: Predicted, c: Compared) -> str:
    head = f"{band.key}: {c.points} points, {100 * c.inside:.0f} % inside the expected band. "
    if c.dip_hz and c.verdict in ("low", "high"):
        low, high = band.expected.dip_hz
        off = abs(c.dip_hz - 0.5 * (low + high)) / 1e3
        way = "low" if c.verdict == "low" else "high"
        cut = f", some {off / band.khz_per_cm:.0f} cm of {band.element} too {'long' if way == 'low' else 'short'}" if band.khz_per_cm else ""
        return head + f"Dip at {c.dip_hz / 1e6:.3f} MHz, expected {low / 1e6:.3f} to {high / 1e6:.3f}: {off:.0f} kHz too {way}{cut}."
    return head + {
        "agrees": "As expected.",
        "low": "The dip lies below what was measured: it acts too long.",
        "high": "The dip lies above what was measured: it acts too short.",
        "flat low": "Hardly any dip, a good match everywhere.",
        "flat high": "No dip, a bad match everywhere.",
        "no dip": "As good as level over what was measured: where the dip lies is not told.",
        "worse": f"Dip in its place, but no lower than SWR {c.least_swr:.1f}.",
        "better": "The match is better than a sound wire of this kind has.",
        "off": "Another shape than expected.",
    }[c.verdict]


def suggests(found: tuple[Compared, ...], has_transformer: bool, has_parts: bool) -> tuple[str, ...]:
    """What the difference suggests, likeliest first, each with the check that tells it; one line where all agrees."""
    verdicts = {c.verdict for c in found}
    if verdicts <= {"agrees"}:
        return ("It is what was computed, within what gardens do. Write the date and these readings down: a later change then tells of water, corrosion or a slipped wire.",)
    causes = []
    if "flat high" in verdicts:
        causes += [
            "Nothing reaches the wire: plug, line or feed connection open or shorted. Line unplugged at the radio, ohm meter across it and along it.",
            *(["The transformer is wired wrongly or its wire is broken. Put its test resistor on it and read again (winding sheet)."] if has_transformer else []),
        ]
    if verdicts & {"flat high", "no dip"}:
        causes.append("Or the dip lies far off: read over a wider stretch, with an analyser where that leaves the band; a level curve does not tell whether the wire is too long or too short.")
    if verdicts & {"flat low", "better"}:
        causes += [
            "Loss makes the match look good: water in line or plugs, a choke or transformer that gets hot. Read with the far end of the line open: SWR should be high.",
            "The line is longer or thinner than listed. Compare it with the parts list.",
        ]
    causes += _shifted(found, has_parts)
    if "worse" in verdicts:
        causes += [
            "The resistance at the feed differs: height, angle or soil. Compare heights with side 1; dry or wet soil alone can do it.",
            *(["The transformer's turns or its capacitor. Count them, put the test resistor on it."] if has_transformer else []),
            "The line takes part as a wire. Move or touch it: if the reading jumps, look at the choke and at the counterpoise.",
        ]
    if "off" in verdicts:
        causes.append("A shape like no sound wire's: something touches, or another aerial stands close. Look along the wire, read again on a dry day.")
    return tuple(dict.fromkeys(causes))


def _shifted(found, has_parts: bool) -> list[str]:
    """All bands off the same way, or some of them."""
    off = [c for c in found if c.verdict in ("low", "high")]
    if not off:
        return []
    ways, long = {c.verdict for c in off}, off[0].verdict == "low"
    shifts = [abs(c.shift) for c in off if c.shift]
    alike = len(off) == len(found) > 1 and len(ways) == 1 and (not shifts or min(shifts) >= ALIKE * max(shifts))
    if alike or len(found) == 1:
        whole = "long" if long else "short"
        more = ["It touches or runs close to something: gutter, fence, wet branch. Pull it free with a cord, read again."] if long else ["A joint is open part of the way, or the counterpoise is off. Pull at every joint, follow the counterpoise to its terminal."]
        return [f"The wire as a whole acts too {whole}: go back to step 1 of the trimming table.", *more]
    names = ", ".join(c.key for c in off)
    part = " or the coil or trap for it has another value than listed: measure it alone" if has_parts else ""
    return [f"Only {names}: the piece that tunes it is not at its length{part}. Take that step of the trimming table again.",
            "Another step was done after it and moved it. Go through the table once more in its order."]  # fmt: skip
