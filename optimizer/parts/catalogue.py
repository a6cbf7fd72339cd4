"""The catalogue: what can be bought or made, what it costs, and the bill of a design.

Part keys, stable (all in tables/prices.csv and tables/assemblies.csv; `keys(prefix)` lists them):

    wire_        bare_copper_1_6mm bare_copper_2mm pvc_stranded_0_5mm2 pvc_stranded_0_75mm2 pvc_stranded_1_5mm2
                 pe_ccs_0_5mm2 ccs_1_6mm ccs_2mm ccs_2_3mm aluminium_2mm counterpoise
                 enamel_0_8mm enamel_1mm enamel_1_5mm                                                               [m]
    cable_       rg58 rg8x rg213 rg174 rg316 window_400 open_wire_600                                               [m]
    transformer_ RATIO_POWER, own-wound: 1_100w 2_100w 4_100w 6_100w 9_100w 49_20w 49_100w 49_400w 49_400w_52 64_100w
                 64_400w; ready-made: RATIO_100w_bought. `transformer_for(ratio, power_w)` chooses. 1 is the 1:1 balun.
    choke_       ft240_31_12t ft240_43_12t ft240_31_16t_2, own-wound; each with _bought, ready-made
    tuner_       l_100w l_400w balanced_400w in_radio (price 0).  `tuner_for(wishes.tuner, power_w)` chooses.
    mast_        4m 5m 6m 7m 8m 9m 10m 12m 15m 18m.  `mast_for(height_m)` chooses; tube_aluminium_50mm [m],
                 post_timber [m], post_under_coil
    fixings      ground_sleeve ground_angle house_bracket tree_fixing top_guide guy_ring pole_clamp tensioner bungee
                 stake_guy stake_end insulator_end insulator_centre insulator_spreader strain_relief connector_wire
                 box_weatherproof plug_pl259 socket_so239 terminal_pair earth_rod arrestor_line fuse_battery
                 former_pipe_32mm former_pipe_40mm former_pipe_50mm shrink_sleeve
    cord         guy_cord_3mm [m] (guys, halyards), cord_2mm [m] (wire ends)
    components   coil_own_wound trap_own_wound trap_coax coil_bought trap_bought capacitor_100p_3kv capacitor_trap_6kv capacitor_series_3kv
                 ring_ft240_43 ring_ft240_31 ring_ft240_52 ring_ft140_43 ring_ft114_43 ring_t200_2
    tool_        swr_meter analyser lc_meter soldering_iron tape crimp hammer cable_detector ladder (listed apart, not in the cost)

An assembly (own-wound transformer, choke, coil, trap) is priced by what goes into it: `bill` replaces it by its
pieces, adds up equal parts and buys whole pieces or whole metres. Prices are typical of their year, with generic
items, not offers; EUR, GBP and USD each have a column of their own and are not converted into each other. Any
other currency needs a rate or a list from the user. The bill itself: `optimizer.parts.prices.bill`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from ..errors import FaultList
from ..physics.tables import TableError, number
from .tables import rows

PRICE_COLUMNS = ("part", "item", "unit", "step", "group", "price_eur", "price_gbp", "price_usd", "year", "source", "note")
ASSEMBLY_COLUMNS = ("assembly", "title", "part", "quantity", "source", "note")
CURRENCIES = ("EUR", "GBP", "USD")
MAST_HEIGHTS_M = (4, 5, 6, 7, 8, 9, 10, 12, 15, 18)
TALLEST_MAST_M = float(MAST_HEIGHTS_M[-1])


@dataclass(frozen=True, kw_only=True)
class Part:
    """One line of the price list, or an assembly (then `pieces` is not empty and `prices` is)."""

    key: str
    item: str
    unit: str
    step: float = 1.0  # sold in multiples of this
    group: str = "assembly"
    prices: tuple[tuple[str, float], ...] = ()  # currency → unit price
    year: int | None = None
    note: str = ""
    pieces: tuple[tuple[str, float], ...] = ()

    @property
    def is_tool(self) -> bool:
        return self.group == "tool"

    @property
    def in_one_piece(self) -> bool:
        """By the metre, and each length off one piece: line, winding wire, former, post, tube. Wire, cord and sleeve may be joined or pieced."""
        return self.unit == "m" and (self.group in ("cable", "mast") or self.key.startswith(("wire_enamel_", "former_")))


@cache
def catalogue() -> dict[str, Part]:
    """Every part by key, in the order of the tables. Raises TableError."""
    found = {
        row["part"]: Part(
            key=row["part"], item=row["item"], unit=row["unit"], step=number(row, "step"), group=row["group"],
            prices=tuple((c, number(row, f"price_{c.lower()}")) for c in CURRENCIES), year=int(row["year"]), note=row["note"],
        )
        for row in rows("prices", PRICE_COLUMNS, ("part",))
    }  # fmt: skip
    return {**found, **_assemblies(found)}


def _assemblies(simple: dict[str, Part]) -> dict[str, Part]:
    listed = rows("assemblies", ASSEMBLY_COLUMNS, ("assembly", "part"))
    found: dict[str, Part] = {}
    for key in dict.fromkeys(row["assembly"] for row in listed):
        own = [row for row in listed if row["assembly"] == key]
        pieces = tuple((row["part"], number(row, "quantity")) for row in own)
        lost = [piece for piece, _ in pieces if piece not in simple]
        if lost or key in simple:
            raise TableError(f"assemblies.csv: {key}: {lost or key}, need pieces of prices.csv and a name of its own")
        found[key] = Part(key=key, item=own[0]["title"], unit="piece", note=own[0]["note"], pieces=pieces)
    return found


def part(key: str) -> Part:
    """The part of that key; InputError if there is none."""
    try:
        return catalogue()[key]
    except KeyError:
        faults = FaultList("catalogue")
        faults.add("part", key, "a part key", hint="near: " + ", ".join(keys(key.split("_")[0] + "_")[:8]))
        faults.raise_if_any()
        raise


@cache
def keys(prefix: str = "") -> tuple[str, ...]:
    """Part keys that start with `prefix`."""
    return tuple(key for key in catalogue() if key.startswith(prefix))


def mast_for(height_m: float) -> str:
    """Key of the shortest pole that reaches `height_m`; InputError above the tallest."""
    for height in MAST_HEIGHTS_M:
        if height_m <= height + 1e-9:
            return f"mast_{height}m"
    faults = FaultList("catalogue")
    faults.add("mast height_m", height_m, f"at most {MAST_HEIGHTS_M[-1]} m")
    faults.raise_if_any()


@cache
def transformer_for(ratio: int, power_w: float = 100.0, *, bought: bool = False) -> str:
    """Key of the smallest catalogued transformer of that impedance ratio for `power_w` of carrier.

    The largest there is when none is large enough: its heating is then a limit of the design.
    """
    if bought:
        return part(f"transformer_{ratio}_100w_bought").key
    sizes = [key for key in keys(f"transformer_{ratio}_") if key.endswith("w")]
    if not sizes:
        part(f"transformer_{ratio}")
    sizes.sort(key=rated_power_w)
    return next((key for key in sizes if rated_power_w(key) >= power_w), sizes[-1])


def rated_power_w(key: str) -> float:
    """Carrier power that a key's name promises: transformer_49_400w_52 → 400."""
    return float(next(word[:-1] for word in key.split("_") if word.endswith("w") and word[:-1].isdigit()))


def tuner_for(wish: str, power_w: float = 100.0, *, balanced: bool = False) -> str | None:
    """Key of the tuner for the wish list's word (none, radio, external)."""
    if wish == "none":
        return None
    if wish == "radio":
        return "tuner_in_radio"
    if balanced:
        return "tuner_balanced_400w"
    return "tuner_l_100w" if power_w <= 100.0 else "tuner_l_400w"


def pieces_of(key: str) -> tuple[tuple[str, float], ...]:
    """What has to be bought for one of `key`: its pieces, or itself."""
    found = part(key)
    return found.pieces or ((key, 1.0),)


def whole(quantity: float, step: float) -> float:
    """`quantity` rounded up to what the shop sells."""
    return math.ceil(quantity / step - 1e-9) * step
