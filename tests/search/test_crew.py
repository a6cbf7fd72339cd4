"""Workers that die: nothing is lost, and a candidate that kills its worker is given up after three attempts."""

import os
from pathlib import Path

import pytest

from optimizer.evaluate import COARSE, Measurement, place
from optimizer.families.catalogue import FAMILIES
from optimizer.physics.wish_reader import read_wishes
from optimizer.search.crew import ATTEMPTS, InlineCrew, Job, PoolCrew
from optimizer.search.hands import LocalHands
from optimizer.search.study import family_study
from optimizer.site.read import read_site

SITE = read_site(Path(__file__).parents[2] / "sites" / "terrace.geojson")
WISHES = read_wishes("20m", SITE)


class Poison:
    """Takes the process that unpickles it down at once."""

    def __reduce__(self):
        return os._exit, (9,)


@pytest.fixture(scope="module")
def jobs():
    family = FAMILIES["dipole"]
    study = family_study(family, SITE, WISHES, seed=1)
    found = []
    while len(found) < 4:
        trial, values = study.ask()
        placed = place(SITE, WISHES, family, values)
        if placed.fits:
            found.append(Job("dipole", placed.values, COARSE, tag=len(found)))
        else:
            study.tell_missed(trial, placed)
    return found


def collect_all(crew, count):
    out = []
    while len(out) < count:
        out += crew.collect()
    return out


def numbers(measurement):
    """All figures of a measurement that a rounding could touch, in a fixed order."""
    values = [v for _, v in sorted(measurement.values.items()) if isinstance(v, float)]
    for _, band in sorted(measurement.bands.items()):
        values += [*band.swr, band.efficiency, band.gain_near_dbi, band.gain_far_dbi, *(v for _, v in sorted(band.budget.items()))]
    return values


def test_processes_and_inline_measure_the_same(jobs):
    inline = InlineCrew(SITE, WISHES)
    for job in jobs[:2]:
        inline.submit(job)
    hands = LocalHands(2)
    crew = PoolCrew(SITE, WISHES, hands)
    try:
        for job in jobs[:2]:
            crew.submit(job)
        there = {job.tag: outcome for job, outcome in collect_all(crew, 2)}
    finally:
        hands.leave()
    here = {job.tag: outcome for job, outcome in inline.collect() + inline.collect()}
    assert set(there) == set(here) == {0, 1}
    for tag, found in there.items():
        assert isinstance(found, Measurement)
        assert numbers(found) == pytest.approx(numbers(here[tag]), rel=1e-9)  # rounding may differ between processes


def test_a_poisonous_candidate_is_given_up_and_the_others_finish(jobs):
    hands = LocalHands(2)
    crew = PoolCrew(SITE, WISHES, hands)
    try:
        crew.submit(jobs[0])
        crew.submit(Job("dipole", {"x": Poison()}, COARSE, tag="poison"))
        for job in jobs[1:]:
            crew.submit(job)
        out = {job.tag: outcome for job, outcome in collect_all(crew, 5)}
    finally:
        hands.leave()
    assert f"{ATTEMPTS} times" in out.pop("poison")
    assert set(out) == {0, 1, 2, 3} and all(isinstance(m, Measurement) for m in out.values())


def test_a_breakdown_is_a_reason_and_not_the_end(jobs):
    inline = InlineCrew(SITE, WISHES)
    inline.submit(Job("dipole", {**jobs[0].values, "apex_m": -3.0}, COARSE))
    ((_, outcome),) = inline.collect()
    assert isinstance(outcome, str) and outcome
