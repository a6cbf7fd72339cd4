"""Small SVG helpers: a sheet to scale, escaped text, labels that keep out of each other's way.

A `Sheet` maps metres to user units with one scale both ways, y up. Looks live in `STYLE`: colours are variables with
a light and a dark set, ink follows `currentColor`, and every kind of thing differs by pattern, dash or shape as well.
Readers that know no variables (print engines) skip the `@supports` block and find the same looks before it in plain light colours.
Names of patterns carry a mark of the drawing's content, so that several drawings can stand on one page.
"""

from __future__ import annotations

import re
import zlib
from dataclasses import dataclass, field
from html import escape

from shapely.geometry import Polygon, box

from .labels import about, along, place

FONT = 11.0
WIDE = 0.56  # of the font's height, mean width of a letter

LIGHT = {
    "ink": "#26312a", "paper": "#faf8f0", "lawn": "#e6eedb", "stone": "#d9cfc1", "water": "#d6e4e6", "leaf": "#c3d8ac", "wire": "#b03a1e",
    "back": "#6d4aa0", "danger": "#c1121f",
}  # fmt: skip
DARK = {
    "ink": "#e9e6d8", "paper": "#1d231f", "lawn": "#2b3829", "stone": "#4a443c", "water": "#2c3f45", "leaf": "#41573a", "wire": "#ff9d7a",
    "back": "#c9aef5", "danger": "#ff6b6b",
}  # fmt: skip


def _variables(colours) -> str:
    return "".join(f"--{name}:{value};" for name, value in colours.items())


def plain(css: str) -> str:
    """The style with the light colours in place of variables and of `currentColor`."""
    return re.sub(r"var\(--(\w+)\)", lambda m: LIGHT[m[1]], css).replace("currentColor", LIGHT["ink"])


LOOKS = """
.gp{background:var(--paper);font-size:11px;line-height:1.2;font-family:Georgia,'Times New Roman',serif}
.gp text{fill:currentColor}
.gp .quiet{opacity:.8;font-style:italic}
.gp .ink{fill:none;stroke:currentColor;stroke-width:1}
.gp .thin{fill:none;stroke:currentColor;stroke-width:.6;stroke-opacity:.7}
.gp .lot{fill:none;stroke:currentColor;stroke-width:2}
.gp .setback{fill:none;stroke:currentColor;stroke-width:.7;stroke-dasharray:6 3}
.gp .radiator{fill:none;stroke:var(--wire);stroke-width:2.6;stroke-linecap:round;stroke-linejoin:round}
.gp .counterpoise{fill:none;stroke:var(--back);stroke-width:2.2;stroke-dasharray:7 4}
.gp .line{fill:none;stroke:currentColor;stroke-width:1.2;stroke-dasharray:1 3}
.gp .cord{fill:none;stroke:currentColor;stroke-width:1;stroke-dasharray:2 2}
.gp .power{fill:none;stroke:var(--danger);stroke-width:2;stroke-dasharray:12 3 2 3}
.gp .zone{fill:none;stroke:var(--danger);stroke-width:1.4;stroke-dasharray:8 3}
.gp .shown{fill:none;stroke:currentColor;stroke-width:2.2}
.gp .bold{font-weight:bold}
.gp .solid{fill:currentColor;stroke:none}
.gp .mark{fill:var(--paper);stroke:currentColor;stroke-width:1.4}
""" + "".join(f".gp .on-{name}{{fill:var(--{name})}}\n" for name in ("paper", "lawn", "stone", "water", "leaf", "danger"))  # fmt: skip
HALO = ".gp text{paint-order:stroke;stroke:var(--paper);stroke-width:3px;stroke-linejoin:round}"  # only where the stroke can come first
STYLE = (
    f".gp{{color:{LIGHT['ink']};{_variables(LIGHT)}}}{plain(LOOKS)}"
    f"@supports (color:var(--ink)){{{LOOKS}{HALO}}}"
    f"@media (prefers-color-scheme:dark){{.gp{{color:{DARK['ink']};{_variables(DARK)}}}}}"
    f"@media print{{.gp{{color:{LIGHT['ink']};{_variables(LIGHT)}}}}}"
)

PATTERNS = """
<pattern id="grass" width="18" height="18" patternUnits="userSpaceOnUse"><rect width="18" height="18" class="on-lawn"/>
<path d="M3 8l1-4 1 4M12 16l1-4 1 4" class="thin" stroke-opacity=".5"/></pattern>
<pattern id="roof" width="8" height="8" patternUnits="userSpaceOnUse"><rect width="8" height="8" class="on-stone"/>
<path d="M0 8L8 0" class="thin"/></pattern>
<pattern id="barred" width="10" height="10" patternUnits="userSpaceOnUse"><rect width="10" height="10" class="on-water"/>
<path d="M0 3q2.5-3 5 0t5 0M0 8q2.5-3 5 0t5 0" class="thin"/></pattern>
<pattern id="leaves" width="9" height="9" patternUnits="userSpaceOnUse"><rect width="9" height="9" class="on-leaf" fill-opacity=".75"/>
<circle cx="3" cy="3" r="1" class="solid" opacity=".4"/><circle cx="7.5" cy="7" r="1" class="solid" opacity=".4"/></pattern>
<pattern id="seats" width="8" height="8" patternUnits="userSpaceOnUse"><path d="M4 0v8M0 4h8" class="thin" stroke-dasharray="1 2"/></pattern>
<pattern id="bars" width="5" height="5" patternUnits="userSpaceOnUse"><path d="M2.5 0V5" class="ink" stroke-opacity=".6"/></pattern>
<pattern id="soil" width="10" height="10" patternUnits="userSpaceOnUse"><path d="M0 10L10 0" class="thin"/></pattern>
<pattern id="zone" width="7" height="7" patternUnits="userSpaceOnUse"><path d="M0 0L7 7M7 0L0 7" class="zone" style="stroke-width:.7;stroke-dasharray:none"/></pattern>
"""


@dataclass
class Sheet:
    """Collects shapes; coordinates come in metres. `room`: units kept free on the right for another drawing (`beside`), all else keeping to the frame;
    `left`, `top`: where the frame's north-west corner comes to, else inside the margin."""

    low: tuple[float, float]
    high: tuple[float, float]
    scale: float
    margin: float = 46.0
    room: float = 0.0
    left: float | None = None
    top: float | None = None
    title: str = ""
    items: list[str] = field(default_factory=list)
    labels: list[tuple] = field(default_factory=list)
    taken: list[tuple] = field(default_factory=list)

    @property
    def width(self) -> float:
        return (self.high[0] - self.low[0]) * self.scale + 2 * self.margin + self.room

    @property
    def height(self) -> float:
        return (self.high[1] - self.low[1]) * self.scale + 2 * self.margin

    def at(self, point) -> tuple[float, float]:
        """Metres to user units."""
        left, top = self.margin if self.left is None else self.left, self.margin if self.top is None else self.top
        return left + (point[0] - self.low[0]) * self.scale, top + (self.high[1] - point[1]) * self.scale

    @property
    def shown(self) -> Polygon:
        """What there is to see [m]: the whole paper, or the frame where something else stands beside it."""
        return box(*self.low, *self.high).buffer(0.0 if self.room or self.left is not None else self.margin / self.scale, join_style="mitre")

    def beside(self, frame, scale: float, left: float, top: float) -> Sheet:
        """Another view on the same paper; what it is given is drawn here."""
        return Sheet(*frame, scale, left=left, top=top, items=self.items, labels=self.labels, taken=self.taken)

    def path(self, points, css: str, *, closed: bool = False, title: str = "", keep_clear: bool = False, **more) -> None:
        """A line; `keep_clear`: labels keep off it."""
        d = "M" + "L".join("{:.1f} {:.1f}".format(*self.at(p)) for p in points) + ("Z" if closed else "")
        self.raw(f'<path d="{d}" class="{css}"{_attributes(more)}>{_title(title)}</path>')
        if keep_clear:
            self.taken += along([self.at(p) for p in points])

    def area(self, polygon, css: str, *, title: str = "", fill: str = "none") -> None:
        """A shapely polygon with its holes."""
        rings = [polygon.exterior, *polygon.interiors]
        d = "".join("M" + "L".join("{:.1f} {:.1f}".format(*self.at(p)) for p in r.coords) + "Z" for r in rings)
        self.raw(f'<path d="{d}" class="{css}" fill-rule="evenodd" style="fill:{fill}">{_title(title)}</path>')

    def mark(self, point, shape: str, css: str = "mark", *, title: str = "") -> None:
        """A symbol about a point; `shape`: path data in user units about the origin."""
        x, y = self.at(point)
        self.taken.append(about((x, y), 7.0))
        self.raw(f'<path d="{shape}" class="{css}" transform="translate({x:.1f} {y:.1f})">{_title(title)}</path>')

    def circle(self, point, radius_m: float, css: str, *, fill: str = "none", title: str = "") -> None:
        x, y = self.at(point)
        self.raw(f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius_m * self.scale:.1f}" class="{css}" style="fill:{fill}">{_title(title)}</circle>')

    def raw(self, text: str) -> None:
        self.items.append(text)

    def heading(self, title: str, words: str = "") -> None:
        """The title in the drawing's top left corner and a quiet line under it; labels keep off both."""
        for y, text, size, more in ((20, title, 14.0, 'style="font-size:14px"'), (34, words, FONT, 'class="quiet"')):
            if text:
                self.raw(f'<text x="{self.margin:.0f}" y="{y}" {more}>{escape(text)}</text>')
                self.taken.append((self.margin, y - size, WIDE * size * len(text), 1.3 * size))

    def label(self, point, text: str, css: str = "", *, near: float = 9.0) -> None:
        """Text near a point; placed at the end, where it covers no other label."""
        self.labels.append((*self.at(point), text, css, near))

    def render(self) -> str:
        """The whole drawing as one SVG element."""
        texts = "\n".join(_placed(self.labels, list(self.taken), (self.width, self.height)))
        body = "\n".join(self.items)
        mark = f"{zlib.crc32((self.title + body).encode()):08x}"
        body, patterns = body.replace("url(#", f"url(#p{mark}-"), PATTERNS.replace('id="', f'id="p{mark}-')
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="gp" viewBox="0 0 {self.width:.0f} {self.height:.0f}" '
            f'width="{self.width:.0f}" height="{self.height:.0f}" role="img" aria-label="{escape(self.title)}">\n'
            f"<title>{escape(self.title)}</title><style>{STYLE}</style><defs>{patterns}</defs>\n"
            f'<rect width="100%" height="100%" class="on-paper"/>\n{body}\n{texts}\n</svg>\n'
        )


def _title(text: str) -> str:
    return f"<title>{escape(text)}</title>" if text else ""


def _attributes(more) -> str:
    return "".join(f' {k.replace("_", "-")}="{escape(str(v))}"' for k, v in more.items())


def _placed(labels, taken, frame):
    """Each label where it covers nothing else, with a pointer where that is far off."""
    for x, y, text, css, near in labels:
        w, h = WIDE * FONT * len(text), 1.25 * FONT
        (left, top), pointer = place((x, y), (w, h), near, taken, frame)
        if pointer:
            yield f'<path d="M{x:.1f} {y:.1f}L{pointer[0]:.1f} {pointer[1]:.1f}" class="thin"/>'
        yield f'<text x="{left:.1f}" y="{top + 0.8 * h:.1f}" class="{css}">{escape(text)}</text>'
