"""An apex sharper than a right angle: only where nothing else fits, and then the row says so. Common practice, no source.

The strips (`lots.narrow`) leave no room to fold a leg, nor for a mast with guys: a pole in the middle holds the wire, and plane geometry says which apex is left. Legs
of a half wave on 20 m are 5 m, with 0.4 m of tie; ends are held 3 m up.
"""

import math

import pytest
from lots import garden, l_shaped, narrow, plain, wish

from optimizer.evaluate import place
from optimizer.families.catalogue import FAMILIES
from optimizer.families.family import NoPlace
from optimizer.families.hanging import angle_deg
from optimizer.families.sharp import SHARP, run_over_drop
from optimizer.report.words import needs

NO_MAST = {"mast_limit_m": 3.6}
OVER_ONE_SUPPORT = ("dipole", "end_fed_half_wave_drooped")
DIPOLE = FAMILIES["dipole"]


def space(family, site, wishes):
    try:
        return family.parameters(site, wishes)
    except NoPlace:
        return ()


def test_a_strip_too_short_for_a_right_angle_gets_a_sharper_one_and_says_so():
    site, wishes = narrow(7.0), wish("20m", **NO_MAST)
    assert SHARP in DIPOLE.parameters(site, wishes)
    starts = list(DIPOLE.starts(site, wishes))
    assert starts
    for values in starts:
        placed = place(site, wishes, DIPOLE, values)
        assert placed.fits
        design = placed.design
        (top, down, *_), (_, other, *_) = design.structure.lines_m
        assert 60.0 <= design.apex_deg < 90.0
        assert angle_deg(down, top, other) == pytest.approx(design.apex_deg, abs=1e-6)
        room = 2 * math.degrees(math.asin(3.45 / 5.0))  # no blunter apex fits legs that long
        assert design.apex_deg <= room
        assert f"apex of {design.apex_deg:.0f} degrees" in design.weak_point
        assert f"apex of {design.apex_deg:.0f} degrees" in needs(placed)


def test_a_right_angle_asked_for_there_names_the_limit():
    site, wishes = narrow(7.0), wish("20m", **NO_MAST)
    for values in DIPOLE.starts(site, wishes):
        with pytest.raises(NoPlace) as missed:
            DIPOLE.build({**values, SHARP.name: 90.0}, site, wishes)
        assert missed.value.limit in ("apex angle", "lot")


@pytest.mark.parametrize("key", OVER_ONE_SUPPORT)
def test_two_metres_more_and_no_sharp_apex_is_offered(key):
    family, wishes = FAMILIES[key], wish("20m", **NO_MAST)
    assert SHARP.name in [p.name for p in space(family, narrow(7.0), wishes)]
    longer = narrow(9.0)
    assert SHARP.name not in [p.name for p in space(family, longer, wishes)]
    designs = [family.build(values, longer, wishes) for values in family.starts(longer, wishes)]
    assert designs and all(d.apex_deg is None for d in designs)
    assert all(d.weak_point == family.weak_point for d in designs)


def test_a_band_that_hangs_bluntly_comes_before_one_that_does_not():
    site = narrow(7.0)
    assert DIPOLE.build(DIPOLE.starts(site, wish("20m", **NO_MAST))[0], site, wish("20m", **NO_MAST)).serves == ("20m",)
    both = wish("20m", "10m", **NO_MAST)
    assert SHARP not in DIPOLE.parameters(site, both)
    assert DIPOLE.build(DIPOLE.starts(site, both)[0], site, both).serves == ("10m",)


def test_not_even_sixty_degrees_is_still_refused():
    site, wishes = narrow(5.0), wish("20m", **NO_MAST)
    assert SHARP not in space(DIPOLE, site, wishes)


@pytest.mark.parametrize("key", FAMILIES)
def test_an_ordinary_lot_offers_none(key):
    for site in (plain(), garden(), l_shaped()):
        for wishes in (wish("40m", "20m", "10m"), wish("20m"), wish("40m", "15m", tuner="external")):
            if FAMILIES[key].serves(wishes):
                assert SHARP.name not in [p.name for p in space(FAMILIES[key], site, wishes)]


def test_run_over_drop_is_plane_trigonometry():
    assert run_over_drop(90.0) == pytest.approx(1.0)
    assert run_over_drop(60.0) == pytest.approx(math.tan(math.radians(30.0)))
    # legs a right angle apart in plan: unit runs give corners (r, 0, -1), (0, r, -1), the cosine is 1 / (r^2 + 1)
    assert run_over_drop(60.0, straight=0.0) == pytest.approx(1.0)
