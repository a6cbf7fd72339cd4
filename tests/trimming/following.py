"""Somebody in a hidden garden with a meter that errs and a knife that slips, who does what the advice says.

Meter (common practice, no source): the size of the reflection off by 3 % on the whole and by a slow slope over the band, SWR shown in tenths,
the dip in the middle of its least tenth,
to 5 kHz, found to 0.03 % and a tenth of half the width within which the SWR hardly changes. A radio shows SWR to 5, at three frequencies of the wished segment.
A cut is rounded down to the half centimetre and off by 2 mm.
"""

from dataclasses import dataclass, field

import numpy as np

from optimizer.ensemble.yard import read_dip_hz
from optimizer.trimming.advise import RADIO, Settings, advise
from optimizer.trimming.bank import final_u
from optimizer.trimming.evidence import POINT_TOP
from optimizer.trimming.log import Reading
from optimizer.trimming.response import dip_of, in_gardens

MOST = 30
SLIP_M = 0.002
HALF_CM = 0.005
ON_TARGET = 0.004
LITTLE_LOST = 0.05  # of a segment


@dataclass
class Story:
    """What came of it. `overshoots`: cuts that left a piece shorter than it may be in the end; `verdicts`: in order."""

    log: tuple = ()
    cuts: int = 0
    folds: int = 0
    unfolds: int = 0
    overshoots: int = 0
    verdicts: list = field(default_factory=list)
    advice: object = None
    ends: dict = field(default_factory=dict)
    lost: dict = field(default_factory=dict)


class Hand:
    """One garden; `change`, `garden`: what is wrong there; `slips_at`: number of the cut that goes to another piece, and which (None: nowhere)."""

    def __init__(self, bank, garden, seed, *, change=lambda d: d, slips_at=None, slips_to=None, share=1.0):
        self.bank, self.case = bank, bank.case
        self.rng = np.random.default_rng([5, seed])
        self.garden, self.change = garden, change
        self.yard = self.case.yard(garden, change)
        self.u = np.array(self.case.start, float)
        self.scale, self.slips_at, self.slips_to, self.share = self.rng.normal(0.0, 0.03), slips_at, slips_to, share
        sound = in_gardens(self.case, bank.plan, [garden])
        self.final = final_u(self.case, sound, bank.ends)[0]

    def curve(self, band, bare=False):
        from optimizer.trimming.case import bared

        return self.yard.swr(self.change(bared(self.case.at(self.u), bare)), band, bare)

    def read(self, band, bare, user):
        """What the meter shows."""
        freq, swr = self.curve(band, bare)
        middle = np.log(freq / freq[len(freq) // 2]) / 0.05
        gamma = (swr - 1) / (swr + 1) * (1 + self.scale) + self.rng.normal(0, 0.005) * middle
        shown = (1 + np.clip(gamma, 0, 0.98)) / (1 - np.clip(gamma, 0, 0.98))
        if user == RADIO:
            wish = self.case.wish(band)
            at = np.linspace(wish.low_hz, wish.high_hz, 5)[[0, 2, 4]]
            return {"points": tuple((float(f), float(min(POINT_TOP, round(np.interp(f, freq, shown), 1)))) for f in at)}
        dip = read_dip_hz(freq, shown) * (1 + self.rng.normal(0, np.hypot(0.0003, 0.1 * dip_of(freq, swr)[1])))
        return {"dip_hz": round(dip / 5e3) * 5e3, "swr": max(1.0, round(float(shown.min()), 1))}

    def shorten(self, j, metres, count):
        lengths = self.case.finished_m * np.exp(self.u)
        target, share = j, 1.0
        if self.slips_at is not None and count == self.slips_at:
            target, share = self.slips_to, self.share
        if target is not None:
            lengths[target] -= share * (metres + self.rng.normal(0.0, SLIP_M) * (metres > 0))
        self.u = np.log(np.maximum(lengths, 0.05) / self.case.finished_m)

    def follow(self, settings=Settings()):
        story, step, moved = Story(), self.case.names[0], 0.0
        if settings.user == RADIO:
            moved = self._first(step, settings, story)
        for _ in range(MOST):
            j = self.case.index(step)
            e = self.case.steps[j]
            bare = e.bare and not any(r.step == n for r in story.log for n in self.case.names[j + 1 :])
            story.log = (*story.log, Reading(step=step, band=e.step.band, shortened_m=moved, bare=bare, **self.read(e.step.band, bare, settings.user)))
            told = story.advice = advise(self.bank, story.log, settings)
            story.verdicts.append(told.verdict)
            moved = 0.0
            if told.verdict in ("done", "wrong"):
                break
            if told.verdict == "stop":
                step = told.next_step or self.case.names[0]
                if settings.user == RADIO and not any(r.step == step for r in story.log):
                    moved = self._first(step, settings, story)
                continue
            moved = self._move(j, told, story)
        self._judge(story)
        return story

    def _first(self, step, settings, story):
        told = advise(self.bank, story.log, settings, step)
        return self._move(self.case.index(step), told, story) if told.verdict in ("fold", "unfold") else 0.0

    def _move(self, j, told, story):
        moved = float(np.floor(told.move_m / HALF_CM + 1e-6) * HALF_CM)
        story.cuts += told.verdict == "cut"
        story.folds += told.verdict == "fold"
        story.unfolds += told.verdict == "unfold"
        self.shorten(j, moved, story.cuts + story.folds)
        story.overshoots += told.verdict == "cut" and self.u[j] < self.final[j]
        return moved

    def _judge(self, story):
        """Where every trimmed band really ends, as a share of where it should; and how much less of its segment is covered than if it ended there."""
        limit = self.case.built.wishes.swr_limit
        for j, e in enumerate(self.case.steps):
            freq, swr = self.curve(e.step.band)
            off = float(np.log(dip_of(freq, swr)[0]) - self.bank.ends[j])
            wish = self.case.wish(e.step.band)
            at = np.linspace(wish.low_hz, wish.high_hz, 101)
            here, right = (np.mean(np.interp(f, freq, swr) <= limit) for f in (at, at * np.exp(off)))
            story.ends[e.step.band], story.lost[e.step.band] = off, float(right - here)

    def on_target(self, story):
        return all(abs(off) <= ON_TARGET for off in story.ends.values())

    def reached(self, story):
        """Is every wished segment covered as well as from the target, whatever way off the lowest SWR is?"""
        return story.advice.verdict == "done" and all(lost <= LITTLE_LOST for lost in story.lost.values())
