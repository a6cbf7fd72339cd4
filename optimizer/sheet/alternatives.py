"""What may be bought instead of a part, and what that changes. Common practice, no source; prices from the price list."""

from __future__ import annotations

from ..parts.catalogue import catalogue, keys
from ..parts.prices import PriceBook

INSTEAD = {
    "wire_pvc_stranded_1_5mm2": (("wire_pe_ccs_0_5mm2", "lighter and stronger; cut as listed, it trims to another length"),
                                 ("wire_bare_copper_1_6mm", "no covering: comes out a little longer, so cut 3 % more")),
    "cable_rg58": (("cable_rg213", "thicker, loses less"), ("cable_rg8x", "in between")),
    "cable_rg213": (("cable_rg58", "thinner and cheaper, loses more"),),
    "cable_open_wire_600": (("cable_window_400", "ready-made, loses more when wet"),),
    "post_timber": (("mast_4m", "a short glass-fibre pole instead of a timber post"),),
    "ground_sleeve": (("ground_angle", "a driven angle iron with two straps"),),
}  # fmt: skip


def alternatives(part_keys, feed, currency: str) -> tuple[tuple[str, str, str, str], ...]:
    """(instead of, item, unit price, what changes) for the parts of a bill."""
    found = []
    for key in part_keys:
        found += [(key, other, words) for other, words in INSTEAD.get(key, ())]
        if key.startswith("mast_") and (taller := _next_mast(key)):
            found.append((key, taller, "taller: use its stronger lower part"))
    bought = f"{feed.transformer.rsplit('_', 1)[0]}_100w_bought" if feed.transformer else ""
    if bought in catalogue() and feed.transformer != bought:
        found.append((feed.transformer, bought, "ready-made instead of ring, wire and box; ask for its loss on your bands"))
    return tuple((_item(a), _item(b), _price(b, currency), words) for a, b, words in found if a in catalogue() and b in catalogue())


def _item(key: str) -> str:
    return catalogue()[key].item


def _price(key: str, currency: str) -> str:
    price = PriceBook().unit_price(key, currency)
    return f"{price:.2f} / {catalogue()[key].unit}" if price is not None else "not listed"


def _next_mast(key: str) -> str:
    masts = sorted((k for k in keys("mast_")), key=lambda k: float(k.removeprefix("mast_").rstrip("m")))
    later = masts[masts.index(key) + 1 :] if key in masts else []
    return later[0] if later else ""
