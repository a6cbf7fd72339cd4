"""The README against the program: its options, columns and lines."""

import re
from pathlib import Path

from typer.testing import CliRunner

from optimizer.cli import app
from optimizer.report.tables import BAND_COLUMNS, ROW_COLUMNS

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def options_of(command: str) -> set[str]:
    return set(re.findall(r"--[a-z][a-z-]+", CliRunner().invoke(app, [command, "--help"]).stdout)) - {"--help"}


def test_every_option_of_rank_and_serve_is_mentioned_and_every_option_mentioned_is_there():
    mentioned = set(re.findall(r"--[a-z][a-z-]+", README)) - {"--help"}
    assert (options_of("rank") | options_of("serve")) - mentioned == set()
    assert mentioned - set().union(*(options_of(c) for c in ("rank", "serve", "rerun", "trim", "verify"))) == set()


def test_every_figure_of_the_table_is_explained():
    names = [f"BAND_{c}" for c in BAND_COLUMNS] + [c for c in ROW_COLUMNS if c not in ("rank", "design", "family", "currency")]
    assert [n for n in names if f"`{n}`" not in README] == []


def test_the_first_line_shown_names_a_demo_lot_that_is_there():
    site = re.search(r"lotwire rank (\S+)", README).group(1)
    assert (ROOT / site).exists()


def test_the_test_run_takes_the_line_that_stands_here():
    assert "\n    pip install '.[test]' && pytest\n" in README
