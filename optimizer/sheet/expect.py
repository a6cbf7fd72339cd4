"""What to expect of the wire: SWR, readings while trimming, the sky, reach and noise, and where the power goes."""

from __future__ import annotations

from ..families.pieces import kind_of
from ..physics.hop import s_words
from ..physics.openings import openings
from . import curves, sky
from .built import Built
from .filed import meter_filed, sky_filed
from .model import Figure, Figures, Heading, Section, Table, Text
from .reach import FAR_KM, NEAR_KM, Reach, height_m, reaches
from .readings import Expected
from .solved import SolvedBand
from .units import Units

UNSURE_WORDS = "What happens below 10° hangs on the ground far beyond your fence: read the slanted wedge as least certain."
ABREAST = 3  # drawings of the sky on a page's width, a band each
SHARE_WORDS = {
    "sky": "to the sky", "soil": "warms the soil", "wire": "warms the wire", "line": "warms the line",
    "transformer": "warms the transformer", "tuner": "warms the tuner",
}  # fmt: skip
NOT_JUDGED = "This design was not built and trimmed in gardens (time did not reach it): lines only, no bands. Your garden shifts the dip by a per cent or two; trimming puts it back."


def expect_sections(built: Built, bands: tuple[SolvedBand, ...], readings: tuple[Expected, ...], units: Units) -> tuple[Section, ...]:
    return (
        Section(key="swr", title="What the meter should show", blocks=tuple(_swr(built, bands))),
        Section(key="stepwise", title="What it should show at each trimming step", blocks=tuple(_steps(built, readings))),
        Section(key="sky", title="Where it radiates", blocks=tuple(_sky(built, bands))),
        Section(key="reach", title="How strong, how noisy, when open", blocks=tuple(_reach(built, bands, units))),
        Section(key="losses", title="Where the power goes", blocks=tuple(_losses(built))),
    )


def _filed(built: Built, band: SolvedBand) -> dict:
    return built.content["bands"][band.wish.key]


def _swr(built: Built, bands):
    yield Text("SWR tells how well wire and radio match: 1 is perfect; above your radio's limit it turns its power down. Dotted ground: the part of the band you asked for.")
    if built.feed.tuner:
        yield Text("Read it at the tuner's plug with the tuner out of circuit: the tuner is there to bring these values down to 1.")
    expected = {b.wish.key: meter_filed(_filed(built, b)) for b in bands}
    yield Figures(tuple(Figure(curves.swr_curve(b, built.wishes.swr_limit, expected[b.wish.key])) for b in bands))
    if not any(expected.values()):
        yield Text(NOT_JUDGED)
    else:
        yield Text("Bars: where the curve lies in four of five gardens like yours, built and trimmed by this sheet. Outside them, once trimmed: “lotwire verify” says what that suggests.")


def _steps(built: Built, readings: tuple[Expected, ...]):
    """One picture a step, where the file holds the readings of many gardens."""
    shown = [(n, e) for n, e in enumerate(readings, 1) if e.first]
    if shown:
        yield Text("Each picture: the step's first reading, wire cut as listed and the spare let out, the steps before it done. Shorten until the dip stands at the aim.")
        yield Figures(tuple(Figure(curves.step_curve(n, e.step.element, e.step.band, e.first, e.target_hz, built.wishes.swr_limit)) for n, e in shown))


def _sky(built: Built, bands):
    yield Text(
        "Near contacts (to some 500 km on the low bands) leave steeply, far ones at 5 to 20°. Farther out on the drawing is stronger, 3 dB more is twice the power. "
        + UNSURE_WORDS
    )
    skies = {b.wish.key: sky_filed(_filed(built, b)) for b in bands}
    for i in range(0, len(bands), ABREAST):
        for draw in (sky.elevation_plot, sky.bearing_plot):
            yield Figures(tuple(Figure(draw(b, skies[b.wish.key])) for b in bands[i : i + ABREAST]))


def _reach(built: Built, bands, units: Units):
    found = reaches(built, bands)
    up = units.height(height_m(built))
    yield Table(
        f"Against a half-wave dipole for that band alone, {up} up over the same soil (0: as strong; -6 dB: one step of a signal meter less)",
        ("band", "near contacts", "far contacts"),
        tuple((r.wish.key, _against(r.near_db, r.near_range_db), _against(r.far_db, r.far_range_db)) for r in found), numbers=(1, 2),
    )  # fmt: skip
    yield Table(
        f"Noise, and your {built.wishes.power_w:g} W over it at the other end",
        ("band", "noise at a house", f"lead, {NEAR_KM:.0f} km", f"lead, {FAR_KM:.0f} km"),
        tuple((r.wish.key, s_words(r.noise_dbm), _lead(r.near_lead_db), _lead(r.far_lead_db)) for r in found), numbers=(2, 3),
    )  # fmt: skip
    yield Text(
        "The lead is what is left over the noise of a house (ITU-R P.372, residential, median, voice channel of 2.4 kHz) after spreading alone, one hop by way of a "
        "layer 300 km up. The ionosphere takes its share of it: little on a good path, all of it on a bad one. Noise differs by ten decibels and more from house to "
        "house, and by the hour. In the country it is 5 dB less, in a city 4 dB more."
    )
    yield Text(_hearing(found))
    yield Heading("When each band is usually open: a hint for middle latitudes, no promise")
    known = openings()
    yield Table("", ("band", "near", "far"), tuple((r.wish.key, *known[r.wish.band][:2]) for r in found if r.wish.band in known))
    sources = dict.fromkeys(known[r.wish.band][2] for r in found if r.wish.band in known)
    yield Text("Sources: " + ". ".join(sources) + ". Look at a current forecast, and listen before you call.")


def _against(db: float, ends) -> str:
    return f"{db:+.0f} dB" + (f" ({ends[0]:+.0f} to {ends[1]:+.0f})" if ends else "")


def _lead(db: float) -> str:
    return f"{db:.0f} dB"


def _hearing(found: tuple[Reach, ...]) -> str:
    least = min(found, key=lambda r: r.heard_db)
    if least.heard_db > 3.0:
        return (
            f"Hearing: on every band the outside noise, after the wire's losses, stands over your radio's own (least on {least.wish.key}, by some {least.heard_db:.0f} dB): the losses weaken "
            "wanted signal and noise alike, and you hear about as well as with a stronger wire."
        )
    return f"Hearing: on {least.wish.key} the wire's losses bring the outside noise down to your radio's own: there a stronger wire would also hear more."


def _losses(built: Built):
    yield Text(f"Shares of the power that the radio gives, {built.wishes.power_w:g} W at the peak; of 100 W, 1 % is 1 W.")
    figures = []
    for key, case in built.cases.items():
        budget = built.content["bands"][key].get("power_budget", {})
        names = {f"load {i}": kind_of(v.element) for i, v in enumerate(case.loads)}
        merged: dict[str, float] = {}
        for name, share in budget.items():
            part = names[name] + "s" if name in names else name
            word = SHARE_WORDS.get(name) or f"warms the {part}"
            merged[word] = merged.get(word, 0.0) + share
        shown = sorted(((n, s) for n, s in merged.items() if s >= 0.0005), key=lambda t: (t[0] != SHARE_WORDS["sky"], -t[1]))
        if shown:
            figures.append(Figure(curves.bars(shown, f"{key}: shares of the radio's power")))
    yield Figures(tuple(figures))
