"""The table's rows on evaluations made by hand."""

from types import SimpleNamespace

from optimizer.search.variety import alike, distinct, front


def made(family, total, x=0.0, long_m=10.0):
    wires = (SimpleNamespace(points_m=((x, 0.0, 3.0), (x + long_m, 0.0, 7.0))),)
    return SimpleNamespace(family=family, total=total, design=SimpleNamespace(structure=SimpleNamespace(wires=wires)))


def test_alike_is_a_matter_of_where_the_wires_hang():
    assert alike(made("a", 1.0, 0.0), made("a", 9.0, 0.5))
    assert not alike(made("a", 1.0, 0.0), made("a", 1.0, 1.6))
    assert not alike(made("a", 1.0), made("b", 1.0))
    assert alike(made("a", 1.0, 0.0, 20.0), made("a", 1.0, 2.0, 20.0))  # two metres matter less on a long wire
    assert not alike(made("a", 1.0, 0.0, 40.0), made("a", 1.0, 3.1, 40.0))


def test_every_family_worth_a_look_gets_a_row_before_a_winner_gets_many():
    many = [made("best", 90.0 - i, 2.0 * i) for i in range(10)]
    others = [made("middling", 60.0), made("poor", 50.0), made("hopeless", 20.0)]
    rows = distinct(many + others, rows=5, per_family=3)
    assert [(e.family, e.total) for e in rows] == [
        ("best", 90.0), ("best", 89.0), ("best", 88.0), ("middling", 60.0), ("poor", 50.0),
    ]  # fmt: skip


def test_near_copies_are_left_out():
    rows = distinct([made("a", 9.0, 0.0), made("a", 8.0, 0.3), made("a", 7.0, 5.0)], rows=5, per_family=3)
    assert [e.total for e in rows] == [9.0, 7.0]


def test_nothing_in_nothing_out():
    assert distinct([], rows=5, per_family=3) == []


def test_the_same_wire_named_from_its_other_end_is_a_copy():
    there = made("a", 1.0)
    back = made("a", 1.0)
    back.design.structure.wires = tuple(SimpleNamespace(points_m=w.points_m[::-1]) for w in there.design.structure.wires)
    assert alike(there, back)


def priced(cost, performance):
    return SimpleNamespace(cost=cost, score=SimpleNamespace(performance=performance))


def test_the_front_holds_what_nothing_beats_in_both():
    cheap, middling, dear = priced(50.0, 0.3), priced(100.0, 0.5), priced(200.0, 0.8)
    beaten = [priced(60.0, 0.3), priced(100.0, 0.4), priced(300.0, 0.8)]
    assert front([*beaten, dear, cheap, middling]) == [dear, middling, cheap]
    assert front([]) == []
