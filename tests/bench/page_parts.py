"""Writes the names of parts into optimizer/docs/site_files.md.

    python tests/bench/page_parts.py
"""

from pages import put

from optimizer.parts.catalogue import catalogue


def lines() -> list[str]:
    groups: dict[str, list[str]] = {}
    for part in catalogue().values():
        groups.setdefault(part.group, []).append(f"`{part.key}` {part.item}")
    return [f"- **{group}**: " + "; ".join(names) + "." for group, names in groups.items()]


if __name__ == "__main__":
    put("site_files.md", "parts", lines())
