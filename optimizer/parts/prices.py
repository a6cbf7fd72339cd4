"""The bill: what a design takes, what is in stock, what has to be bought and what it costs.

Prices come from the built-in list in its own EUR, GBP or USD column; `PriceBook` lays a user's list over it and
brings the user's exchange rates (`user_lists` reads both). A rate is how many units of that currency one euro buys; rates are never built in.
Every row of the answer has price = quantity × unit price to 0.01; stock on hand is a row of its own at 0.

Stock by the metre is in pieces. A run of line, a winding, a former or a post comes off one piece that is long enough, or is bought (`Part.in_one_piece`);
wire and cord are spliced or knotted, so their pieces add up.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from ..errors import Fault, InputError
from .catalogue import CURRENCIES, catalogue, part, whole


SHOWN = 3  # parts that a fault names
NEARLY_M = 1e-3  # a run may be so much longer than its piece


@dataclass(frozen=True, kw_only=True)
class PricedItem:
    """One line of the bill. `price` = `quantity` × `unit_price`, to 0.01."""

    part: str
    item: str
    quantity: float
    unit: str
    unit_price: float
    price: float
    use: str = ""
    year: int | None = None
    on_hand: bool = False
    tool: bool = False


@dataclass(frozen=True, kw_only=True)
class PriceBook:
    """`own`: part → (unit price, currency) of the user's list; `rates`: currency → units for one EUR."""

    own: Mapping[str, tuple[float, str]] = field(default_factory=dict)
    rates: Mapping[str, float] = field(default_factory=dict)

    def unit_price(self, key: str, currency: str) -> float | None:
        """Unit price of a part in `currency`, None if neither list nor rates can tell."""
        if key in self.own:
            price, own_currency = self.own[key]
            return self.exchange(price, own_currency, currency)
        listed = dict(part(key).prices)
        if currency in listed:
            return listed[currency]
        return self.exchange(listed["EUR"], "EUR", currency)

    def exchange(self, price: float, have: str, want: str) -> float | None:
        if have == want:
            return price
        rates = {"EUR": 1.0, **self.rates}
        if have not in rates or want not in rates:
            return None
        return cents(price * rates[want] / rates[have])


def cents(amount: float) -> float:
    """Rounded to 0.01, halves up, as a till does."""
    return math.floor(amount * 100.0 + 0.5 + 1e-7) / 100.0


def bill(items: Iterable, currency: str, on_hand=(), book: PriceBook | None = None) -> tuple[PricedItem, ...]:
    """Priced rows for bill items (each with `part`, `quantity`, `use`), in the order of the catalogue.

    `on_hand`: pairs or mapping of part key → quantity in stock, one pair a piece; an assembly in stock serves before its pieces do.
    Raises InputError where parts have no price in `currency`, once for them all. Tools are rows with `tool` set: not in `total`.
    """
    book = book or PriceBook()
    stock = _stock(on_hand)
    unpriced: list[str] = []
    needed, uses, taken = _needed(items, stock)
    out: list[PricedItem] = []
    for key in (k for k in catalogue() if k in needed or k in taken):
        use = "; ".join(uses.get(key, ()))
        if taken.get(key):
            out.append(_row(key, taken[key], 0.0, use, on_hand=True))
        bought = whole(needed.get(key, 0.0), part(key).step)
        if bought > 0:
            price = book.unit_price(key, currency)
            if price is None:
                unpriced.append(key)
            out.append(_row(key, bought, price or 0.0, use))
    if unpriced:
        raise InputError([_without_rate(unpriced, currency, book)])
    return tuple(out)


def _without_rate(unpriced: list[str], currency: str, book: PriceBook) -> Fault:
    """What is wrong where parts have no price: a currency, the site's or of the user's own list, for which there is no rate."""
    have = {currency} | {book.own[key][1] for key in unpriced if key in book.own}
    lacking = ", ".join(sorted(have - {"EUR", *book.rates})) or currency
    more = f" and {len(unpriced) - SHOWN} more" if len(unpriced) > SHOWN else ""
    hint = f"the price list has {', '.join(CURRENCIES)}; without a price: {', '.join(unpriced[:SHOWN])}{more}"
    return Fault("prices", "currency", lacking, "a rate, from --rates FILE or [rates] in the wish file, or your own price of every part", hint)


def bill_for(items: Iterable, currency: str, wishes) -> tuple[PricedItem, ...]:
    """The bill under a wish list: its stock, its own prices and its exchange rates (`on_hand`, `prices`, `rates`)."""
    own = {key: (price, own_currency) for key, price, own_currency in wishes.prices}
    for key in own:
        part(key)
    return bill(items, currency, wishes.on_hand, PriceBook(own=own, rates=dict(wishes.rates)))


def total(rows: Iterable[PricedItem]) -> float:
    """Sum of the prices, tools left out, to 0.01."""
    return cents(sum(row.price for row in rows if not row.tool))


def _stock(on_hand) -> dict[str, list[float]]:
    """Pieces of each part in stock; what is not cut off one piece is a single heap."""
    stock: dict[str, list[float]] = {}
    for key, quantity in on_hand.items() if isinstance(on_hand, Mapping) else on_hand:
        stock.setdefault(key, []).append(quantity)
    return {key: pieces if part(key).in_one_piece else [sum(pieces)] for key, pieces in stock.items()}


def _needed(items, stock):
    """Simple parts still to be bought, what for, and what the stock gave."""
    wanted: dict[str, list[float]] = {}
    uses: dict[str, list[str]] = {}
    for item in items:
        wanted.setdefault(item.part, []).append(item.quantity)
        _note(uses, item.part, item.use)
    runs: dict[str, list[float]] = {}
    taken: dict[str, float] = {}
    for key, quantities in wanted.items():
        if not (pieces := part(key).pieces):
            runs.setdefault(key, []).extend(quantities)
            continue
        left = sum(_left(stock, taken, key, quantities))
        for piece, each in pieces if left > 1e-9 else ():
            runs.setdefault(piece, []).extend([each] * math.ceil(left - 1e-9) if part(piece).in_one_piece else [each * left])
            for use in uses[key]:
                _note(uses, piece, use)
    return {key: sum(_left(stock, taken, key, quantities)) for key, quantities in runs.items()}, uses, taken


def _left(stock, taken, key, quantities) -> list[float]:
    """What the stock does not give."""
    pieces = stock.get(key, [])
    give = _off_one_piece if part(key).in_one_piece else _off_the_heap
    left = [give(pieces, quantity) for quantity in sorted(quantities, reverse=True)]
    if (got := sum(quantities) - sum(left)) > 0:
        taken[key] = taken.get(key, 0.0) + got
    return left


def _off_one_piece(pieces: list[float], run_m: float) -> float:
    """What is left to buy of a run: nothing where a piece is long enough, which gets shorter by it, else all. The shortest such piece serves; runs come longest first."""
    off = min((i for i, piece_m in enumerate(pieces) if piece_m >= run_m - NEARLY_M), key=pieces.__getitem__, default=None)
    if off is None:
        return run_m
    pieces[off] -= run_m
    return 0.0


def _off_the_heap(pieces: list[float], quantity: float) -> float:
    """What is left to buy once the heap is used up."""
    got = min(pieces[0], quantity) if pieces else 0.0
    if got:
        pieces[0] -= got
    return quantity - got


def _note(uses, key, use):
    if use and use not in uses.setdefault(key, []):
        uses[key].append(use)


def _row(key, quantity, unit_price, use, on_hand=False):
    found = part(key)
    quantity = round(quantity, 3)
    return PricedItem(
        part=key, item=found.item, quantity=quantity, unit=found.unit, unit_price=unit_price,
        price=cents(quantity * unit_price), use=use, year=found.year, on_hand=on_hand, tool=found.is_tool,
    )  # fmt: skip
