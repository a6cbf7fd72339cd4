"""A results folder as a job: rank a site into it, go on with it, rerun it with something changed.

Beside the results the folder keeps the ledger, a copy of the site file and `run.json` (wishes and settings), so
that it can be taken up again on another day or after a kill. Command line and service use these functions.
"""

from __future__ import annotations

import gc
import json
import shutil
from collections.abc import Callable
from contextlib import contextmanager
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path
from tempfile import TemporaryDirectory

from ..criteria.weights import Weights
from ..ensemble.learned import key_of, weights_in
from ..errors import Fault, InputError, NothingFits
from ..physics.wishes import BandWish, WishList
from ..search.again import rank_again
from ..search.keys import problem_key
from ..search.ledger import Ledger
from ..search.settings import Progress, RankResult, SearchSettings
from ..site.model import Site
from ..site.read import read_site
from .moved import Move, moves, wishes_changed
from .stale import kept_aside, stale_removed
from .tables import ranked_table
from .write import ranked_object, settings_object, write_json, write_results

LEDGER = "ledger.sqlite"
RUN = "run.json"
TABLE = ("ranked.json", "ranked.csv", "designs")
AS_IT_WAS = "left as it was, with the last table and the wishes of that"
RERUN_SECONDS = 20.0


@dataclass(frozen=True, kw_only=True)
class Ranked:
    """What a job leaves: the table, the object of ranked.json, and the search's own result. `sheets_removed`: of designs that are no longer their rank's;
    `verify_kept`: pages of measurements of such designs, (name before, name now)."""

    site: Site
    wishes: WishList
    folder: Path
    table: object
    content: dict
    result: RankResult
    moves: tuple[Move, ...] = ()
    wishes_changed: tuple[str, ...] = ()
    sheets_removed: tuple[str, ...] = ()
    verify_kept: tuple[tuple[str, str], ...] = ()


def rank_into(
    folder: Path,
    site_path: Path,
    site: Site,
    wishes: WishList,
    settings: SearchSettings,
    *,
    fresh: bool = False,
    progress: Callable[[Progress], None] | None = None,
    before=None,
    earlier=(),
    stop=None,
    hands=None,
) -> Ranked:
    """Rank a site and write the folder; goes on from what the folder holds unless `fresh`. Raises NothingFits.

    Where nothing is found the folder keeps its last table and the wishes of that. Tables found on the way are written too, so that the folder holds the best so far at any time. `progress`, `before`, `earlier`, `stop` and
    `hands` as in `rank_site`.
    """
    from ..search.rank import rank_site  # brings the solver and the search library, which stored work does without

    settings = replace(settings, garden_weights=() if fresh else weights_in(folder))
    with _last_table(folder, site_path.name) as put_back:
        settings = _prepared(folder, site_path, wishes, settings, fresh)
        if fresh:
            with Ledger(settings.ledger) as ledger:
                ledger.forget(problem_key(site, wishes))

        def show(result: RankResult) -> None:
            write_results(folder, site, wishes, settings, result)

        try:
            result = rank_site(site, wishes, settings, progress, before=before, earlier=earlier, show=show, stop=stop, hands=hands)
        except NothingFits as nothing:
            raise NothingFits(nothing.reasons, nothing.relaxations, f"{folder}: {AS_IT_WAS}" if put_back() else "") from nothing
        if not result.rows and put_back():
            return _ranked(folder, site, wishes, settings, result, ranked_table(site, wishes, result))
        return _written(folder, site, wishes, settings, result)


@contextmanager
def _last_table(folder: Path, site_file: str):
    """Keeps a copy of the folder's last table, its run's note and site file; gives a function that puts them back, or says that there is no table."""
    names = (RUN, site_file, *TABLE) if (folder / TABLE[0]).exists() else ()

    def put_back() -> bool:
        for name in TABLE:
            _removed(folder / name)
        for name in names:
            if (kept / name).exists():
                _removed(folder / name)
                _copied(kept / name, folder / name)
        return bool(names)

    with TemporaryDirectory(prefix="lotwire-") as kept:
        kept = Path(kept)
        for name in names:
            if (folder / name).exists():
                _copied(folder / name, kept / name)
        yield put_back


def _copied(path: Path, to: Path) -> None:
    (shutil.copytree if path.is_dir() else shutil.copyfile)(path, to)


def _removed(path: Path) -> None:
    if path.is_dir():
        shutil.rmtree(path)
    else:
        path.unlink(missing_ok=True)


def _written(folder: Path, site: Site, wishes: WishList, settings: SearchSettings, result: RankResult) -> Ranked:
    table = write_results(folder, site, wishes, settings, result)
    designs = designs_in(folder)
    return replace(_ranked(folder, site, wishes, settings, result, table), sheets_removed=stale_removed(folder, designs), verify_kept=kept_aside(folder, designs))


def _ranked(folder: Path, site: Site, wishes: WishList, settings: SearchSettings, result: RankResult, table) -> Ranked:
    content = ranked_object(site, wishes, settings, result, table)
    return Ranked(site=site, wishes=wishes, folder=folder, table=table, content=content, result=result)


def is_begun(folder: Path, site: Site, wishes: WishList, settings: SearchSettings) -> bool:
    """Does the folder, or the ledger named in the settings, hold work of an earlier run?"""
    if not settings.ledger:
        return (folder / LEDGER).exists()
    with Ledger(settings.ledger) as ledger:
        return problem_key(site, wishes) in ledger.problems()


def kept_run(folder: Path) -> tuple[Path, WishList, dict]:
    """(site file, wishes, settings) of the folder's last run. Raises InputError where there is none."""
    try:
        kept = json.loads((folder / RUN).read_text(encoding="utf-8"))
        return folder / kept["site_file"], wishes_from(kept["wishes"]), kept["settings"]
    except (OSError, ValueError, KeyError, TypeError) as error:
        hint = f"rank a site first ({type(error).__name__})"
        raise InputError([Fault(str(folder), "DIR", str(folder), "a folder written by rank", hint)]) from error


def rerun(
    folder: Path,
    change: Callable[[Site, WishList], WishList],
    settings: SearchSettings,
    *,
    weights: Weights | None = None,
    site_path: Path | None = None,
    progress: Callable[[Progress], None] | None = None,
    stop=None,
    hands=None,
) -> Ranked:
    """The folder's site again with something changed; every stored evaluation that still holds is reused.

    `change`: (site, earlier wishes) → new wishes; `weights`: None, those of the earlier run. Where limits only got tighter, or only
    weights changed, stored work answers at once. What readings taught since (`ensemble.learned`) narrows the gardens.
    """
    kept_path, earlier, settled = kept_run(folder)
    settings = replace(settings, weights=weights or Weights(**settled["weights"]), garden_weights=weights_in(folder))
    path = site_path or kept_path
    site = read_site(path)
    site = site if site_path is None else replace(site, stem=folder.name)
    wishes = change(site, earlier)
    before = designs_in(folder)
    ranked = None
    no_more_read = settled.get("readings_key", "") == key_of(settings.garden_weights)
    if site_path is None and settings.seconds is None and settings.trials is None and only_tighter(earlier, wishes) and no_more_read:
        ranked = _at_once(folder, path, site, wishes, settings)
    if ranked is None:
        if settings.seconds is None and settings.trials is None:
            settings = replace(settings, seconds=RERUN_SECONDS)
        kept_site = read_site(kept_path)
        stood = _earlier(folder, settings, before, kept_site, site)
        known = _before(before, kept_site, earlier)
        ranked = rank_into(folder, path, site, wishes, settings, progress=progress, before=known, earlier=stood, stop=stop, hands=hands)
    limits = {"budget": wishes.budget, "mast_limit_m": wishes.mast_limit_m}
    return replace(ranked, moves=tuple(moves(before, designs_in(folder), limits)), wishes_changed=tuple(wishes_changed(earlier, wishes)))


def only_tighter(before: WishList, now: WishList) -> bool:
    """True when nothing but budget and mast limit changed, and neither got looser."""
    same = replace(before, budget=None, mast_limit_m=None) == replace(now, budget=None, mast_limit_m=None)
    return same and all(
        (old is None or new is not None and new <= old)
        for old, new in ((before.budget, now.budget), (before.mast_limit_m, now.mast_limit_m))
    )


def designs_in(folder: Path) -> list[dict]:
    """The design objects of a folder, best first; an empty list where there are none."""
    found = []
    for path in sorted((folder / "designs").glob("*.json")):
        try:
            found.append(json.loads(path.read_text(encoding="utf-8")))
        except (OSError, ValueError):
            continue
    return sorted(found, key=lambda d: d["rank"])


def wishes_from(kept: dict) -> WishList:
    """A wish list from its plain data."""
    bands = tuple(BandWish(**band) for band in kept["bands"])
    pairs = {name: tuple(map(tuple, kept[name])) for name in ("on_hand", "prices", "rates") if name in kept}
    known = {f.name for f in fields(WishList)}
    return WishList(**{k: v for k, v in kept.items() if k in known} | {"bands": bands} | pairs)


def _at_once(folder, path, site, wishes, settings) -> Ranked | None:
    """The answer from stored work alone, None where it holds no design that fits."""
    settings = replace(settings, ledger=_ledger(folder, settings))
    with uncollected():
        result = rank_again(site, wishes, settings, _rejected_in(folder))
        if not result.rows:
            return None
        return _written(folder, site, wishes, _prepared(folder, path, wishes, settings, fresh=False), result)


@contextmanager
def uncollected():
    """No search for garbage meanwhile: while a thousand records are read, none of which is garbage, it takes some tenths of a second."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def _before(table: list[dict], site: Site, wishes: WishList):
    """The earlier run, for the search that goes on from it."""
    from ..search.warm import Before

    rows: dict[str, list[dict]] = {}
    for design in table:
        rows.setdefault(design["family"], []).append(_plain(design["values"]))
    return Before(site=site, wishes=wishes, rows=rows)


def _earlier(folder: Path, settings: SearchSettings, table: list[dict], before: Site, now: Site) -> list:
    """The folder's designs as they stood, the best first."""
    from ..search.earlier import kept_designs, moved_over

    wanted = [(d["family"], _plain(d["values"])) for d in table]
    return [moved_over(design, before, now) for design in kept_designs(_ledger(folder, settings), wanted)]


def _rejected_in(folder: Path) -> dict[str, str]:
    """Family key → why it was not offered in the folder's last table."""
    try:
        return dict(json.loads((folder / "ranked.json").read_text(encoding="utf-8"))["rejected"])
    except (OSError, ValueError, KeyError, TypeError):
        return {}


def _ledger(folder: Path, settings: SearchSettings) -> str | Path:
    return settings.ledger or folder / LEDGER


def _prepared(folder: Path, site_path: Path, wishes: WishList, settings: SearchSettings, fresh: bool) -> SearchSettings:
    """Make the folder, copy the site file into it and note the run; the settings with their ledger."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if fresh:
            for old in folder.glob(f"{LEDGER}*"):
                old.unlink()
        kept = folder / site_path.name
        if kept.resolve() != site_path.resolve():
            shutil.copyfile(site_path, kept)
        note = {"site_file": kept.name, "wishes": asdict(wishes), "settings": settings_object(settings)}
        write_json(folder / RUN, note)
    except OSError as error:
        raise InputError([Fault("results folder", "--out", str(folder), "a folder that can be written", str(error))]) from error
    return replace(settings, ledger=_ledger(folder, settings))


def _plain(values: dict) -> dict:
    return {k: tuple(v) if isinstance(v, list) else v for k, v in values.items()}
