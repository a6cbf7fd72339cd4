"""A service of its own and Debian's Chromium for the page's tests. Skipped, with the reason, where one of them is missing.

Every page fails its test on an error in the console (a refused style, a missing file, an exception) and on any request that leaves
the service.
"""

import os
import shutil
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path

import pytest

FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync",
)  # fmt: skip
ROOT = Path(__file__).parents[2]
PATIENCE_MS = 30_000
SEARCH_MS = 400_000  # a small search on a busy machine, compiling included


@contextmanager
def serving(home, **more):
    """A service over a folder, with more in its environment; its address."""
    command = [sys.executable, "-m", "optimizer.cli", "serve", "--port", "0", "--home", str(home), "--no-browser", "--workers", "2"]
    paths = os.pathsep.join(filter(None, (str(ROOT), os.environ.get("PYTHONPATH"))))
    env = os.environ | {"OMP_NUM_THREADS": "1", "PYTHONPATH": paths} | more
    service = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, env=env)
    try:
        line = service.stdout.readline()
        assert "http://" in line, f"the service did not start: {line}"
        yield next(word for word in line.split() if word.startswith("http://"))
    finally:
        service.terminate()
        service.wait(20)


@pytest.fixture(scope="session")
def address(tmp_path_factory):
    """Where a fresh service answers."""
    with serving(tmp_path_factory.mktemp("home")) as where:
        yield where


@pytest.fixture(scope="session")
def chromium():
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: pip install '.[test]'")
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        pytest.skip("no chromium on this machine: apt-get install chromium")
    with playwright.sync_playwright() as started:
        browser = started.chromium.launch(executable_path=program, args=list(FLAGS))
        yield browser
        browser.close()


@pytest.fixture
def open_page(chromium, address):
    """`open_page("#/lot", width=…, dark=…, phone=…)` gives a page of a fresh visitor."""
    troubles, contexts = [], []

    def opened(path="", *, width=1280, height=860, dark=False, phone=False):
        look = {"width": 360, "height": 740} if phone else {"width": width, "height": height}
        context = chromium.new_context(viewport=look, color_scheme="dark" if dark else "light", has_touch=phone, is_mobile=phone, accept_downloads=True)
        contexts.append(context)
        context.on("request", lambda r: troubles.append(f"asked outside: {r.url}") if not r.url.startswith((address, "blob:", "data:")) else None)
        page = context.new_page()
        page.set_default_timeout(PATIENCE_MS)
        page.on("pageerror", lambda e: troubles.append(f"exception: {e}"))
        page.on("console", lambda m: troubles.append(f"console: {m.text}") if m.type == "error" else None)
        page.goto(address + path)
        page.wait_for_selector("main h1")
        return page

    opened.troubles = troubles
    yield opened
    for context in contexts:
        context.close()
    assert not troubles, troubles


@pytest.fixture
def tab_to():
    """`tab_to(page, css)` presses Tab until the focus is on what the selector names."""

    def go(page, css, most=150):
        for _ in range(most):
            if page.evaluate("css => document.activeElement.matches(css)", css):
                return
            page.keyboard.press("Tab")
        raise AssertionError(f"Tab never came to {css}")

    return go
