"""A service that wants a token: the page asks for it once, and refuses a wrong one."""

import hashlib

from .conftest import serving

TOKEN = "not-a-secret-of-anybodys-but-long-enough"


def test_the_page_asks_for_a_token(chromium, tmp_path):
    with serving(tmp_path, LOTWIRE_TOKENS=f"gardener {hashlib.sha256(TOKEN.encode()).hexdigest()}") as address:
        page = chromium.new_page()
        page.goto(address)
        page.wait_for_selector("text=asks for a token")
        entry = page.get_by_label("token")
        entry.fill("wrong")
        entry.press("Enter")
        page.wait_for_selector(".token .fault:has-text('not known')")
        entry.fill(TOKEN)
        entry.press("Enter")
        page.wait_for_selector(".welcome")
        assert page.evaluate("fetch('/api/sites').then(r => r.status)") == 200
        assert TOKEN not in page.evaluate("document.cookie + JSON.stringify(localStorage)")  # out of reach of scripts
        page.close()
