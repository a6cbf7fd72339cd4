"""Lots and wish lists of our own for the families' tests: invented, in metres, no file."""

from dataclasses import replace

from shapely.affinity import scale, translate
from shapely.geometry import LineString, Point, Polygon, box

from optimizer.physics.wishes import BandWish, WishList
from optimizer.site.model import Building, KeepOut, MastSpot, OverheadLine, Radio, Site, Support, Tree

SEGMENTS_HZ = {
    "80m": (3.5e6, 3.8e6),
    "40m": (7.0e6, 7.2e6),
    "30m": (10.1e6, 10.15e6),
    "20m": (14.0e6, 14.35e6),
    "17m": (18.068e6, 18.168e6),
    "15m": (21.0e6, 21.45e6),
    "10m": (28.0e6, 29.7e6),
}


def wish(*bands, **more) -> WishList:
    asked = tuple(
        BandWish(key=b, band=b, segment="all", low_hz=SEGMENTS_HZ[b][0], high_hz=SEGMENTS_HZ[b][1]) for b in bands
    )
    return WishList(bands=asked, **more)


def site_of(lot, *, height_limit_m=9.0, setback_m=0.0, **more) -> Site:
    return Site(
        name="lot", stem="lot", lot=lot, usable=lot.buffer(-setback_m, join_style="mitre"), height_limit_m=height_limit_m,
        itu_region=1, currency="EUR", setback_m=setback_m, **more,
    )  # fmt: skip


def plain(width=20.0, depth=12.0, **more) -> Site:
    """Nothing but lawn, the radio's wall entry in the middle of the south side."""
    return site_of(box(0, 0, width, depth), radio=Radio(name="shack", at_m=(0.3 * width, 0.8), height_m=2.8), **more)


def garden(**more) -> Site:
    """20 x 12 m: a house along the south side, a tree, posts in two corners, a power line well away."""
    return site_of(
        box(0, 0, 20, 12),
        buildings=(Building(name="house", footprint=box(3, 0, 12, 4), height_m=5.5),),
        radio=Radio(name="shack", at_m=(8.0, 4.0), height_m=2.8),
        trees=(Tree(name="pear", at_m=(17.0, 9.0), height_m=7.0, crown_radius_m=1.5, holds_wire_at_m=6.0),),
        supports=(
            Support(name="gable", at_m=(3.0, 3.9), height_m=5.4, kind="gable"),
            Support(name="fence post", at_m=(19.5, 11.6), height_m=3.0, kind="post"),
        ),
        keep_outs=(KeepOut(name="pond", footprint=box(14, 1, 16, 3)),),
        overhead_lines=(OverheadLine(name="street", path=LineString([(-30, -20), (50, -20)]), height_m=6.0),),
        **more,
    )


def l_shaped(**more) -> Site:
    """L-shaped lot with a setback, a house in the notch's corner and a mast area."""
    lot = Polygon([(0, 0), (26, 0), (26, 10), (11, 10), (11, 22), (0, 22)])
    return site_of(
        lot,
        setback_m=0.5,
        buildings=(Building(name="house", footprint=box(13, 2, 22, 8), height_m=6.0),),
        radio=Radio(name="shack", at_m=(13.0, 5.0), height_m=2.5),
        mast_spots=(
            MastSpot(name="lawn", where=box(3, 3, 9, 19)),
            MastSpot(name="corner", where=Point(24.0, 1.9)),
        ),
        supports=(Support(name="barn", at_m=(1.0, 21.0), height_m=6.5, kind="gable"),),
        **more,
    )


def narrow(length_m=7.0) -> Site:
    """A strip 1.2 m wide with a pole in its middle: no room to fold a leg, nor for guys."""
    pole = Support(name="pole", at_m=(length_m / 2, 0.55), height_m=8.0, kind="pole")
    return site_of(box(0, 0, length_m, 1.2), radio=Radio(name="shack", at_m=(0.4, 0.6), height_m=2.8), supports=(pole,))


def moved(site: Site, dx: float, dy: float) -> Site:
    return _mapped(site, lambda g: translate(g, dx, dy), lambda p: (p[0] + dx, p[1] + dy))


def mirrored(site: Site) -> Site:
    """East becomes west, about x = 0."""
    return _mapped(site, lambda g: scale(g, -1, 1, origin=(0, 0)), lambda p: (-p[0], p[1]))


def _mapped(site, shape, point):
    return replace(
        site,
        lot=shape(site.lot),
        usable=shape(site.usable),
        buildings=tuple(replace(b, footprint=shape(b.footprint)) for b in site.buildings),
        keep_outs=tuple(replace(k, footprint=shape(k.footprint)) for k in site.keep_outs),
        overhead_lines=tuple(replace(o, path=shape(o.path)) for o in site.overhead_lines),
        trees=tuple(replace(t, at_m=point(t.at_m)) for t in site.trees),
        supports=tuple(replace(s, at_m=point(s.at_m)) for s in site.supports),
        mast_spots=tuple(replace(m, where=shape(m.where)) for m in site.mast_spots),
        radio=replace(site.radio, at_m=point(site.radio.at_m)) if site.radio else None,
    )
