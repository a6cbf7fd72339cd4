"""What a row needs, and what it wins and loses against the row above, in plain words."""

from __future__ import annotations

from collections import Counter

from ..criteria.weights import DEFAULT, Weights
from ..evaluate import Evaluation
from ..network.feedpoint import look
from ..physics.bands import band_table
from ..physics.elements import Capacitor, Coil, Trap
from ..physics.wishes import WishList

HIDDEN_SWR, GOOD_SWR = 2.5, 2.0  # at the wire, at the radio: a bad match that a lossy line hides
WORTH_SAYING = 0.004  # of the performance
SHOWN = 3


def needs(evaluation: Evaluation, safety: list[str] | tuple[str, ...] = ()) -> str:
    """Masts, supports and special parts, and what safety asks, in one line."""
    design = evaluation.design
    masts = Counter(f"{m.height_m:.1f} m" for m in design.structure.masts)
    words = [f"{n} masts of {height}" if n > 1 else f"mast {height}" for height, n in masts.items()] or ["no mast"]
    if design.apex_deg is not None:
        words.append(f"an apex of {design.apex_deg:.0f} degrees, for want of room")
    if design.feed.impedance_ratio:
        words.append(f"{design.feed.impedance_ratio:g}:1 transformer")
    for kind, name in ((Coil, "coil"), (Trap, "trap"), (Capacitor, "series capacitor")):
        count = sum(isinstance(load.element, kind) for load in design.loads)
        if count:
            words.append(f"{count} {name}{'s' if count > 1 else ''}")
    if design.feed.tuner:
        words.append("tuner")
    if design.switched_by:
        words.append(f"{evaluation.change_min:.0f} min outside for a change of band")
    words.append(f"{design.feed.line_length_m:.0f} m line{' as return path, choke at the house' if design.feed.choke_at == 'radio' else ''}")
    words += [f"{key} matched only by what the line loses (SWR {worst:.1f} at the wire)" for key, worst in hidden_by_line(evaluation).items()]
    return ", ".join([*words, *safety])


def hidden_by_line(evaluation: Evaluation) -> dict[str, float]:
    """Wish key -> worst SWR before the line, where that is bad and the radio, at the end of a lossy line without a tuner, sees a good one."""
    feed = evaluation.design.feed
    if feed.tuner:
        return {}
    found = {}
    for key, band in evaluation.bands.items():
        seen = look(band.solved_hz, [complex(*ohm) for ohm in band.solved_ohm], feed)
        worst = int(seen.swr_feed.argmax())
        if seen.swr_feed[worst] > HIDDEN_SWR and seen.swr_radio[worst] < GOOD_SWR:
            found[key] = float(seen.swr_feed[worst])
    return found


def blocks(wishes: WishList, site) -> list[str]:
    """A line for each wish, named by a word, of a band that is allocated in blocks with gaps: which of it is judged.

    site : anything with `itu_region` and `country`
    """
    bands, found = band_table(site.itu_region, site.country), []
    for wish in wishes.bands:
        allocated = bands[wish.band].allocations_hz if wish.band in bands else ()
        others = [block for block in allocated if not block[0] <= wish.low_hz <= block[1]]
        if others and wish.segment != "custom":
            found.append(
                f"{wish.key}: {len(allocated)} blocks with gaps here; {_mhz(wish.low_hz, wish.high_hz)} MHz is judged; another is wished as {wish.band}:{_mhz(*others[0])}"
            )
    return found


def _mhz(low_hz: float, high_hz: float) -> str:
    return f"{low_hz / 1e6:g}-{high_hz / 1e6:g}"


def why(wishes: WishList, evaluation: Evaluation, above: Evaluation | None, currency: str, weights: Weights = DEFAULT) -> str:
    """For the first row what it covers, for the others the difference to the row above under the weights of the scores."""
    if above is None:
        covered = [f"{k} {100 * b.covered_share:.0f} %" for k, b in evaluation.bands.items()]
        return f"most worth of all tried: covers {', '.join(covered)} at {evaluation.cost:.0f} {currency}"
    changes = sorted(_changes(wishes, evaluation, above, currency, weights), key=lambda c: -abs(c[0]))
    wins = [text for points, text in changes if points > 0][:SHOWN]
    loses = [text for points, text in changes if points < 0][:SHOWN]
    parts = (["loses " + "; ".join(loses)] if loses else []) + (["wins " + "; ".join(wins)] if wins else [])
    return ", but ".join(parts) if parts else "much the same as the row above"


def _changes(wishes, now: Evaluation, above: Evaluation, currency: str, weights: Weights):
    """(worth of the change, words) for every figure that moved noticeably."""
    total = sum(w.weight for w in wishes.bands) or 1.0
    for wish in wishes.bands:
        a, b, share = above.bands[wish.key], now.bands[wish.key], wish.weight / total
        pa, pb = above.score.bands[wish.key], now.score.bands[wish.key]
        both = 0.5 * (pa.reach + pb.reach) * share
        yield from _noticeable(share * (pb.reach - pa.reach), _reach_words(wish.key, a, b))
        yield from _noticeable(
            weights.efficiency * both * (pb.efficiency - pa.efficiency),
            f"{wish.key} efficiency {100 * b.efficiency:.0f} against {100 * a.efficiency:.0f} %",
        )
        which = "near" if abs(b.gain_near_dbi - a.gain_near_dbi) > abs(b.gain_far_dbi - a.gain_far_dbi) else "far"
        ga, gb = getattr(a, f"gain_{which}_dbi"), getattr(b, f"gain_{which}_dbi")
        if (gb - ga) * (pb.gain - pa.gain) > 0:
            yield from _noticeable(
                weights.gain * both * (pb.gain - pa.gain), f"{wish.key} {which} gain {gb:.1f} against {ga:.1f} dBi"
            )
    handy = weights.handling * (now.score.handling - above.score.handling)
    yield from _noticeable(handy, f"{now.change_min:.1f} against {above.change_min:.1f} min of handwork for a change of band")
    thrifty = weights.thrift * (now.score.thrift - above.score.thrift)
    yield from _noticeable(thrifty, f"cost {now.cost:.0f} against {above.cost:.0f} {currency}")


def _reach_words(key, a, b) -> str:
    if abs(a.covered_share - b.covered_share) > 0.005:
        now, above = (100 * round(share, 3) for share in (b.covered_share, a.covered_share))  # as in the table
        return f"{key} covered {now:.0f} against {above:.0f} %"
    return f"{key} worst SWR {b.swr_worst:.1f} against {a.swr_worst:.1f}"


def _noticeable(points: float, text: str):
    if abs(points) >= WORTH_SAYING:
        yield points, text
