"""The bill: sums by hand on the list's own numbers, stock, currencies, user lists, faults. Prices themselves have no reference."""

from pathlib import Path

import pytest

from optimizer.errors import InputError
from optimizer.families.design import BillItem
from optimizer.parts.catalogue import CURRENCIES, catalogue, keys, mast_for, part, transformer_for, tuner_for
from optimizer.parts.prices import PriceBook, bill, bill_for, cents, total
from optimizer.parts.tools import tools_for
from optimizer.parts.user_lists import read_price_list, read_rates
from optimizer.physics.wish_reader import read_wishes
from optimizer.site.read import read_site


def item(key, quantity=1.0, use="test"):
    return BillItem(part=key, quantity=quantity, use=use)


def test_every_part_has_a_price_in_every_listed_currency():
    for key, found in catalogue().items():
        assert found.pieces or {c for c, p in found.prices if p >= 0} == set(CURRENCIES), key
        assert found.pieces or found.year >= 2020, key
        assert all(quantity > 0 for _, quantity in found.pieces)


def test_price_is_quantity_bought_times_unit_price():
    """10.3 m and 4.1 m of one wire are 15 m in the shop, not 11 and 5."""
    rows = bill((item("wire_ccs_2mm", 10.3, "main"), item("wire_ccs_2mm", 4.1, "tail")), "EUR")
    unit = dict(part("wire_ccs_2mm").prices)["EUR"]
    assert [(r.quantity, r.unit_price, r.price, r.use) for r in rows] == [(15.0, unit, cents(15 * unit), "main; tail")]


def test_assembly_is_bought_in_pieces():
    rows = {r.part: r for r in bill((item("transformer_49_100w"),), "GBP")}
    assert set(rows) == {k for k, _ in part("transformer_49_100w").pieces}
    assert rows["wire_enamel_1mm"].quantity == 2.0  # 1.6 m, whole metres
    assert total(rows.values()) == pytest.approx(sum(r.price for r in rows.values()))


def test_stock_is_free_and_used_first():
    rows = bill((item("guy_cord_3mm", 14.2), item("choke_ft240_31_12t")), "EUR", on_hand=(("guy_cord_3mm", 10), ("choke_ft240_31_12t", 1)))
    assert {(r.part, r.quantity, r.price > 0, r.on_hand) for r in rows} == {
        ("guy_cord_3mm", 10.0, False, True), ("guy_cord_3mm", 5.0, True, False), ("choke_ft240_31_12t", 1.0, False, True),
    }  # fmt: skip


def split(items, *pieces):
    """Metres of the one part that stock gives and the shop sells."""
    rows = bill(items, "EUR", on_hand=tuple((items[0].part, p) for p in pieces))
    return sum(r.quantity for r in rows if r.on_hand), sum(r.quantity for r in rows if not r.on_hand)


@pytest.mark.parametrize(
    ("runs", "pieces", "stock_bought"),
    [
        ((14.2,), (10,), (0, 15)),  # too short: not lengthened
        ((14.2,), (10, 10), (0, 15)),  # two pieces are not one of 20 m
        ((14.2,), (20,), (14.2, 0)),
        ((14.2, 2.3, 2.3), (20, 3), (18.8, 0)),  # line and two traps: 2.3 off the short piece, 2.3 off what is left of the long one
        ((2.3, 14.2), (15,), (14.2, 3)),  # the long run first, though it is named last
        ((2.3, 14.2), (15, 2.4), (16.5, 0)),
        ((6.0, 4.0), (10, 4), (10, 0)),  # off the shortest that will do
        ((15.0003,), (15,), (15, 0)),
    ],
)
def test_a_run_of_line_comes_off_one_piece(runs, pieces, stock_bought):
    assert split([item("cable_rg58", run) for run in runs], *pieces) == pytest.approx(stock_bought, abs=0.01)


def test_wire_in_stock_is_spliced_and_windings_are_not():
    """Two coils of 5.2 m of winding wire: a piece of 6 m gives one of them."""
    assert split([item("wire_pvc_stranded_1_5mm2", 14.2)], 10, 10) == pytest.approx((14.2, 0))
    assert split([item("wire_enamel_1mm", 5.2), item("wire_enamel_1mm", 5.2)], 6, 5) == pytest.approx((5.2, 6))
    assert split([item("plug_pl259", 2)], 1, 1) == (2, 0)


def test_line_in_an_assembly_is_a_run_for_each():
    """Two chokes take 1.2 m of thin cable each: a piece of 2 m gives one."""
    rows = bill((item("choke_ft240_31_12t", 2),), "EUR", on_hand=(("cable_rg316", 2),))
    assert [(r.quantity, r.on_hand) for r in rows if r.part == "cable_rg316"] == [(1.2, True), (2.0, False)]


def test_stock_of_a_piece_serves_an_assembly():
    rows = bill((item("transformer_49_400w"),), "EUR", on_hand={"ring_ft240_43": 1})
    assert [(r.quantity, r.price) for r in rows if r.part == "ring_ft240_43" and r.on_hand] == [(1.0, 0.0)]
    assert [r.quantity for r in rows if r.part == "ring_ft240_43" and not r.on_hand] == [1.0]


def test_tools_are_listed_and_not_counted():
    rows = bill((item("tool_tape"), item("insulator_end", 2)), "EUR")
    assert [r.tool for r in rows] == [False, True]
    assert total(rows) == rows[0].price > 0


def test_own_list_and_rates():
    book = PriceBook(own={"insulator_end": (11.0, "SEK")}, rates={"SEK": 11.0, "CHF": 0.5})
    assert bill((item("insulator_end"),), "CHF", book=book)[0].price == 0.5  # 11 SEK are 1 EUR are 0.50 CHF
    assert bill((item("insulator_end"),), "SEK", book=book)[0].price == 11.0
    eur = dict(part("mast_6m").prices)["EUR"]
    assert bill((item("mast_6m"),), "SEK", book=book)[0].price == cents(eur * 11.0)


def test_no_rate_is_one_fault_however_many_parts_lack_a_price():
    with pytest.raises(InputError) as caught:
        bill(tuple(map(item, ("insulator_end", "mast_6m", "cable_rg58", "plug_pl259", "guy_ring"))), "CHF")
    (fault,) = caught.value.faults
    assert fault.value == "CHF" and "--rates" in fault.allowed and "mast_6m" in fault.hint and "2 more" in fault.hint


def test_a_price_of_ones_own_in_a_currency_without_rate_names_that_currency():
    with pytest.raises(InputError) as caught:
        bill((item("insulator_end"),), "EUR", book=PriceBook(own={"insulator_end": (11.0, "SEK")}))
    assert [f.value for f in caught.value.faults] == ["SEK"]


def test_cents_round_halves_up():
    assert [cents(x) for x in (0.125, 2.675, 1.005, 3.0)] == [0.13, 2.68, 1.01, 3.0]


def test_price_list_file(tmp_path):
    good, bad = tmp_path / "good.csv", tmp_path / "bad.csv"
    good.write_text("part,unit_price,currency\ninsulator_end,0.75,eur\n")
    bad.write_text("part,unit_price,currency\nno_such,1,EUR\ninsulator_end,-2,EUR\nmast_6m,cheap,EUR\ncoil_own_wound,3,EUR\n")
    assert read_price_list(good) == {"insulator_end": (0.75, "EUR")}
    with pytest.raises(InputError) as caught:
        read_price_list(bad)
    assert len(caught.value.faults) == 4
    assert all(str(line) in "".join(f.field for f in caught.value.faults) for line in (2, 3, 4, 5))


def test_rates_file(tmp_path):
    good, bad = tmp_path / "rates.csv", tmp_path / "bad.csv"
    good.write_text("currency,per_eur\nchf,0.95\nSEK,11.2\n")
    bad.write_text("currency,per_eur\nCHF,0\nCHF,0.9\nSEK,many\n")
    assert read_rates(good) == {"CHF": 0.95, "SEK": 11.2}
    with pytest.raises(InputError) as caught:
        read_rates(bad)
    assert len(caught.value.faults) == 3


def test_of_an_assembly_that_is_there_by_half_no_piece_is_given_away():
    """Its cable comes off one piece, so half a winding in stock saves none of it."""
    (cable,) = (row for row in bill((item("choke_ft240_31_12t", 1.0),), "EUR", on_hand={"choke_ft240_31_12t": 0.5}) if row.part == "cable_rg316")
    assert cable.quantity >= 1.2 and not cable.on_hand


def test_tools_follow_from_the_parts():
    assert tools_for(("cable_rg58",)) == ("tool_tape", "tool_swr_meter")
    wound = tools_for(("coil_own_wound", "stake_guy"))
    assert {"tool_lc_meter", "tool_hammer", "tool_cable_detector"} <= set(wound)
    assert all(part(tool).is_tool for tool in wound)


def test_choosers():
    assert [mast_for(h) for h in (3.2, 4.0, 9.4, 10.0, 17.0)] == ["mast_4m", "mast_4m", "mast_10m", "mast_10m", "mast_18m"]
    assert [transformer_for(49, w) for w in (5, 100, 200, 1000)] == [
        "transformer_49_20w", "transformer_49_100w", "transformer_49_400w", "transformer_49_400w",
    ]  # fmt: skip
    assert transformer_for(4, 100, bought=True) == "transformer_4_100w_bought"
    assert [tuner_for("none"), tuner_for("radio"), tuner_for("external", 400)] == [None, "tuner_in_radio", "tuner_l_400w"]
    with pytest.raises(InputError):
        mast_for(25.0)
    with pytest.raises(InputError, match="wire_gold"):
        part("wire_gold")
    assert len(set(keys())) == len(keys())


def test_a_wish_lists_own_prices_and_rates_reach_the_cost(tmp_path):
    """20 m of a wire at 2.00 of the site's currency, and at 22.00 SEK with 11 SEK to the euro: both 40.00, by hand."""
    site = read_site(Path(__file__).parents[2] / "sites" / "l_shape.geojson")
    wire = (item("wire_ccs_2mm", 20.0),)
    file = tmp_path / "wishes.toml"
    file.write_text('bands = "40m"\n[prices]\nwire_ccs_2mm = 2.0\n', encoding="utf-8")
    assert total(bill_for(wire, site.currency, read_wishes(file, site))) == 40.0
    abroad = read_wishes("40m", site, prices=(("wire_ccs_2mm", 22.0, "SEK"),), rates=(("SEK", 11.0),))
    assert total(bill_for(wire, "EUR", abroad)) == 40.0
    with pytest.raises(InputError, match="no_such_part"):
        bill_for(wire, "EUR", read_wishes("40m", site, prices=(("no_such_part", 1.0, "EUR"),)))


def test_an_unreadable_list_is_a_fault_of_the_user(tmp_path):
    with pytest.raises(InputError, match="can be read"):
        read_price_list(tmp_path / "none.csv")
    (tmp_path / "short.csv").write_text("part,price\n", encoding="utf-8")
    with pytest.raises(InputError, match="unit_price, currency"):
        read_price_list(tmp_path / "short.csv")
