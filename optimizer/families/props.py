"""A short post under a coil or trap whose weight is too much for the wire and what holds it.

Not a choice of the search: the post is put where a limit of the loads is missed with the weight in the span and kept without it. It stands
on free ground of the lot, straight below, and reaches as high as a post stands without guys.
"""

from __future__ import annotations

from dataclasses import replace

from ..parts.winding import winding_of
from ..site.model import Anchor, Site
from .design import BillItem, Design
from .placement import plot_of
from .standing import POST_MAX_M

HEAVY_SHARE = 0.5  # of the heaviest: lighter ones are left to hang


def with_posts(site: Site, design: Design) -> Design | None:
    """The design with a post under every heavy coil or trap; None where there is none, or a post cannot take it."""
    heavy = _heavy(design)
    if not heavy or not all(point[2] <= POST_MAX_M and plot_of(site).free(point[:2]) for point in heavy):
        return None
    posts = tuple(Anchor(at_m=tuple(point[:2]), kind="end", height_m=point[2]) for point in heavy)
    structure = replace(design.structure, anchors=(*design.structure.anchors, *posts))
    item = BillItem(part="post_under_coil", quantity=float(len(posts)), use="takes the weight of the coil")
    return replace(design, structure=structure, bill=(*design.bill, item))


def _heavy(design: Design) -> list:
    """Where the heavy ones hang."""
    wires = {w.name: w for w in design.structure.wires}
    weighed = [(winding.weight_n, v) for v in design.loads if (winding := winding_of(v.element))]
    most = max((weight for weight, _ in weighed), default=0.0)
    return [wires[v.wire].point_at(v.at_m) for weight, v in weighed if weight >= HEAVY_SHARE * most]
