"""Parts of optimizer/docs that scripts write: what stands between two marks is replaced."""

from pathlib import Path

DOCS = Path(__file__).parents[2] / "optimizer" / "docs"


def put(page: str, part: str, lines: list[str]) -> None:
    """Replaces a part of a page, from `<!-- part: begin -->` to `<!-- part: end -->`."""
    path = DOCS / page
    begin, end = f"<!-- {part}: begin -->", f"<!-- {part}: end -->"
    before, _, rest = path.read_text(encoding="utf-8").partition(begin)
    if end not in rest:
        raise SystemExit(f"{path} has no part {part}")
    after = rest.partition(end)[2]
    path.write_text(before + "\n".join([begin, *lines, end]) + after, encoding="utf-8")
