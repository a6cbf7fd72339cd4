"""The document as one HTML file: own style inside, nothing fetched from anywhere, prints on A4 in black and white.

The two garden sides come first, one page each; the annex follows. On a phone the drawings scroll sideways at a size that can be
read, and broad tables stand row by row.
"""

from __future__ import annotations

import re
from functools import singledispatch
from html import escape

from ..report.stale import MARK
from .model import Beside, Caution, Document, Figure, Figures, Heading, Items, Section, Steps, Table, Text

GARDEN_PT = 9.6
UNFITTED = ".garden{font-size:9pt}.garden figure svg{max-height:86mm}"  # printed from a browser, where nothing is measured: room to spare
SHORT_ROWS = 8  # a table so short stays on one page
MANY_COLUMNS = 5  # a table with so many stands on a phone row by row, every cell with its column's word
SHORT_NAME, LONG_NAME = 5, 14  # letters of a row's first cell
LONG_NUMBER = 14  # letters of one that may go on in a second line: a figure with its spread
BROAD = 500  # units: a drawing so wide scrolls sideways on a phone, at a size that can be read

STYLE = """
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%}
body{margin:0 auto;padding:1rem;max-width:58rem;background:#fff;color:#000;font:16px/1.4 Helvetica,Arial,"Liberation Sans","DejaVu Sans",sans-serif}
h1{font-size:1.5em;line-height:1.15;margin:0 0 .2em}
h2{font-size:1.2em;margin:1.4em 0 .4em;border-bottom:2px solid #000;break-after:avoid}
h3{font-size:1em;margin:.5em 0 .1em}
p{margin:.4em 0}
.lead{font-weight:bold}
.note{border-top:1px solid #000;margin-top:.8em;padding-top:.2em;font-size:.85em;font-style:italic}
.caution{border-left:6px solid #000;padding:.1em .6em;margin:.35em 0}
.caution::before{content:"\\26A0\\FE0E  ";font-weight:bold}
.loud{border:3px solid #000;padding:.3em .6em;font-weight:bold}
table{border-collapse:collapse;width:100%;margin:.5em 0}
tr{break-inside:avoid}tr.total{break-before:avoid}
caption{text-align:left;font-weight:bold;padding:.2em 0;break-after:avoid}
h3,h2+p{break-after:avoid}
.note{break-before:avoid}
th,td{text-align:left;vertical-align:top;border-bottom:1px solid #888;padding:.22em .5em .22em 0}
th{border-bottom:2px solid #000;font-size:.9em}
.n{text-align:right;white-space:nowrap}
.n.long{white-space:normal}
tr.total td{font-weight:bold;border-top:2px solid #000}
.wide{overflow-x:auto}
figure{margin:.4em 0;break-inside:avoid}
figcaption{font-size:.85em}
svg{display:block;max-width:100%;height:auto}
.pair{display:flex;flex-wrap:wrap;gap:.5rem 1rem}
.pair figure{flex:0 1 auto}
.beside{display:flex;flex-wrap:wrap;gap:0 1rem;break-inside:avoid}
.beside figure{flex:0 1 auto}.beside ul{flex:1 1 16rem}
td.name{min-width:9em}
td.short{white-space:nowrap}
ol.steps{padding-left:1.5em;margin:.4em 0}
ol.steps>li{margin:.3em 0;break-inside:avoid}
ul{margin:.3em 0;padding-left:1.3em}
ul.boxes{list-style:"\\2610  "}
.garden figure svg{margin:0 auto}
@media screen and (max-width:44rem){body{padding:.6rem}figure{overflow-x:auto}.broad svg{max-width:none;min-width:38rem}
td{padding-right:.6em}table.many,table.many caption,table.many tbody,table.many tr,table.many td{display:block;width:auto}table.many thead{display:none}
table.many tr{border-bottom:2px solid #000;padding:.3em 0}table.many td{border:0;padding:.05em 0}table.many td.n{text-align:left;white-space:normal}table.many td:empty{display:none}
table.many td[data-of]::before{content:attr(data-of)": ";font-style:italic}}
@media print{body{padding:0;max-width:none;font-size:10.5pt;line-height:1.3}.garden{font-size:GARDENpt;line-height:1.22}.garden+section{break-before:page}
h2{margin:1em 0 .3em}ul.boxes{columns:3;column-gap:1em}ul.boxes li{break-inside:avoid}
.garden h2{margin:.2em 0 .3em}.garden .note{display:none}.garden table{margin:.25em 0}.garden td,.garden th{padding:.1em .45em .1em 0}
.garden p,.garden .caution{margin:.15em 0}.garden ol.steps>li{margin:.12em 0}.garden ol.steps{columns:2;column-gap:2.6em}
.garden .loud{padding:.15em .4em}.screen{display:none}
.pair{display:block;orphans:1;widows:1}.pair figure{display:inline-block;vertical-align:top;margin:.3em .8em .3em 0}
.beside{display:table;width:100%}.beside>*{display:table-cell;vertical-align:top}.beside figure{padding-right:.8em}.beside svg{max-width:none}.beside ul{width:100%}
.garden .pair{display:table;width:100%}.garden .pair figure{display:table-cell;margin:0;padding-right:.6em;width:57%}.garden .pair figure+figure{width:43%}table.short{break-inside:avoid}}
@page{size:A4;margin:11mm 12mm 15mm;@bottom-left{content:"NOTE";font:italic 8pt Helvetica,Arial,"DejaVu Sans",sans-serif}
@bottom-right{content:counter(page) " / " counter(pages);font:8pt Helvetica,Arial,"DejaVu Sans",sans-serif}}
"""


def render(document: Document, sizes: dict[str, float] | None = None) -> str:
    """The page, complete. `sizes`: text size on paper of garden sides, by their key [points]."""
    note = document.note.replace("\\", "").replace('"', "'")
    fitted = "".join(f"#{key}{{font-size:{size:.1f}pt}}" for key, size in (sizes or {}).items()) or UNFITTED
    style = STYLE.replace("GARDEN", f"{GARDEN_PT:g}").replace("NOTE", note) + f"@media print{{{fitted}}}"
    sections = "\n".join(_section(s, document, first=i == 0) for i, s in enumerate(document.sections))
    return (
        f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8"/>\n<meta name="viewport" content="width=device-width, initial-scale=1"/>\n'
        f'<meta name="{MARK}" content="{escape(document.mark)}"/>\n'
        f"<title>{escape(document.title)}</title>\n<style>{style}</style>\n</head>\n<body>\n{sections}\n"
        f'<p class="note">{escape(document.note)} {escape(document.made_with)}</p>\n</body>\n</html>\n'
    )


def _section(section: Section, document: Document, first: bool) -> str:
    head = f"<h1>{escape(document.title)}</h1>\n<p class=\"lead\">{escape(document.lead)}</p>\n" if first else ""
    body = "\n".join(block_html(b) for b in section.blocks)
    kind = ' class="garden"' if section.garden else ""
    return f'<section id="{section.key}"{kind}>\n{head}<h2>{escape(section.title)}</h2>\n{body}\n<p class="note screen">{escape(document.note)}</p>\n</section>'


@singledispatch
def block_html(block) -> str:
    """One block as HTML."""
    raise TypeError(f"no form for {type(block).__name__}")


@block_html.register
def _(block: Text) -> str:
    return f"<p>{escape(block.words)}</p>"


@block_html.register
def _(block: Heading) -> str:
    return f"<h3>{escape(block.words)}</h3>"


@block_html.register
def _(block: Caution) -> str:
    return f'<p class="caution{" loud" if block.loud else ""}">{escape(block.words)}</p>'


@block_html.register
def _(block: Items) -> str:
    lines = "".join(f"<li>{escape(v)}</li>" for v in block.lines)
    return f'<ul{" class=" + chr(34) + "boxes" + chr(34) if block.boxes else ""}>{lines}</ul>'


@block_html.register
def _(block: Table) -> str:
    def row(cells, tag: str) -> str:
        return "".join(f'<{tag}{_kind(i, c, block.numbers)}{_of(i, tag)}>{escape(c)}</{tag}>' for i, c in enumerate(cells))

    def _of(i: int, tag: str) -> str:
        word = block.columns[i] if tag == "td" and len(block.columns) >= MANY_COLUMNS else ""
        return f' data-of="{escape(word, quote=True)}"' if word else ""

    rows = "\n".join(f"<tr>{row(r, 'td')}</tr>" for r in block.rows)
    total = f'\n<tr class="total">{row(block.total, "td")}</tr>' if block.total else ""
    caption = f"<caption>{escape(block.caption)}</caption>" if block.caption else ""
    kinds = [*(["short"] if len(block.rows) <= SHORT_ROWS else []), *(["many"] if len(block.columns) >= MANY_COLUMNS else [])]
    return (
        f'<div class="wide"><table class="{" ".join(kinds)}">{caption}\n<thead><tr>{row(block.columns, "th")}</tr></thead>\n'
        f"<tbody>{rows}{total}</tbody></table></div>"
    )


def _kind(i: int, cell: str, numbers) -> str:
    """Numbers to the right, long ones on two lines where need be; a first cell keeps a short word whole and gives a long one room."""
    name = ("n long" if len(cell) > LONG_NUMBER else "n") if i in numbers else "" if i else "name" if len(cell) > LONG_NAME else "short" if len(cell) <= SHORT_NAME else ""
    return f' class="{name}"' if name else ""


@block_html.register
def _(block: Figure) -> str:
    caption = f"<figcaption>{escape(block.caption)}</figcaption>" if block.caption else ""
    width = re.search(r'viewBox="0 0 (\d+)', block.svg)
    broad = ' class="broad"' if width and int(width[1]) > BROAD else ""
    return f"<figure{broad}>{block.svg}{caption}</figure>"


@block_html.register
def _(block: Figures) -> str:
    return f'<div class="pair">{"".join(block_html(f) for f in block.figures)}</div>'


@block_html.register
def _(block: Steps) -> str:
    steps = []
    for step in block.steps:
        words = escape(" ".join(step.words))
        cautions = "".join(f'<p class="caution">{escape(c)}</p>' for c in step.cautions)
        steps.append(f"<li><b>{escape(step.title)}.</b> {words}{cautions}</li>")
    return f'<ol class="steps">{"".join(steps)}</ol>'


@block_html.register
def _(block: Beside) -> str:
    return f'<div class="beside">{block_html(block.figure)}{block_html(block.items)}</div>'
