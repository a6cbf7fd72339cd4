"""Handwork at a change of band, of designs as built. Common practice, no source: a linked dipole comes down for every change, others stay up."""

import pytest
from lots import plain, wish

from optimizer.evaluate import change_min, place
from optimizer.families.catalogue import FAMILIES


def changing(key, site, wishes):
    family = FAMILIES[key]
    design = next(e.design for v in family.starts(site, wishes) if (e := place(site, wishes, family, v)).fits)
    return design, change_min(design, wishes)


def test_links_too_high_for_the_hand_bring_the_middle_down():
    """20 m legs of 5 m from 9 m: a link hangs 4 m up even with the ends let go."""
    design, minutes = changing("linked_dipole", plain(30.0, 20.0), wish("40m", "20m"))
    assert design.switched_by == "middle"
    assert minutes == pytest.approx(6.0 + design.feed.line_length_m / 30.0)


def test_links_that_hang_within_reach_need_only_the_ends_let_go():
    """80 m and 40 m: the links are 10 m out from a middle 7 m up."""
    design, minutes = changing("linked_dipole", plain(50.0, 30.0, height_limit_m=7.0), wish("80m", "40m"))
    assert design.switched_by == "ends"
    assert minutes == pytest.approx(3.0 + design.feed.line_length_m / 30.0)


@pytest.mark.parametrize("key", ["parallel_dipole", "end_fed_half_wave_drooped", "trap_dipole"])
def test_what_stays_up_asks_nothing(key):
    assert changing(key, plain(30.0, 20.0), wish("40m", "20m"))[1] == 0.0


def test_a_tuner_set_by_hand_takes_a_minute_at_every_change_and_one_that_sets_itself_a_few_seconds():
    site = plain(30.0, 20.0)
    by_hand = changing("doublet", site, wish("40m", "20m", tuner="external"))[1]
    built_in = changing("end_fed_random", site, wish("40m", "20m", tuner="radio"))[1]
    assert by_hand == pytest.approx(1.0) and built_in == pytest.approx(5 / 60)
