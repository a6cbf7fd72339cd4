"""The demo of results/demo_trim and optimizer/docs/trim_demo.md: one design from the ranked row to a wire that works, in a scripted garden.

    OMP_NUM_THREADS=1 python tests/bench/trim_demo.py [designs to solve] [garden]

Ranks an invented lot, writes the sheet of rank 1, builds the design in a hidden garden of another generator where a trellis wire nobody surveyed
leans against a leg, reads with a meter that errs, and does what `lotwire trim` says. Writes log, sweeps and story.
"""

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "tests" / name) for name in ("ensemble", "trimming")]
from following import HALF_CM, Hand
from hidden_gardens import hidden_garden

from optimizer.field.sweep import curve
from optimizer.network.feedpoint import look
from optimizer.physics.wish_reader import read_wishes
from optimizer.report.folder import rank_into
from optimizer.search.settings import SearchSettings
from optimizer.sheet.built import read_built
from optimizer.sheet.measured import measured
from optimizer.sheet.units import Units
from optimizer.sheet.verify import verify
from optimizer.sheet.write import write_sheet
from optimizer.site.read import read_site
from optimizer.trimming.advise import ANALYSER
from optimizer.trimming.case import bared, case_of
from optimizer.trimming.command import Asked, told
from optimizer.trimming.faults import KINDS, touched
from optimizer.trimming.keep import kept_bank

FOLDER = ROOT / "results" / "demo_trim"
STORY = ROOT / "optimizer" / "docs" / "trim_demo.md"
SITE, BANDS = ROOT / "sites" / "l_shape.geojson", "40m 20m"
SURPRISE, TOUCH = "wire touching", {"share": 0.8, "size_m": 3.0, "conductivity": 3e6, "radius_m": 0.002}
MOST = 30


def main(trials="60", garden="4242"):
    site = read_site(SITE)
    wishes = read_wishes(BANDS, site)
    rank_into(FOLDER, SITE, replace(site, stem=FOLDER.name), wishes, SearchSettings(trials=int(trials), workers=1), fresh=True)
    for old in [*(FOLDER / "readings").glob("*"), *(FOLDER / "verify").glob("*")]:
        old.unlink()
    (FOLDER / "learned.json").unlink(missing_ok=True)
    write_sheet(FOLDER, 1, Units())
    built = read_built(FOLDER, 1)
    case = case_of(built)
    clean = hidden_garden(site, int(garden))
    hand = Hand(kept_bank(FOLDER, case), touched(**TOUCH)(clean), int(garden))
    lines = [*_plan(built, case), *_work(case, hand, clean), *_end(case, hand)]
    STORY.write_text("\n".join(_opening(built, trials) + lines) + "\n", encoding="utf-8")
    print(STORY.read_text(encoding="utf-8"))


def _opening(built, trials):
    return [
        "# A wire from the table to the air", "",
        f"`python tests/bench/trim_demo.py` made this page and `results/demo_trim/` ({trials} designs solved to rank). Place, names and garden are invented; the garden is of the generator that",
        "hides gardens in the tests, the meter errs, the cuts slip by some millimetres. Nothing in it was known to the program.", "",
    ]  # fmt: skip


def _plan(built, case):
    row = built.row
    rank = f"**{built.title}** on {built.site.name}: rank 1, score {row['score']:.1f}, {row['cost']:.0f} {row['currency']}, {row['wire_m']:.1f} m of wire."
    lines = ["## Ranked and drawn", "", f"{rank} `sheets/1.html` is its build sheet. Pieces to trim, in this order:", ""]
    for e in case.steps:
        lines.append(f"- {e.step.element}: finished {e.finished_m:.2f} m by the plan, cut {e.start_m:.2f} m, read {e.step.band}")
    return [*lines, "", "## The surprise", "", "Unsurveyed: a steel trellis wire of 3 m leans against the wire and touches it, four fifths along.", ""]


def _work(case, hand, clean):
    lines = ["## At the wire", ""]
    step, moved, mended, where = case.names[0], 0.0, False, None
    for number in range(1, MOST):
        j = case.index(step)
        e = case.steps[j]
        seen = hand.read(e.step.band, False, ANALYSER)
        advice = told(FOLDER, 1, Asked(band=e.step.band, shortened_m=moved, mended=mended, **seen))
        length = case.finished_m[j] * np.exp(hand.u[j])
        lines += [
            f"**Reading {number}.** {e.step.element.capitalize()} {length:.2f} m; {e.step.band}: lowest SWR {seen['swr']:.1f} at {seen['dip_hz'] / 1e6:.3f} MHz.", "",
            *(f"> {line.strip()}  " for line in advice.words.splitlines()), "",
        ]  # fmt: skip
        moved, mended, told_of = 0.0, False, advice.advice
        if told_of.verdict == "done":
            return lines
        if told_of.verdict == "wrong":
            where, mended = where or number, True
            lines += _looked(told_of, hand, case, clean)
        elif told_of.verdict == "stop":
            step = told_of.next_step
        else:
            moved = float(np.floor(told_of.move_m / HALF_CM + 1e-6) * HALF_CM)
            hand.shorten(j, moved, number)
            lines += [f"{'Let out' if moved < 0 else 'Cut' if told_of.verdict == 'cut' else 'Folded'} {abs(100 * moved):.1f} cm.", ""]
    return [*lines, "Not finished in time.", ""]


def _looked(advice, hand, case, clean):
    """Down the list until the cause is found."""
    lines = []
    for cause in advice.causes:
        if cause.kind != SURPRISE:
            lines += [f"Looked for: {KINDS[cause.kind][0]}. Sound.", ""]
            continue
        hand.yard = case.yard(clean, hand.change)
        return [*lines, "Walked along the wire: the trellis. Tied it back to its post, a metre off.", ""]
    return [*lines, "None of it. Read again.", ""]


def _end(case, hand):
    """Where it ended: the curves, as sweeps in the folder and in a table."""
    lines = ["## What it came to", "", "| band | wanted dip | dip | SWR there | share of the segment at 2 or less | planned |", "|---|---|---|---|---|---|"]
    for n, e in enumerate(case.steps):
        wish, key = case.wish(e.step.band), e.step.band
        freq, swr = hand.curve(key)
        inside = (freq >= wish.low_hz) & (freq <= wish.high_hz)
        planned = case.built.row[f"{key}_covered_share"]
        at = int(np.argmin(swr))
        lines.append(f"| {key} | {np.exp(hand.bank.ends[n]) / 1e6:.3f} MHz | {freq[at] / 1e6:.3f} MHz | {swr[at]:.2f} | {np.mean(swr[inside] <= 2.0):.2f} | {planned:.2f} |")
        _sweep(case, hand, key)
    read = measured(files=tuple(FOLDER / f"measured_{key}.s1p" for key in dict.fromkeys(e.step.band for e in case.steps)))
    found, _ = verify(FOLDER, 1, read)
    lines += ["", "`lotwire verify` on the sweeps (`verify/1.html` has the picture):", "", *(f"> {line.strip()}  " for line in found.words.splitlines() if line.strip())]
    return [*lines, "", "`measured_BAND.s1p` hold the final sweeps, `readings/` the log, `learned.json` what the readings taught about the site.", ""]


def _sweep(case, hand, key):
    """The reflection at the radio in Touchstone form (real and imaginary part, 50 ohm)."""
    real, found = hand.yard.solution(bared(case.at(hand.u), False), key)
    freq = np.linspace(found.freq_hz[0], found.freq_hz[-1], 201)
    z = look(freq, curve(found.freq_hz, found.z_ohm, freq), replace(real.feed, tuner=None)).z_radio_ohm
    s = (z - 50) / (z + 50)
    rows = [f"{f:.0f} {v.real:.6f} {v.imag:.6f}" for f, v in zip(freq, s)]
    (FOLDER / f"measured_{key}.s1p").write_text("\n".join(["! simulated garden, see optimizer/docs/trim_demo.md", "# Hz S RI R 50", *rows]) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(*sys.argv[1:])
