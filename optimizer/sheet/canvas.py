"""Ink on paper: a small SVG canvas that prints everywhere the same, black on white, kinds told apart by pattern and dash.

Every look is a plain attribute of its element, no style sheet: print engines differ in what they understand of those.
Text has a white line around it, drawn under it. User units are about a third of a millimetre on paper.
"""

from __future__ import annotations

import zlib
from dataclasses import dataclass, field
from html import escape

from ..report.labels import about, along, place

FONT = 12.0
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
        if keep_clear:
            self.taken += along(points)

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
        self.taken.append(about(at, 7.0))

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

    def svg(self) -> str:
        """The finished drawing, one element that scales to its page."""
        for label in sorted(self.labels, key=lambda v: not v[4]):
            self._settle(*label)
        self.labels.clear()
        body = "\n".join(self.items)
        mark = f"{zlib.crc32((self.title + body).encode()):08x}"  # keeps the names of patterns of several drawings on one page apart
        body, patterns = body.replace("url(#", f"url(#p{mark}-"), PATTERNS.replace('id="', f'id="p{mark}-')
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width:.0f} {self.height:.0f}" width="{self.width:.0f}" '
            f'height="{self.height:.0f}" role="img" aria-label="{escape(self.title, quote=True)}" '
            f'font-family="Helvetica, Arial, Liberation Sans, DejaVu Sans, sans-serif">\n<title>{escape(self.title)}</title>\n{patterns}\n{body}\n</svg>'
        )

    def _settle(self, at, words, near, size, bold) -> None:
        w, h = WIDE * size * len(words) * (1.06 if bold else 1.0), 1.2 * size
        (left, top), pointer = place(at, (w, h), near, self.taken, (self.width, self.height))
        if pointer:
            self.path((at, pointer), "thin")
        self.text((left, top + 0.8 * h), words, size=size, bold=bold)
