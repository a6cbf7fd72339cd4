"""Tools and instruments that the parts of a bill ask for: listed apart, never in the cost. Common practice, no source."""

from __future__ import annotations

from .catalogue import part

ALWAYS = ("tool_tape", "tool_swr_meter")

# Part keys starting with the word on the left ask for the tools on the right
ASKS = (
    ("wire_", ("tool_crimp",)),
    ("ring_", ("tool_soldering_iron", "tool_analyser")),
    ("former_pipe", ("tool_lc_meter", "tool_soldering_iron")),
    ("plug_", ("tool_soldering_iron",)),
    ("stake_", ("tool_hammer", "tool_cable_detector")),
    ("ground_", ("tool_hammer", "tool_cable_detector")),
    ("earth_rod", ("tool_hammer", "tool_cable_detector")),
    ("house_bracket", ("tool_ladder",)),
    ("tree_fixing", ("tool_ladder",)),
)


def tools_for(part_keys) -> tuple[str, ...]:
    """Tool keys for the parts of a bill (assemblies count by their pieces), in the order of the catalogue's words above."""
    simple = {piece for key in part_keys for piece in (key, *(p for p, _ in part(key).pieces))}
    asked = [tool for word, tools in ASKS if any(key.startswith(word) for key in simple) for tool in tools]
    return tuple(dict.fromkeys((*ALWAYS, *asked)))
