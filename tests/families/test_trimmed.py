"""Loaded wires reach their bands in the few moves that a search allows, whatever coil or trap it picks: from the rule of thumb for that one."""

import math
from pathlib import Path

import pytest
from lots import plain, wish

from optimizer.evaluate import COARSE, place
from optimizer.families.catalogue import FAMILIES
from optimizer.physics.wish_reader import read_wishes
from optimizer.site.read import read_site
from optimizer.trim import dip_hz, trimmed
from optimizer.wires.model import Ground

SITE, WISHES = plain(30.0, 20.0), wish("40m", "20m")
PICKS = {
    "end_fed_loaded_tail": [{"coil_uh": 24.0}, {"coil_uh": 50.0}],
    "coil_dipole": [{"coil_uh": 6.0, "inner_m": 3.5}, {"coil_uh": 20.0, "inner_m": 5.5}],
    "trap_dipole": [{"trap_uh": 3.0}, {"trap_uh": 9.0}],
}


@pytest.mark.parametrize("key, pick", [(k, p) for k, picks in PICKS.items() for p in picks])
def test_every_length_ends_within_half_a_percent_of_its_band(key, pick):
    family, ground = FAMILIES[key], Ground(kind="soil", soil=SITE.soil)
    values = family.starts(SITE, WISHES)[0] | pick
    values |= family.lengths(values, SITE, WISHES)
    design = trimmed(family.build(values, SITE, WISHES), family, SITE, WISHES, ground, moves=COARSE.trim_moves)
    for step in design.trims:
        target_hz = 1e6 * step.target_mhz
        assert abs(math.log(dip_hz(design, ground, target_hz, step.band) / target_hz)) < 0.005, step.parameter


def test_a_length_that_begins_with_its_dip_out_of_sight_still_ends_on_its_band():
    """A short wire up the terrace's mast reads the window's edge first, a reading that says nothing of its slope."""
    site = read_site(Path(__file__).parents[2] / "sites" / "terrace.geojson")
    wishes, family, ground = read_wishes("40m 20m 10m", site), FAMILIES["inverted_l"], Ground(kind="soil", soil=site.soil)
    design = next(p.design for v in family.starts(site, wishes) if (p := place(site, wishes, family, v)).fits)
    target_hz = 1e6 * design.trims[0].target_mhz
    assert math.log(dip_hz(design, ground, target_hz, "40m") / target_hz) > 0.06
    design = trimmed(design, family, site, wishes, ground, moves=COARSE.trim_moves)
    assert abs(math.log(dip_hz(design, ground, target_hz, "40m") / target_hz)) < 0.005
