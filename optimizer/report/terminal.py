"""The ranked table for a terminal 100 columns wide: the figures an operator asks for first, then the reasons."""

from __future__ import annotations

from rich import box
from rich.console import Console
from rich.table import Table

from .folder import Ranked
from .notes import HONEST_NOTE, made_with
from .survey import largest_words
from .words import blocks

WIDE_BANDS = 3
PLAN_ALONE = "~"  # before the score of a row that was not judged over gardens


def print_ranked(ranked: Ranked, console: Console) -> None:
    """Table, reasons row by row, families left out, and the note."""
    table, rows = _table(ranked), ranked.content["rows"]
    console.print(table)
    for row in rows:
        console.print(f"[bold]{row['rank']}[/bold] {row['needs']}. {row['why'][0].upper()}{row['why'][1:]}.", highlight=False)
        if _in_gardens(row):
            console.print(f"  {_spread(row, [w.key for w in ranked.wishes.bands])}", highlight=False)
    for family, reason in ranked.result.rejected.items():
        console.print(f"[dim]not offered: {family.replace('_', ' ')}: {reason}[/dim]", highlight=False)
    console.print("[dim]*: nothing in the table does as well for less money[/dim]", highlight=False)
    if not all(judged := [_in_gardens(row) for row in rows]):
        less = "less what the others lost there" if any(judged) else "alone"
        console.print(f"[dim]{PLAN_ALONE}: not tried in gardens, time did not reach it: score of the plan {less}[/dim]", highlight=False)
    for line in blocks(ranked.wishes, ranked.site):
        console.print(line, highlight=False, markup=False)
    for warning in (*ranked.site.warnings, *filter(None, [ranked.result.note])):
        console.print(f"[yellow]warning:[/yellow] {warning}", highlight=False)
    if worst := largest_words(ranked.site.tape_report):
        console.print(f"survey: {worst}; every tape's in {ranked.folder}/ranked.json, survey", highlight=False, markup=False)
    result = ranked.result
    console.print(
        f"[dim]{result.tried} designs judged ({result.reused} from stored work), {result.ruled_out} ruled out unsolved, "
        f"{result.elapsed_s:.0f} s. Results in {ranked.folder}/[/dim]",
        highlight=False,
    )
    console.print(f"[italic]{made_with(result.versions)}. {HONEST_NOTE.capitalize()}.[/italic]", highlight=False)


def print_moves(ranked: Ranked, console: Console) -> None:
    """What a rerun changed."""
    console.print("[bold]What changed[/bold]" if ranked.moves or ranked.wishes_changed else "Nothing moved.")
    for text in ranked.wishes_changed:
        console.print(f"  wish {text}", highlight=False, markup=False)
    for move in ranked.moves:
        console.print(f"  {move.text}", highlight=False)


def _table(ranked: Ranked) -> Table:
    bands = [w.key for w in ranked.wishes.bands]
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, title=ranked.site.name, title_justify="left")
    table.add_column("", justify="right")
    table.add_column("design", ratio=1, overflow="fold")
    for name in ("score", f"cost {ranked.site.currency}", "mast m"):
        table.add_column(name, justify="right")
    for key in bands:
        table.add_column(f"{key}: covered SWR\nefficiency near/far dBi" if len(bands) <= WIDE_BANDS else f"{key}\n% η", justify="right")
    for row in ranked.content["rows"]:
        cells = [_band(row, key, len(bands) <= WIDE_BANDS) for key in bands]
        mast = f"{row['mast_m']:.1f}" if row["mast_m"] else "-"
        table.add_row(str(row["rank"]), row["design"], _score(row), f"{row['cost']:.0f}{'*' if row['on_front'] else ''}", mast, *cells)
    return table


def _in_gardens(row: dict) -> bool:
    """Was it judged over gardens? Else their count is not a number."""
    return row["gardens"] == row["gardens"]


def _score(row: dict) -> str:
    return f"{'' if _in_gardens(row) else PLAN_ALONE}{row['score']:.1f}"


def _spread(row: dict, bands: list[str]) -> str:
    """The stated bands of a row, in a line."""

    def ends(key, column):
        low, high = (100 * row[f"{key}_{column}{end}"] for end in ("_low", "_high"))
        return f"{low:.0f} %" if f"{low:.0f}" == f"{high:.0f}" else f"{low:.0f}-{high:.0f} %"

    told = ", ".join(f"{key} {ends(key, 'covered_share')} covered, {ends(key, 'efficiency')} to the sky" for key in bands)
    moves, on = row["trim_moves"], 100 * row["on_target_share"]
    return f"In {row['gardens']:.0f} gardens: {told}; {moves:.0f} cuts and folds, on target {on:.0f} %."


def _band(row: dict, key: str, wide: bool) -> str:
    covered, efficiency = 100 * row[f"{key}_covered_share"], 100 * row[f"{key}_efficiency"]
    if not wide:
        return f"{covered:.0f}\n{efficiency:.0f}"
    best, worst = min(row[f"{key}_swr_best"], 99), min(row[f"{key}_swr_worst"], 99)
    near, far = row[f"{key}_gain_near_dbi"], row[f"{key}_gain_far_dbi"]
    return f"{covered:.0f} % {best:.1f}-{worst:.1f}\n{efficiency:.0f} % {near:+.1f}/{far:+.1f}"
