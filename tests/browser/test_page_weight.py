"""The page as a whole: its weight, its links, its headings and labels."""

import re
from pathlib import Path

import pytest

from optimizer.families.catalogue import FAMILIES

STATIC = Path(__file__).parents[2] / "optimizer" / "service" / "static"
MOST_BYTES = 400_000


def test_the_whole_page_stays_small():
    assert sum(f.stat().st_size for f in STATIC.rglob("*") if f.is_file()) < MOST_BYTES


def test_kinds_of_wire_are_called_as_in_the_tables():
    words = (STATIC / "words.js").read_text(encoding="utf-8")
    assert [f"{key}: \"{family.title}\"" for key, family in FAMILIES.items() if f"  {key}: \"{family.title}\",\n" not in words] == []


def test_every_control_has_a_name(open_page):
    """WCAG 2.2, 4.1.2: a name for every control, as the browser's own accessibility tree computes it."""
    page = open_page("#/lot/new/example")
    page.wait_for_selector(".row")
    page.click("text=About the lot")
    session = page.context.new_cdp_session(page)
    nodes = session.send("Accessibility.getFullAXTree")["nodes"]
    controls = [n for n in nodes if not n.get("ignored") and n.get("role", {}).get("value") in ("button", "textbox", "spinbutton", "combobox", "checkbox", "link", "slider")]
    assert len(controls) > 20
    assert [n for n in controls if not n.get("name", {}).get("value")] == []


def test_light_and_dark_follow_the_system_and_the_knob(open_page):
    page = open_page("", dark=True)
    paper = "getComputedStyle(document.body).backgroundColor"
    dark = page.evaluate(paper)
    page.click("#look")
    light = page.evaluate(paper)
    assert dark != light
    page.reload()
    page.wait_for_selector("h1")
    assert page.evaluate(paper) == light  # remembered


def luminance(rgb):
    """Relative luminance of an sRGB colour. Source: WCAG 2.2, definition of relative luminance."""
    parts = [c / 255 for c in rgb]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("dark", [False, True])
def test_text_stands_out_from_its_ground(open_page, dark):
    """WCAG 2.2, 1.4.3: a contrast of 4.5 to 1 at least."""
    page = open_page("", dark=dark)

    def colour(name):
        text = page.evaluate("name => { const e = document.createElement('i'); e.style.color = `var(--${name})`; document.body.append(e); return getComputedStyle(e).color }", name)
        return luminance([float(c) for c in re.findall(r"[\d.]+", text)[:3]])

    pairs = [(ink, ground) for ink in ("ink", "soft", "accent", "danger", "warn", "brick") for ground in ("paper", "sheet")] + [("accent-ink", "accent")]
    for ink, ground in pairs:
        dim, bright = sorted((colour(ink), colour(ground)))
        assert (bright + 0.05) / (dim + 0.05) >= 4.5, (ink, ground)


def test_an_unknown_address_says_so(open_page):
    page = open_page("#/nowhere")
    assert "did not work" in page.inner_text("h1")
    open_page.troubles.clear()  # the console names the error as well
