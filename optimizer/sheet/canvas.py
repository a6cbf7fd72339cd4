"""Ink on paper: a small SVG canvas that prints everywhere the same, black on white, kinds told apart by pattern and dash.

Every look is a plain attribute of its element, no style sheet: print engines differ in what they understand of those.
Text has a white line around it, drawn under it. User units are about a third of a millimetre on paper.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from html import escape
from itertools import pairwise

FONT = 12.0
CLEAR_STEP = 7.0
WIDE = 0.58  # of the font's height, mean width of a letter

LOOKS = {
    "wire": 'fill="none" stroke="#000" stroke-width="3.4" stroke-linecap="round" stroke-linejoin="round"',
    "back": 'fill="none" stroke="#000" stroke-width="2.4" stroke-dasharray="9 5"',
    "line": 'fill="none" stroke="#000" stroke-width="1.6" stroke-dasharray="1.5 4"',
    "cord": 'fill="none" stroke="#000" stroke-width="1" stroke-dasharray="3 3"',
    "ink": 'fill="none" stroke="#000" stroke-width="1.2"',
    "bold": 'fill="none" stroke="#000" stroke-width="2.2"',
    "thin": 'fill="none" stroke="#555" stroke-width="0.7"',
    "dash": 'fill="none" stroke="#333" stroke-width="1" stroke-dasharray="7 4"',
    "power": 'fill="none" stroke="#000" stroke-width="2.4" stroke-dasharray="14 4 2 4"',
    "mark": 'fill="#fff" stroke="#000" stroke-width="1.6"',
    "solid": 'fill="#000" stroke="none"',
}

PATTERNS = """<defs>
<pattern id="house" width="8" height="8" patternUnits="userSpaceOnUse"><path d="M0 8L8 0" fill="none" stroke="#777" stroke-width="1"/></pattern>
<pattern id="keep" width="10" height="10" patternUnits="userSpaceOnUse"><path d="M0 5H10M5 0V10" fill="none" stroke="#888" stroke-width="0.8"/></pattern>
<pattern id="leaf" width="9" height="9" patternUnits="userSpaceOnUse"><circle cx="3" cy="3" r="1.1" fill="#999"/><circle cx="7.5" cy="7.5" r="1.1" fill="#999"/></pattern>
<pattern id="seat" width="7" height="7" patternUnits="userSpaceOnUse"><path d="M0 3.5H7" fill="none" stroke="#999" stroke-width="0.8" stroke-dasharray="1 2"/></pattern>
<pattern id="soil" width="8" height="8" patternUnits="userSpaceOnUse"><path d="M0 0L8 8" fill="none" stroke="#777" stroke-width="1"/></pattern>
<pattern id="zone" width="6" height="6" patternUnits="userSpaceOnUse"><path d="M0 0L6 6M6 0L0 6" fill="none" stroke="#333" stroke-width="0.6"/></pattern>
<pattern id="dots" width="6" height="6" patternUnits="userSpaceOnUse"><circle cx="2" cy="2" r="0.8" fill="#666"/></pattern>
<pattern id="bars" width="5" height="5" patternUnits="userSpaceOnUse"><path d="M2.5 0V5" fill="none" stroke="#444" stroke-width="1.4"/></pattern>
</defs>"""


@dataclass
class Canvas:
    """Shapes in user units, x right, y down; labels find their own free place when the drawing is finished."""

    width: float
    height: float
    title: str
    items: list[str] = field(default_factory=list)
    labels: list[tuple] = field(default_factory=list)
    taken: list[tuple] = field(default_factory=list)

    def path(self, points, look: str, *, closed: bool = False, keep_clear: bool = False) -> None:
        """A line; `keep_clear`: labels keep off it."""
        d = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points) + ("Z" if closed else "")
        self.draw(d, look)
        for a, b in pairwise(points) if keep_clear else ():
            steps = max(1, math.ceil(math.dist(a, b) / CLEAR_STEP))
            at = [tuple(p + i / steps * (q - p) for p, q in zip(a, b)) for i in range(steps + 1)]
            self.taken += [(x - 2, y - 2, 4, 4) for x, y in at]

    def draw(self, d: str, look: str) -> None:
        self.items.append(f'<path d="{d}" {LOOKS[look]}/>')

    def fill(self, rings, pattern: str, outline: str = "thin") -> None:
        """An area with holes: pattern over white, then its outline."""
        d = "".join("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in ring) + "Z" for ring in rings)
        self.items.append(f'<path d="{d}" fill="url(#{pattern})" fill-rule="evenodd" stroke="none"/>')
        self.draw(d, outline)

    def circle(self, at, radius: float, look: str, pattern: str = "") -> None:
        x, y = at
        if pattern:
            self.items.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="url(#{pattern})"/>')
        self.items.append(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" {LOOKS[look]}/>')

    def mark(self, at, shape: str, look: str = "mark") -> None:
        """A symbol; `shape`: path data about the origin."""
        self.items.append(f'<path d="{shape}" {LOOKS[look]} transform="translate({at[0]:.1f} {at[1]:.1f})"/>')
        self.taken.append((at[0] - 7, at[1] - 7, 14, 14))

    def text(self, at, words: str, *, anchor: str = "start", size: float = FONT, bold: bool = False) -> None:
        """Words exactly there: a white edge first, then the ink."""
        weight = ' font-weight="bold"' if bold else ""
        place = f'x="{at[0]:.1f}" y="{at[1]:.1f}" text-anchor="{anchor}" font-size="{size:g}"{weight}'
        ink = escape(words)
        self.items.append(f'<text {place} fill="#fff" stroke="#fff" stroke-width="3" stroke-linejoin="round" aria-hidden="true">{ink}</text>')
        self.items.append(f'<text {place} fill="#000">{ink}</text>')

    def label(self, at, words: str, *, near: float = 9.0, size: float = FONT, bold: bool = False) -> None:
        """Words near a point; placed at the end where they cover nothing else."""
        self.labels.append((at, words, near, size, bold))

    @property
    def key(self) -> str:
        """From the title: keeps the names of patterns of several drawings on one page apart."""
        return re.sub(r"[^a-z0-9]+", "-", self.title.lower()).strip("-")

    def svg(self) -> str:
        """The finished drawing, one element that scales to its page."""
        for label in sorted(self.labels, key=lambda v: not v[4]):
            self._settle(*label)
        self.labels.clear()
        body = "\n".join(self.items).replace("url(#", f"url(#{self.key}-")
        patterns = PATTERNS.replace('id="', f'id="{self.key}-')
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width:.0f} {self.height:.0f}" width="{self.width:.0f}" '
            f'height="{self.height:.0f}" role="img" aria-label="{escape(self.title, quote=True)}" '
            f'font-family="Helvetica, Arial, Liberation Sans, DejaVu Sans, sans-serif">\n<title>{escape(self.title)}</title>\n{patterns}\n{body}\n</svg>'
        )

    def _settle(self, at, words, near, size, bold) -> None:
        w, h = WIDE * size * len(words) * (1.06 if bold else 1.0), 1.2 * size
        spots = [
            (at[0] + sx * (near + k * h) - (0 if sx > 0 else w if sx < 0 else w / 2), at[1] + sy * (near + k * h) - h / 2)
            for k in range(7)
            for sx, sy in ((1, -0.6), (-1, -0.6), (1, 0.6), (-1, 0.6), (0, -1), (0, 1))
        ]
        inside = [s for s in spots if 2 <= s[0] <= self.width - w - 2 and 2 <= s[1] <= self.height - h - 2] or spots
        left, top = next((s for s in inside if not any(_overlap((*s, w, h), t) for t in self.taken)), inside[0])
        self.taken.append((left, top, w, h))
        edge = (min(max(at[0], left), left + w), min(max(at[1], top), top + h))
        if abs(edge[0] - at[0]) + abs(edge[1] - at[1]) > 2.2 * near:
            self.path((at, edge), "thin")
        self.text((left, top + 0.8 * h), words, size=size, bold=bold)


def _overlap(a, b) -> bool:
    return a[0] < b[0] + b[2] and b[0] < a[0] + a[2] and a[1] < b[1] + b[3] and b[1] < a[1] + a[3]
