"""Command line: arguments in, one library call, a table or JSON out, an exit status back.

Status 0 done (also when stopped by Ctrl-C with rows written), 2 bad input, 3 nothing fits, 1 our fault, 130 stopped before there was a row. Faults go to
standard error, one a line. Heavy imports wait until a command runs, so that `--help` is quick.
"""

from __future__ import annotations

import json
import os
import signal
import sys
from pathlib import Path
from typing import Annotated

import typer

from .errors import InputError, LotwireError, NothingFits

SOLVING = "solving this design in many gardens, sound and with faults; once, about half a minute"

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    help="Which wire, hung where, from which parts, for a small plot and a purse.",
    epilog="Overhead power lines kill. Everything printed is a computed estimate: trim and verify by measurement.",
)


def _some_time(seconds: float | None) -> float | None:
    if seconds is not None and not seconds > 0.0:
        raise typer.BadParameter(f"{seconds:g} is no time to search, need more than 0 s")
    return seconds


Bands = Annotated[str | None, typer.Option("--bands", help='"40m:digital*2 20m 10m:voice@far", or a TOML file.')]
MastM = Annotated[float | None, typer.Option("--mast-m", help="Tallest mast you would put up [m].")]
Budget = Annotated[float | None, typer.Option("--budget", help="Most to spend, in the site's currency.")]
PowerW = Annotated[float | None, typer.Option("--power-w", help="Transmitter power [W] (100).")]
ModeDuty = Annotated[float | None, typer.Option("--mode-duty", help="Average over peak power while sending, 0..1.")]
Share = Annotated[float | None, typer.Option("--transmit-share", help="Share of the time spent sending, 0..1.")]
SwrLimit = Annotated[float | None, typer.Option("--swr-limit", help="SWR the radio accepts (2).")]
Tuner = Annotated[str | None, typer.Option("--tuner", help="none, radio (built in) or external.")]
Station = Annotated[str | None, typer.Option("--station", help="mains or battery.")]
Parts = Annotated[str | None, typer.Option("--parts", help="Coils, traps, transformer, choke: own (wound), bought or either.")]
Prices = Annotated[Path | None, typer.Option("--prices", help="Your own price list: CSV with part, unit_price, currency.")]
Rates = Annotated[Path | None, typer.Option("--rates", help="Your exchange rates: CSV with currency, per_eur.")]
WeightsText = Annotated[str | None, typer.Option("--weights", help='What counts, e.g. "efficiency=0.5 gain=0.25 thrift=0".')]
Seconds = Annotated[float | None, typer.Option("--seconds", help="Time to search [s] (60).", callback=_some_time)]
Trials = Annotated[int | None, typer.Option("--trials", help="Designs to solve instead of a time.", min=1)]
Seed = Annotated[int, typer.Option("--seed", help="Same seed, --trials and one worker: same table.", min=0)]
Workers = Annotated[int | None, typer.Option("--workers", help="Processes (all cores).", min=1)]
Cluster = Annotated[str | None, typer.Option("--cluster", help="Address of a running cluster that works instead of processes here.")]
LedgerUrl = Annotated[str | None, typer.Option("--ledger", help="Database URL for finished work, instead of a file in OUT/NAME.")]
AsJson = Annotated[bool, typer.Option("--json", help="Print ranked.json instead of the table.")]
AsCsv = Annotated[bool, typer.Option("--csv", help="Print ranked.csv instead of the table.")]


@app.command()
def rank(
    site: Annotated[list[Path], typer.Argument(help="Site files: .geojson, or .toml for a tape survey.", metavar="SITE...")],
    bands: Bands = None,
    mast_m: MastM = None,
    budget: Budget = None,
    power_w: PowerW = None,
    mode_duty: ModeDuty = None,
    transmit_share: Share = None,
    swr_limit: SwrLimit = None,
    tuner: Tuner = None,
    station: Station = None,
    parts: Parts = None,
    prices: Prices = None,
    rates: Rates = None,
    weights: WeightsText = None,
    seconds: Seconds = None,
    trials: Trials = None,
    seed: Seed = 1,
    workers: Workers = None,
    cluster: Cluster = None,
    ledger: LedgerUrl = None,
    out: Annotated[Path, typer.Option("--out", help="Folder of results.")] = Path("results"),
    fresh: Annotated[bool, typer.Option("--fresh", help="Forget what the results folder holds.")] = False,
    as_json: AsJson = False,
    as_csv: AsCsv = False,
) -> None:
    """Search all kinds of wire for the site and print the ranked table; OUT/NAME/ gets the files."""
    given = _wish_options(mast_m, budget, power_w, mode_duty, transmit_share, swr_limit, tuner, station, parts, prices, rates)
    settings = _settings(seconds, trials, seed, workers, cluster, ledger)
    ask = (bands, given, settings, weights, out, fresh, as_json, as_csv)
    statuses: list[int] = []
    raise typer.Exit(_worst([_guarded(_rank_all, site, ask, settings, statuses), *statuses]))


@app.command()
def rerun(
    folder: Annotated[Path, typer.Argument(help="OUT/NAME of an earlier run.", metavar="DIR")],
    bands: Bands = None,
    mast_m: MastM = None,
    budget: Budget = None,
    power_w: PowerW = None,
    mode_duty: ModeDuty = None,
    transmit_share: Share = None,
    swr_limit: SwrLimit = None,
    tuner: Tuner = None,
    station: Station = None,
    parts: Parts = None,
    prices: Prices = None,
    rates: Rates = None,
    site: Annotated[Path | None, typer.Option("--site", help="A changed site file.")] = None,
    weights: WeightsText = None,
    seconds: Seconds = None,
    trials: Trials = None,
    seed: Seed = 1,
    workers: Workers = None,
    cluster: Cluster = None,
    ledger: LedgerUrl = None,
    as_json: AsJson = False,
    as_csv: AsCsv = False,
) -> None:
    """The same site with something changed; reuses the earlier work and says what moved and why."""
    given = _wish_options(mast_m, budget, power_w, mode_duty, transmit_share, swr_limit, tuner, station, parts, prices, rates)
    settings = _settings(seconds, trials, seed, workers, cluster, ledger)
    raise typer.Exit(_guarded(_rerun_one, folder, bands, given, settings, weights, site, as_json, as_csv))


@app.command()
def sheet(
    folder: Annotated[Path, typer.Argument(help="OUT/NAME of an earlier run.", metavar="DIR")],
    design: Annotated[int, typer.Argument(help="Rank of the design in the table.", metavar="RANK")],
    units: Annotated[str, typer.Option("--units", help="metric or imperial lengths.")] = "metric",
    html: Annotated[Path | None, typer.Option("--html", help="HTML file (DIR/sheets/RANK.html).")] = None,
    pdf: Annotated[Path | None, typer.Option("--pdf", help="PDF file (beside the HTML file).")] = None,
) -> None:
    """The build sheet of one design: plan, cut list, work, trimming, expectations; HTML, and PDF where that is installed."""
    raise typer.Exit(_guarded(_sheet_one, folder, design, units, html, pdf))


@app.command()
def trim(
    folder: Annotated[Path, typer.Argument(help="OUT/NAME of an earlier run.", metavar="DIR")],
    design: Annotated[int, typer.Argument(help="Rank of the design in the table.", metavar="RANK")],
    band: Annotated[str | None, typer.Option("--band", help="Band of the trimming step, as in the sheet's table.")] = None,
    reading_mhz: Annotated[float | None, typer.Option("--reading-mhz", help="Frequency of lowest SWR read [MHz].")] = None,
    swr: Annotated[float | None, typer.Option("--swr", help="SWR read there: tells faults apart.")] = None,
    at: Annotated[str | None, typer.Option("--at", help='Or SWR at a few frequencies: "7.005:2.8 7.1:1.9 7.195:1.4".')] = None,
    touchstone: Annotated[Path | None, typer.Option("--touchstone", help="Or a one-port sweep in Touchstone form.")] = None,
    cut_cm: Annotated[float, typer.Option("--cut-cm", help="Cut or folded since that piece's last reading [cm]; let out: below 0.")] = 0.0,
    length_m: Annotated[float | None, typer.Option("--length-m", help="The piece as measured now, between its marks [m].")] = None,
    radio: Annotated[bool, typer.Option("--radio", help="Only the radio's own SWR, inside the band: folds instead of cuts.")] = False,
    mended: Annotated[bool, typer.Option("--mended", help="Something wrong was put right before this reading.")] = False,
    checked: Annotated[bool, typer.Option("--checked", help="All was looked at and is sound: advise on.")] = False,
    strike: Annotated[bool, typer.Option("--strike", help="Take back the last reading.")] = False,
    chance: Annotated[float, typer.Option("--chance", help="Of cutting too much, at most.")] = 0.02,
    units: Annotated[str, typer.Option("--units", help="metric or imperial lengths.")] = "metric",
    as_json: Annotated[bool, typer.Option("--json", help="Print the advice as JSON.")] = False,
) -> None:
    """The next cut from what was read at the wire, stop, or what is wrong; without a reading, from the log kept in DIR/readings/."""
    asked = {"band": band, "dip_hz": reading_mhz and 1e6 * reading_mhz, "swr": swr, "sweep": touchstone, "shortened_m": cut_cm / 100}
    asked |= {"length_m": length_m, "mended": mended, "strike": strike}
    how = {"chance": chance, "user": "radio" if radio else "analyser", "checked": checked}
    raise typer.Exit(_guarded(_trim_one, folder, design, asked, at, how, units, as_json))


@app.command()
def verify(
    folder: Annotated[Path, typer.Argument(help="OUT/NAME of an earlier run.", metavar="DIR")],
    design: Annotated[int, typer.Argument(help="Rank of the design in the table.", metavar="RANK")],
    at: Annotated[str | None, typer.Option("--at", help='SWR read at the radio: "7.005:2.8 7.1:1.9 7.195:1.4".')] = None,
    file: Annotated[list[Path] | None, typer.Option("--file", help="Sweep: .s1p (Touchstone), or lines of MHz and SWR. May be repeated.")] = None,
    html: Annotated[Path | None, typer.Option("--html", help="Page to write (DIR/verify/RANK.html).")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print what was found as JSON.")] = False,
) -> None:
    """The built wire checked: measured SWR over the expected band, and what the difference suggests."""
    raise typer.Exit(_guarded(_verify_one, folder, design, at, file, html, as_json))


@app.command()
def solve(
    case: Annotated[Path, typer.Argument(help="A wire case.", metavar="CASE.json")],
    check: Annotated[bool, typer.Option("--check", help="Also solve on a finer mesh and report the change.")] = False,
) -> None:
    """The field computation alone: impedances, gains and fields of a wire case, as JSON."""
    raise typer.Exit(_guarded(_solve_one, case, check))


@app.command()
def plan(
    mast_m: Annotated[float, typer.Option("--mast-m", help="Height at which the support takes the wire [m].")],
    wire_m: Annotated[float | None, typer.Option("--wire-m", help="Length of wire [m]; without it: the longest that fits --room-m.")] = None,
    first_share: Annotated[float, typer.Option("--first-share", help="Part of the wire on one side of the support, 0..1.")] = 0.5,
    ends_m: Annotated[float, typer.Option("--ends-m", help="Height of both ends [m].")] = 2.5,
    far_end_m: Annotated[float | None, typer.Option("--far-end-m", help="Height of the second end, if another [m].")] = None,
    turn_deg: Annotated[float, typer.Option("--turn-deg", help="How far the legs are off one straight line in plan.")] = 0.0,
    room_m: Annotated[float | None, typer.Option("--room-m", help="Span there is room for [m].")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print numbers as JSON.")] = False,
) -> None:
    """What a wire over one support takes up: span, apex angle, ends, room left. No search, no lot."""
    given = {"wire_m": wire_m, "mast_m": mast_m, "first_share": first_share, "ends_m": (ends_m, ends_m if far_end_m is None else far_end_m)}
    raise typer.Exit(_guarded(_plan_one, given, turn_deg, room_m, as_json))


@app.command()
def wind(
    mhz: Annotated[float, typer.Option("--mhz", help="The band it works on, of a trap its resonance [MHz].")],
    microhenry: Annotated[float | None, typer.Option("--microhenry", help="A coil: inductance wanted on the band.")] = None,
    pf: Annotated[float | None, typer.Option("--pf", help="Or a trap of coil and capacitor: capacitance in all [pF].")] = None,
    coax: Annotated[str | None, typer.Option("--coax", help="Or a trap wound of this coaxial cable: rg58 ...")] = None,
    transformer: Annotated[int | None, typer.Option("--transformer", help="Or a ring transformer of this impedance ratio: 49 ...")] = None,
    former_mm: Annotated[float, typer.Option("--former-mm", help="Former across, outside [mm].")] = 40.0,
    by_mm: Annotated[float | None, typer.Option("--by-mm", help="Its other side where it is not round [mm].")] = None,
    wire_mm: Annotated[float, typer.Option("--wire-mm", help="Wire across [mm].")] = 1.0,
    pitch_mm: Annotated[float | None, typer.Option("--pitch-mm", help="From turn to turn [mm] (1.5 wire diameters).")] = None,
    meter_khz: Annotated[float, typer.Option("--meter-khz", help="Test frequency of your meter [kHz].")] = 100.0,
    reading_uh: Annotated[float | None, typer.Option("--reading-uh", help="What the meter shows on the finished coil: takes the place of the computed value.")] = None,
    amps: Annotated[float | None, typer.Option("--amps", help="Current through it [A rms], for volts, watts and warming.")] = None,
    power_w: Annotated[float, typer.Option("--power-w", help="Power a transformer is for [W].")] = 100.0,
) -> None:
    """Winding sheet of a coil, trap or transformer on whatever is at hand, or what a finished coil is worth on the band."""
    raise typer.Exit(_guarded(_wind_one, locals()))


@app.command()
def serve(
    home: Annotated[Path | None, typer.Option("--home", help="Folder for sites and results (your data folder).")] = None,
    host: Annotated[str, typer.Option("--host", help="Address to listen on; beyond this machine only with tokens.")] = "127.0.0.1",
    port: Annotated[int, typer.Option("--port", help="Port; 0 takes a free one.", min=0, max=65535)] = 8642,
    store: Annotated[str | None, typer.Option("--store", help="Database URL (a file in the folder); or LOTWIRE_STORE.", envvar="LOTWIRE_STORE")] = None,
    tokens: Annotated[Path | None, typer.Option("--tokens", help="File with a NAME and a HASH a line; or LOTWIRE_TOKENS.")] = None,
    at_once: Annotated[int, typer.Option("--at-once", help="Runs that work at a time.", min=1, max=64)] = 2,
    workers: Workers = None,
    cluster: Annotated[str | None, typer.Option("--cluster", help="Scheduler of a running cluster that works instead.")] = None,
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Do not open the page in the browser.")] = False,
) -> None:
    """The service and its page, on this machine."""
    raise typer.Exit(_guarded(_serve, home, host, port, store, tokens, at_once, workers, cluster, not no_browser))


@app.command()
def token(name: Annotated[str, typer.Argument(help="The user's name.")]) -> None:
    """A new token for a user of the service: the token for the user, and the line for the tokens file."""
    from .service.users import hash_of, new_token

    made = new_token()
    print(f"token, for {name} alone: {made}\nline for the tokens file: {name} {hash_of(made)}")


def main() -> None:
    """Entry point of the command."""
    app()


# ---- the work behind the commands ---------------------------------------------------------------------------


def _rank_all(paths: list[Path], ask: tuple, settings, statuses: list[int]) -> None:
    """Site after site with the same hands; one that is wrong does not stop the others, Ctrl-C does."""
    from threading import Event

    _raise_same_names(paths)
    from .search.hands import hands_for

    stop, hands = Event(), hands_for(settings.workers, settings.cluster)
    try:
        for path in paths:
            if not stop.is_set():
                statuses.append(_guarded(_rank_one, path, *ask, stop, hands))
    finally:
        if hands is not None:
            hands.leave()


def _raise_same_names(paths: list[Path]) -> None:
    """Results go to OUT/NAME: two sites of one name would write over each other."""
    from .errors import FaultList

    faults = FaultList("option")
    for stem in dict.fromkeys(path.stem for path in paths):
        same = [str(path) for path in paths if path.stem == stem]
        if len(same) > 1:
            faults.add("SITE", ", ".join(same), "site files of different names", f"all would be written to OUT/{stem}: rename one, or run them apart with --out")
    faults.raise_if_any()


def _rank_one(path: Path, bands, given, settings, weights, out: Path, fresh: bool, as_json: bool, as_csv: bool, stop, hands) -> None:
    from dataclasses import replace

    from .criteria.weights import read_weights
    from .errors import Fault
    from .parts.catalogue import catalogue
    from .physics.wish_reader import read_wishes
    from .report.folder import is_begun, rank_into
    from .site.read import read_site

    bad = _Gathered()
    if bands is None:
        bad.faults.append(Fault("option", "--bands", None, "wished bands, as in --bands \"40m 20m 10m\", or a TOML file"))
    site, given = bad.gather(read_site, path), _with_lists(given, bad)
    weighing = bad.gather(read_weights, weights) if weights else None
    wishes = bad.gather(read_wishes, bands, site, catalogue(), **given) if bands is not None and site is not None else None
    bad.raise_if_any()
    settings = replace(settings, weights=weighing) if weighing else settings
    folder = out / path.stem
    if is_begun(folder, site, wishes, settings) and not fresh:
        print(f"{folder}: going on from earlier work (--fresh forgets it)", file=sys.stderr)
    _compile()
    with _Bar(site.name, stop) as bar:
        ranked = rank_into(folder, path, site, wishes, settings, fresh=fresh, progress=bar.show, stop=stop, hands=hands)
    _print(ranked, as_json, as_csv)


def _compile() -> None:
    from .compiling import compile_all

    compile_all(lambda text: print(text, file=sys.stderr))


def _rerun_one(folder: Path, bands, given, settings, weights, site_path, as_json: bool, as_csv: bool) -> None:
    from dataclasses import replace
    from threading import Event

    from .criteria.weights import read_weights
    from .parts.catalogue import catalogue
    from .physics.wish_reader import read_wishes
    from .report.folder import rerun

    bad = _Gathered()
    given = _with_lists(given, bad)
    weighing, stop = bad.gather(read_weights, weights) if weights else None, Event()

    def change(site, earlier):
        kept = bad.gather(read_wishes, bands or _any_band(earlier), site, catalogue(), **given)
        bad.raise_if_any()
        changes = {name: getattr(kept, name) for name in given}
        return replace(earlier, **changes, **({"bands": kept.bands} if bands else {}))

    with _Bar(folder.name, stop) as bar, bad:
        ranked = rerun(folder, change, settings, weights=weighing, site_path=site_path, progress=bar.show, stop=stop)
    _print(ranked, as_json, as_csv, moved=True)


def _any_band(wishes) -> str:
    return wishes.bands[0].band


def _sheet_one(folder: Path, rank: int, units: str, html, pdf) -> None:
    from .sheet.units import Units
    from .sheet.write import write_sheet

    written = write_sheet(folder, rank, Units(units), html=html, pdf=pdf)
    print(written.html)
    print(written.pdf if written.pdf else written.why, file=sys.stdout if written.pdf else sys.stderr)


def _trim_one(folder: Path, rank: int, asked: dict, at: str | None, how: dict, units: str, as_json: bool) -> None:
    from .sheet.units import Units
    from .trimming.command import Asked, told
    from .trimming.log import points_from

    _one_thread()
    asked = Asked(**asked, points=points_from(at) if at else ())
    found = told(folder, rank, asked, **how, units=Units(units), solving=lambda: print(SOLVING, file=sys.stderr))
    print(json.dumps(found.content(), indent=1) if as_json else found.words)


def _verify_one(folder: Path, rank: int, at, files, html, as_json: bool) -> None:
    from .sheet.measured import measured
    from .sheet.verify import verify as check

    found, page = check(folder, rank, measured(at, tuple(files or ())), html)
    print(json.dumps(found.content() | {"page": str(page)}, indent=1) if as_json else f"{found.words}\n{page}")


def _solve_one(path: Path, check: bool) -> None:
    from .field.answer import answer
    from .wires.case_json import read_case

    case = read_case(path)
    _compile()
    print(json.dumps(answer(case, check=check), indent=1))


def _plan_one(given: dict, turn_deg: float, room_m: float | None, as_json: bool) -> None:
    from .errors import NothingFits
    from .families.family import NoPlace
    from .families.planner import planned, words

    try:
        room = planned(**given, turn_deg=turn_deg, room_m=room_m)
    except NoPlace as missed:
        raise NothingFits({"plan": str(missed)}, []) from missed
    print(json.dumps(room.numbers(), indent=1) if as_json else "\n".join(words(room)))


def _wind_one(given: dict) -> None:
    from .network.wind import AtHand, sheet_for

    print("\n".join(sheet_for(AtHand(**given))))


def _serve(home, host: str, port: int, store, tokens, at_once: int, workers, cluster, browser: bool) -> None:
    from .service.serve import serve, settings_for

    settings = settings_for(home=home, store=store, host=host, port=port, tokens=tokens, at_once=at_once, cores=workers or _cores(), cluster=cluster)
    serve(settings, host, port, browser=browser)


def _print(ranked, as_json: bool, as_csv: bool, moved: bool = False) -> None:
    """What was found, in the form asked for; a run stopped before it had a row is no answer."""
    from .report.write import strict

    if not ranked.result.rows:
        raise KeyboardInterrupt
    if ranked.sheets_removed:
        print(f"{', '.join(ranked.sheets_removed)}: removed, for that rank has another design now (lotwire sheet DIR RANK)", file=sys.stderr)
    for before, now in ranked.verify_kept:
        print(f"{before}: kept as {now}, for that rank has another design now", file=sys.stderr)
    if as_json:
        moves = {"moves": [m.text for m in ranked.moves], "wishes_changed": list(ranked.wishes_changed)} if moved else {}
        print(json.dumps(strict(ranked.content | moves), indent=1, allow_nan=False))
    elif as_csv:
        sys.stdout.write(ranked.table.to_csv(index=False))
    else:
        from rich.console import Console

        from .report.terminal import print_moves, print_ranked

        console = Console(width=None if sys.stdout.isatty() else 100)
        print_ranked(ranked, console)
        if moved:
            print_moves(ranked, console)


def _wish_options(mast_m, budget, power_w, mode_duty, transmit_share, swr_limit, tuner, station, parts, prices, rates) -> dict:
    """Options given, by their names in the wish list."""
    named = {
        "mast_limit_m": mast_m, "budget": budget, "power_w": power_w, "mode_duty": mode_duty,
        "transmit_share": transmit_share, "swr_limit": swr_limit, "tuner": tuner, "station": station, "parts": parts, "prices": prices, "rates": rates,
    }  # fmt: skip
    return {name: value for name, value in named.items() if value is not None}


class _Gathered:
    """Faults of several readings, told together. As a context: together with those that stop the work within, too."""

    def __init__(self):
        self.faults = []

    def gather(self, read, *arguments, **named):
        """What it reads, or None with its faults noted."""
        try:
            return read(*arguments, **named)
        except InputError as bad:
            self.faults += bad.faults
            return None

    def raise_if_any(self) -> None:
        if self.faults:
            raise InputError(self.faults)

    def __enter__(self):
        return self

    def __exit__(self, kind, error, _):
        if self.faults and isinstance(error, InputError) and error.faults != tuple(self.faults):
            raise InputError([*error.faults, *self.faults]) from error


def _with_lists(given: dict, bad: _Gathered) -> dict:
    """The user's own price list and rates read, as the wish list keeps them; empty where they cannot be."""
    from .parts.user_lists import read_price_list, read_rates

    read = {}
    if "prices" in given:
        read["prices"] = tuple((part, *price) for part, price in (bad.gather(read_price_list, given["prices"]) or {}).items())
    if "rates" in given:
        read["rates"] = tuple((bad.gather(read_rates, given["rates"]) or {}).items())
    return given | read


def _one_thread() -> None:
    for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ.setdefault(name, "1")


def _settings(seconds, trials, seed, workers, cluster, ledger):
    _one_thread()
    from .search.settings import SearchSettings

    return SearchSettings(seconds=seconds, trials=trials, seed=seed, workers=workers or _cores(), cluster=cluster, ledger=ledger)


def _cores() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


# ---- statuses and progress ----------------------------------------------------------------------------------


def _guarded(work, *arguments) -> int:
    """Run it; errors become lines on standard error and a status."""
    try:
        work(*arguments)
        return 0
    except InputError as bad:
        for fault in bad.faults:
            print(fault, file=sys.stderr)
        return bad.exit_status
    except NothingFits as nothing:
        _print_nothing(nothing)
        return nothing.exit_status
    except KeyboardInterrupt:
        print("stopped before anything was found", file=sys.stderr)
        return 130
    except LotwireError as error:
        print(f"lotwire: {error}", file=sys.stderr)
        return error.exit_status


def _print_nothing(nothing: NothingFits) -> None:
    print("nothing fits:", file=sys.stderr)
    for family, reason in nothing.reasons.items():
        print(f"  {family}: {reason}", file=sys.stderr)
    for text in nothing.relaxations:
        print(f"  would let one in: {text}", file=sys.stderr)
    if not nothing.relaxations:
        print("  no single change that was tried would let one in", file=sys.stderr)
    if nothing.note:
        print(nothing.note, file=sys.stderr)


def _worst(statuses: list[int]) -> int:
    return next((s for s in (1, 130, 2, 3) if s in statuses), 0)


class _Bar:
    """Progress on standard error: designs tried, best so far, time left. Ctrl-C sets `stop`; a second one breaks off at once."""

    def __init__(self, title: str, stop):
        self.title, self.stop, self.bar = title[:28], stop, None

    def __enter__(self):
        self.before = signal.signal(signal.SIGINT, self._interrupted)
        return self

    def __exit__(self, *_):
        signal.signal(signal.SIGINT, self.before)
        if self.bar is not None:
            self.bar.stop()

    def _interrupted(self, *_) -> None:
        if self.stop.is_set():
            raise KeyboardInterrupt
        self.stop.set()

    def show(self, p) -> None:
        if self.bar is None:
            self._begin()
        best = f"best {p.best:.1f}" if p.best is not None else "none fits yet"
        left = f", {p.left_s:.0f} s left" if p.left_s is not None else ""
        self.bar.update(self.task, completed=p.share, words=f"{p.stage}: {p.tried} designs, {best}{left}")

    def _begin(self) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, Progress, TextColumn

        self.bar = Progress(
            TextColumn("{task.description}"), BarColumn(bar_width=24), TextColumn("{task.fields[words]}"),
            console=Console(stderr=True), transient=True, refresh_per_second=4,
        )  # fmt: skip
        self.task = self.bar.add_task(self.title, total=1.0, words="starting")
        self.bar.start()


if __name__ == "__main__":
    main()
