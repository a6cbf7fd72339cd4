"""Each family can win: a lot and a wish list where the main job ranks it first, with the reason an operator would give (common practice, no source)."""

from dataclasses import replace

import pytest
from lots import plain, site_of, wish
from shapely.geometry import Point, box

from optimizer.families.catalogue import FAMILIES
from optimizer.physics.soil import Soil, soil_words
from optimizer.search.rank import rank_site
from optimizer.search.settings import SearchSettings
from optimizer.site.model import Building, KeepOut, MastSpot, Radio, Support, Tree

pytestmark = pytest.mark.slow

SETTINGS = SearchSettings(trials=40, workers=1, members=0, rows=6, rows_per_family=1)
MORSE_40M = (7.03e6, 7.06e6)
NO_MAST = {"mast_limit_m": 4.0}


def two_posts(width, depth, height_m):
    """Nothing but two tall posts at the lot's ends."""
    posts = tuple(Support(name=n, at_m=(x, depth / 2), height_m=height_m, kind="post") for n, x in (("west", 0.5), ("east", width - 0.5)))
    radio = Radio(name="shack", at_m=(width / 2, 0.8), height_m=2.8)
    return site_of(box(0, 0, width, depth), radio=radio, supports=posts, height_limit_m=9.0)


def strip(width, depth, radio_x, *holds, limit_m=8.0, **more):
    """A strip of ground with the radio in its axis; `holds`: (name, x, height) of what can hold a wire there."""
    held = tuple(Support(name=n, at_m=(x, depth / 2), height_m=h, kind="tree") for n, x, h in holds)
    radio = Radio(name="shack", at_m=(radio_x, depth / 2), height_m=3.0)
    return site_of(box(0, 0, width, depth), radio=radio, supports=held, height_limit_m=limit_m, **more)


def drive(width, radio_x, *holds):
    """A strip where nothing can stand between the radio and the far end: cars do."""
    return strip(width, 2.5, radio_x, *holds, keep_outs=(KeepOut(name="drive", footprint=box(radio_x + 0.2, 0.0, width - 0.8, 2.5), to_m=2.4),))


def ring(half_m, holds_m, side_m):
    """Four trees round a tall house."""
    middle = side_m / 2
    corners = (("ash", -1, -1), ("oak", 1, -1), ("elm", 1, 1), ("fir", -1, 1))
    trees = tuple(
        Tree(name=n, at_m=(middle + a * half_m, middle + b * half_m), height_m=holds_m + 4.0, crown_radius_m=1.0, holds_wire_at_m=holds_m)
        for n, a, b in corners
    )
    house = Building(name="house", footprint=box(middle - 2.5, middle - 2.5, middle + 2.5, middle + 2.5), height_m=9.0)
    radio = Radio(name="shack", at_m=(middle, middle - 2.5), height_m=3.0)
    return site_of(box(0, 0, side_m, side_m), radio=radio, trees=trees, buildings=(house,), height_limit_m=12.0)


def on(soil, site):
    return replace(site, soil=soil)


def toward(contacts, wishes):
    return replace(wishes, bands=tuple(replace(b, contacts=contacts) for b in wishes.bands))


def narrowed(wishes, key, low_hz, high_hz):
    """The wish for one band cut down to a segment."""
    return replace(wishes, bands=tuple(replace(b, low_hz=low_hz, high_hz=high_hz) if b.key == key else b for b in wishes.bands))


WET = Soil(relative_permittivity=30.0, conductivity_s_per_m=0.03)
TUNER_ON_HAND = {"tuner": "external", "on_hand": (("tuner_l_100w", 1.0),)}
WINS = {
    "dipole": (two_posts(25.0, 6.0, 8.0), wish("40m"), "one band and two posts: nothing beats a level half wave"),
    "linked_dipole": (two_posts(25.0, 4.0, 8.0), wish("40m", "20m", "10m"), "three bands, each a full half wave without loss, worth the walk"),
    "parallel_dipole": (two_posts(25.0, 6.0, 8.0), wish("40m", "15m"), "two bands far apart, two tall posts, no trap loss, no walk"),
    "doublet": (two_posts(25.0, 6.0, 8.0), wish("80m", "40m", "20m", tuner="external"), "a good tuner, no room for 80 m, all bands at once"),
    "trap_dipole": (
        strip(15.0, 2.5, 2.4, ("pear", 7.0, 7.5)), narrowed(wish("40m", "20m", **NO_MAST), "40m", *MORSE_40M),
        "a tree in the middle of a strip too short for the whole half wave",
    ),
    "trap_dipole_two": (
        strip(12.0, 2.5, 2.4, ("pear", 5.8, 6.5)), wish("30m", "17m", "10m", **NO_MAST),
        "three bands with no common multiple, a tree in the middle, no room for the lowest",
    ),
    "coil_dipole": (
        replace(strip(13.0, 2.5, 0.8, ("a", 0.4, 6.0), ("b", 12.6, 6.0), limit_m=7.0), radio=Radio(name="shack", at_m=(6.0, 0.4), height_m=2.8)),
        wish("40m"), "two thirds of a half wave of room, and no ground for radials",
    ),
    "off_centre_dipole": (plain(9.0, 9.0, height_limit_m=12.0), wish("20m", "10m"), "two bands an octave apart on one wire, no traps, no coil, no return path"),
    "end_fed_half_wave_drooped": (plain(5.0, 5.0, height_limit_m=6.0), wish("10m"), "so small that the feed can only stand at the edge"),
    "end_fed_half_wave_sloped": (
        strip(24.0, 2.5, 0.8, ("ash", 23.6, 7.5)), wish("40m", "20m"), "radio at one end, a tree at the other, nothing between",
    ),
    "end_fed_loaded_tail": (
        drive(14.0, 2.2, ("ash", 13.6, 7.5)), narrowed(wish("40m", "20m", power_w=50.0, **NO_MAST), "40m", *MORSE_40M),
        "the same with two thirds of the room: half a wave on 20 m, coil and tail for a corner of 40 m",
    ),
    "end_fed_two_coils": (
        drive(12.0, 2.0, ("ash", 11.6, 7.5)), wish("30m", "17m", "10m", power_w=30.0, **NO_MAST),
        "half of the room of the lowest band, a drive between radio and tree, three bands and little power",
    ),
    "end_fed_random": (
        two_posts(16.0, 4.0, 7.5), wish("40m", "30m", "20m", "17m", "15m", budget=300.0, **TUNER_ON_HAND),
        "five bands with no common multiple, a coaxial tuner on hand and no money for a balanced one",
    ),
    "vertical": (on(WET, plain(4.0, 4.0, height_limit_m=6.5)), toward("far", wish("20m")), "four metres square: up is the only way"),
    "inverted_l": (
        on(WET, plain(4.0, 11.0, height_limit_m=9.0, mast_spots=(MastSpot(name="end", where=Point(2.0, 2.0)),))), toward("far", wish("40m")),
        "far contacts from a strip of wet soil, the mast at its end: one way for a wire from the top to go",
    ),
    "top_loaded_vertical": (
        on(WET, plain(14.0, 14.0, height_limit_m=12.0)), toward("far", wish("80m")), "half a quarter wave of mast, no room for anything else",
    ),
    "loop_upright": (
        on(soil_words()["sea water"], strip(10.0, 4.0, 2.0, ("pine", 5.0, 9.0), limit_m=9.0)), toward("far", wish("20m", **NO_MAST)),
        "a spit in the sea, far contacts, a tree: upright waves without radials",
    ),
    "loop_flat": (ring(6.1, 9.0, 14.0), toward("near", wish("40m", **NO_MAST)), "four trees round a house that no dipole gets past: a loop about it, near contacts straight up"),
}  # fmt: skip


def test_every_family_has_its_win():
    assert set(WINS) == set(FAMILIES)


@pytest.mark.parametrize("key", WINS)
def test_each_family_wins_where_an_operator_would_take_it(key):
    site, wishes, reason = WINS[key]
    rows = rank_site(site, wishes, SETTINGS).rows
    assert rows[0].family == key, (reason, [(e.family, round(e.total, 1)) for e in rows[:4]])
