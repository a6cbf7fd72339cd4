"""The journey in two other ways: with the keyboard alone, and with a finger on a phone."""

import re

import pytest

from .conftest import SEARCH_MS


def test_with_the_keyboard_alone(open_page, tab_to):
    page = open_page("")
    tab_to(page, "a[href='#/lot/new/example']")
    page.keyboard.press("Enter")
    page.wait_for_selector(".row")
    tab_to(page, "button.strong", most=200)
    page.keyboard.press("Enter")
    page.wait_for_selector(".band")
    tab_to(page, "#band-20m")
    page.keyboard.press("Space")
    tab_to(page, ".card:has(button.big) summary")
    page.keyboard.press("Enter")
    tab_to(page, "input[placeholder='by time']")
    page.keyboard.type("3")
    tab_to(page, "button.big")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile("#/run/"))
    page.wait_for_selector(".ranked", timeout=SEARCH_MS)
    tab_to(page, ".ranked tbody th a")
    page.keyboard.press("Enter")
    page.wait_for_selector("h1:focus")
    tab_to(page, "a[href$='sheet.html']")
    with page.context.expect_page() as opened:
        page.keyboard.press("Enter")
    opened.value.wait_for_load_state()
    assert opened.value.inner_text("h1")


def test_with_a_finger_on_a_phone(open_page):
    page = open_page("", phone=True)
    page.tap("text=Try the example lot")
    page.wait_for_selector(".row")
    page.tap("text=Next: your wishes")
    page.wait_for_selector(".band")
    page.tap("label:has(#band-20m)")
    page.tap("text=A fixed count instead")
    page.get_by_label("Designs to try").fill("3")
    page.tap("button.big")
    page.wait_for_url(re.compile("#/run/"))
    page.wait_for_selector(".ranked", timeout=SEARCH_MS)
    page.tap(".ranked tbody th a >> nth=0")
    page.wait_for_selector(".design-page")
    page.tap("text=Trim log")
    page.wait_for_selector("text=Order of work")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


@pytest.mark.parametrize(
    ("ticks", "expected"),
    [
        ({}, {"line": [12, 9.5], "ring": 1}),
        ({1: True}, {"line": [12, 9.5, 10], "ring": 1}),
        ({1: True, 2: True}, {"line": [12, 9.5, 10], "ring": 1, "box": 1}),
        ({0: False}, {"ring": 1}),
        ({0: False, 1: True}, {"line": 10, "ring": 1}),
        ({0: False, 3: False}, {}),
    ],
)
def test_ticking_a_part_to_buy_leaves_what_is_in_stock(open_page, ticks, expected):
    """Runs of 12 and 10 m: the one comes off a piece in stock, the other is to buy."""
    rows = [
        {"part": part, "quantity": quantity, "on_hand": there} for part, quantity, there in (("line", 12, True), ("line", 10, False), ("box", 1, False), ("ring", 1, True))
    ]
    page = open_page("")
    found = page.evaluate(
        "([stock, rows, ticks]) => import('/static/design/stock.js').then((m) => m.held(stock, rows, new Map(ticks.map(([i, yes]) => [rows[i], yes]))))",
        [{"line": [12, 9.5], "ring": 1}, rows, list(map(list, ticks.items()))],
    )
    assert found == expected
