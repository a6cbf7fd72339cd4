"""Arrays kept on disk between processes, in the user's cache folder: a convenience, never needed.

A file is named by a hash of everything that shaped its content; it is written under a temporary name and renamed, and made again when it
cannot be read. Where nothing can be written nothing is kept. The environment's `LOTWIRE_CACHE` names another folder; empty keeps nothing.
"""

from __future__ import annotations

import hashlib
import os
import zipfile
from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np

FOLDER = "LOTWIRE_CACHE"


def kept(name: str, source: str, make: Callable[[], tuple[np.ndarray, ...]]) -> tuple[np.ndarray, ...]:
    """`make()`, or what it gave before. `source`: file of the code whose every change asks for making it again."""
    where = folder()
    if where is None:
        return make()
    path = where / f"{name}-{_mark(source)}.npz"
    try:
        with np.load(path, allow_pickle=False) as found:
            return tuple(found[f"arr_{i}"] for i in range(len(found.files)))
    except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile):
        made = make()
    try:
        where.mkdir(parents=True, exist_ok=True)
        fresh = path.with_name(f".{path.name}-{os.getpid()}")
        with fresh.open("wb") as file:
            np.savez(file, *made)
        os.replace(fresh, path)
    except OSError:
        pass
    return made


def folder() -> Path | None:
    from platformdirs import user_cache_path

    named = os.environ.get(FOLDER)
    if named is not None:
        return Path(named) if named else None
    return user_cache_path("lotwire", appauthor=False)


@cache
def _mark(source: str) -> str:
    import scipy

    text = Path(source).read_bytes() + f"{np.__version__} {scipy.__version__}".encode()
    return hashlib.sha256(text).hexdigest()[:16]
