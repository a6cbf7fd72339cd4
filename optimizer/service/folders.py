"""Where a run's things lie below the service's home. Names are random ids and these words, never a user's text."""

from __future__ import annotations

from pathlib import Path

TABLE, MOVED = "table.json", "moved.json"
SITE_FILES = {"geojson": "site.geojson", "tape": "site.toml"}


def run_folder(home: Path, run: str) -> Path:
    """The results folder of a run, of the same form as the command's."""
    return home / "runs" / run
