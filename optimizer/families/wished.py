"""What the wishes alone decide of a design: which tuner it has, and whether what is wound is own-wound or bought. Nothing of it hangs on the lot."""

from __future__ import annotations

from ..parts.catalogue import tuner_for
from ..parts.ready_made import BOUGHT, OWN
from ..physics.wishes import WishList
from .design import Design

EXTERNAL = "external"


def makes(wishes: WishList) -> tuple[str, ...]:
    """Ways to come by what is wound. Ready-made parts cost more and lose more, so they are offered where asked for (`wishes.parts`), or where
    one is in stock or has a price of the user's own."""
    if wishes.parts == BOUGHT:
        return (BOUGHT,)
    named = [key for key, *_ in (*wishes.on_hand, *wishes.prices)]
    return (OWN, BOUGHT) if wishes.parts == "either" or any(key.endswith("_bought") for key in named) else (OWN,)


def as_wished(design: Design, wishes: WishList) -> bool:
    """Are its tuner and its make among those that would be offered today?"""
    tuners = {tuner_for(wishes.tuner, wishes.power_w, balanced=balanced) for balanced in (False, True)}
    tuners |= {None} if wishes.tuner == EXTERNAL else set()  # it costs money, so the search may do without
    return design.feed.tuner in tuners and _offered(design.values, wishes)


def of_today(values: dict, wishes: WishList) -> dict:
    """The values of a design of other wishes with today's choices where its own are no longer offered: the tuner wished for, the make."""
    tuner = {"use_tuner": "yes"} if wishes.tuner == EXTERNAL and "use_tuner" not in values else {}
    return values | tuner | ({} if _offered(values, wishes) else {"make": makes(wishes)[0]})


def _offered(values: dict, wishes: WishList) -> bool:
    """Is its make among today's? A trap wound of coaxial cable is a way of one's own."""
    return "make" not in values or (BOUGHT if values["make"] == BOUGHT else OWN) in makes(wishes)
