"""Imports go one way. The table is the map of the code; `ast` reads every import there is."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1] / "optimizer"
OPEN_TO_ALL = {"errors", "physics", "__init__"}
SPINE = {"evaluate", "figures", "outside", "safety", "spread", "trim"}  # one layer: the spine and its helpers
MAY_IMPORT = {
    "errors": "",
    "physics": "",
    "wires": "",
    "parts": "wires",
    "site": "wires",
    "field": "wires",
    "network": "parts",
    "families": "site wires parts",
    "criteria": "site wires field network parts",
    "evaluate": "site wires families field network parts criteria",
    "ensemble": "site wires families field network parts criteria evaluate",
    "search": "site wires families field network parts criteria evaluate ensemble",
    "report": "site wires families field network parts criteria evaluate ensemble search",
    "sheet": "site wires families field network parts criteria evaluate ensemble search report",
    "trimming": "site wires families field network parts criteria evaluate ensemble search report sheet",
    "compiling": "site wires families field",
    "service": "compiling site wires families field network parts criteria evaluate ensemble search report sheet trimming",
    "cli": "compiling site wires families field network parts criteria evaluate ensemble search report sheet trimming service",
}


def layer_of(path: Path) -> str:
    top = path.relative_to(ROOT).parts[0].removesuffix(".py")
    return "evaluate" if top in SPINE else top


def imported(path: Path) -> set[str]:
    """Layers of our own package that a file imports, at any depth of nesting."""
    package = ("optimizer", *path.relative_to(ROOT).parts[:-1])
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else ()
            full = [(*base, *(node.module.split(".") if node.module else ()))]
            if len(full[0]) < 2 and full[0][:1] == ("optimizer",):
                full = [("optimizer", alias.name) for alias in node.names]
        elif isinstance(node, ast.Import):
            full = [tuple(alias.name.split(".")) for alias in node.names]
        else:
            continue
        found |= {f[1] for f in full if len(f) > 1 and f[0] == "optimizer"}
    return {"evaluate" if name in SPINE else name for name in found}


FILES = sorted(p for p in ROOT.rglob("*.py") if p != ROOT / "__init__.py")


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(ROOT)))
def test_imports_go_one_way(path):
    layer = layer_of(path)
    allowed = OPEN_TO_ALL | {layer} | set(MAY_IMPORT[layer].split())
    if layer in ("errors", "physics"):
        allowed = {"errors", "physics"}
    assert imported(path) - {"__version__"} <= allowed


def test_the_table_itself_has_no_circle():
    done: list[str] = []
    for layer, below in MAY_IMPORT.items():
        assert set(below.split()) <= set(done), f"{layer} comes before something it imports"
        done.append(layer)


def test_only_the_search_knows_the_search_library():
    for path in FILES:
        if layer_of(path) != "search":
            assert "optuna" not in path.read_text(encoding="utf-8"), path


def test_the_reader_of_imports_sees_relative_and_nested_ones():
    assert "search" in imported(ROOT / "cli.py") and "parts" in imported(ROOT / "evaluate.py")
    assert "site" in imported(ROOT / "report" / "tables.py")
