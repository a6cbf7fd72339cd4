"""A built wire checked: measured SWR over the expected band, on one picture a band, and what the difference suggests.

`verified` is pure; `verify` reads a results folder and writes the page. Read at the radio's end of the line, tuner out of circuit.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

from ..errors import Fault, InputError
from ..families.pieces import kind_of
from ..report.notes import HONEST_NOTE
from ..report.stale import VERIFIED, mark_of, put_aside
from ..spread import CurveBand
from .built import Built, read_built
from .compare import Compared, Predicted, compare, suggests
from .curves import swr_curve
from .filed import meter_filed
from .html import render
from .measured import Measured
from .model import Document, Figure, Figures, Items, Section, Text
from .readings import GARDEN_SHARE, Expected, expected
from .solved import SolvedBand, solved_bands

ROUGH = 1.15  # either side of the SWR, where no gardens were computed: common practice, no source
HOW = "Read at the radio's end of the line, tuner out of circuit, low power, inside your allocation."


@dataclass(frozen=True, kw_only=True)
class Verified:
    """`pictures`: SVG by band."""

    bands: tuple[Compared, ...]
    suggests: tuple[str, ...]
    pictures: dict[str, str]

    @property
    def words(self) -> str:
        causes = [f"  {i}. {cause}" for i, cause in enumerate(self.suggests, 1)] if len(self.suggests) > 1 else list(self.suggests)
        return "\n".join([*(c.words for c in self.bands), "What it suggests:" if len(causes) > 1 else "", *causes]).replace("\n\n", "\n")

    def content(self) -> dict:
        return {"bands": [asdict(c) for c in self.bands], "suggests": list(self.suggests)}


def verified(built: Built, read: Measured, bands: tuple[SolvedBand, ...] | None = None, steps: tuple[Expected, ...] | None = None) -> Verified:
    """Measured against expected. `bands`, `steps`: where they are computed already. InputError where nothing measured meets a band."""
    bands = bands if bands is not None else solved_bands(built)
    steps = steps if steps is not None else expected(built)
    predicted = {b.wish.key: predicted_of(built, b, steps) for b in bands}
    found = compare(tuple(predicted.values()), read)
    if not found:
        want = ", ".join(f"{b.freq_hz[0] / 1e6:.3f} to {b.freq_hz[-1] / 1e6:.3f}" for b in bands)
        raise InputError([Fault("verify", "readings", f"{read.freq_hz[0] / 1e6:.3f} to {read.freq_hz[-1] / 1e6:.3f} MHz", f"some within {want} MHz")])
    keys = {c.key for c in found}
    parts = any(kind_of(v.element) in ("coil", "trap", "capacitor") for v in built.all_loads)
    return Verified(
        bands=found, suggests=suggests(found, bool(built.feed.transformer), parts),
        pictures={b.wish.key: swr_curve(b, built.wishes.swr_limit, predicted[b.wish.key].expected, (read.freq_hz, read.swr)) for b in bands if b.wish.key in keys},
    )  # fmt: skip


def predicted_of(built: Built, band: SolvedBand, steps: tuple[Expected, ...]) -> Predicted:
    """The expected band: of the gardens, or by rule of thumb where none were computed."""
    filed = meter_filed(built.content["bands"][band.wish.key])
    step = next((s for s in steps if s.step.band == band.wish.key), None)
    return Predicted(
        key=band.wish.key, expected=filed or rough_band(band), assumed=filed is None,
        element=step.step.element if step else "", khz_per_cm=abs(step.hz_per_m) / 1e5 if step else None,
    )  # fmt: skip


def rough_band(band: SolvedBand) -> CurveBand:
    """The computed curve moved by what gardens do to the dip, either way."""
    moved = np.array([np.interp(band.freq_hz, band.freq_hz * share, band.meter) for share in np.linspace(1 - GARDEN_SHARE, 1 + GARDEN_SHARE, 21)])
    dip = float(band.freq_hz[int(np.argmin(band.meter))])
    return CurveBand(
        freq_hz=tuple(band.freq_hz.tolist()), low=tuple(np.maximum(1.0, moved.min(axis=0) / ROUGH).tolist()),
        high=tuple((moved.max(axis=0) * ROUGH).tolist()), dip_hz=(dip * (1 - GARDEN_SHARE), dip * (1 + GARDEN_SHARE)),
    )  # fmt: skip


def page_of(built: Built, found: Verified) -> Document:
    """One page: what was found, the pictures, what it suggests."""
    return Document(
        title=f"Verify: {built.title}", lead=f"{built.site.name}, rank {built.content['rank']}", note=HONEST_NOTE[0].upper() + HONEST_NOTE[1:] + ".",
        made_with=built.content.get("made_with", ""), mark=mark_of(built.content),
        sections=(Section(key="verify", title="Measured over expected", blocks=(
            Text(HOW), Items(tuple(c.words for c in found.bands)), Figures(tuple(Figure(svg) for svg in found.pictures.values())),
            Text("What it suggests, likeliest first. Transmitter off and line unplugged before you touch anything."), Items(found.suggests, boxes=True),
        )),),
    )  # fmt: skip


def verify(folder: Path, rank: int, read: Measured, html: Path | None = None) -> tuple[Verified, Path]:
    """Check the design of that rank and write the page (`DIR/verify/RANK.html`). Raises InputError."""
    built = read_built(folder, rank)
    found = verified(built, read)
    try:
        if html is None:
            html = folder / VERIFIED / f"{rank}.html"
            put_aside(html, mark_of(built.content))  # what was measured on another wire is not written over
        html.parent.mkdir(parents=True, exist_ok=True)
        html.write_text(render(page_of(built, found)), encoding="utf-8")
    except OSError as error:
        raise InputError([Fault("verify", "--html", str(html or folder), "a place that can be written", str(error))]) from error
    return found, html
