"""The bank of a design kept beside its log (`readings/DESIGN.npz`), so that only the first advice has to solve.

Derived data: named by a digest of all that shaped it, made anew whenever that differs, safe to delete. Written under another name first.
"""

from __future__ import annotations

import hashlib
import json
import os
import zipfile
from pathlib import Path

import numpy as np

from ..ensemble.learned import DRAWN
from ..search.keys import digest, problem_key
from ..sheet.built import Built
from .bank import PAIRED, Bank, bank_of
from .case import Case
from .faults import Variant
from .log import FOLDER
from .response import Plan, Response

FORM = 4  # counted up when responses or faults change
ARRAYS = ("dip", "swr", "curve")


def name_of(built: Built) -> str:
    """The design's own name in the folder: kind and a digest of its numbers."""
    values = json.dumps(built.content["values"], sort_keys=True)
    return f"{built.content['family']}-{hashlib.sha256(values.encode()).hexdigest()[:10]}"


def kept_bank(folder: Path, case: Case, solving=lambda: None) -> Bank:
    """From the folder, else solved and kept there; a folder that cannot be written only costs the time. `solving` is called first."""
    path, key = folder / FOLDER / f"{name_of(case.built)}.npz", _key(case)
    try:
        with np.load(path, allow_pickle=False) as found:
            if str(found["key"]) == key:
                return _bank(case, found)
    except (OSError, ValueError, KeyError, zipfile.BadZipFile):
        pass
    solving()
    bank = bank_of(case)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part = path.with_suffix(f".{os.getpid()}.part.npz")
        np.savez_compressed(part, key=key, **_arrays(bank))
        part.replace(path)
    except OSError:
        pass
    return bank


def _key(case: Case) -> str:
    built = case.built
    return digest(FORM, DRAWN, PAIRED, problem_key(built.site, built.wishes), built.content["family"], built.content["values"], built.content["trimming"])


def _arrays(bank: Bank) -> dict:
    out = {"ends": bank.ends, "final": bank.final, "nodes": bank.plan.nodes, "reach": bank.plan.reach}
    for n, look in enumerate(bank.case.looks):
        out |= {f"plan.{n}.dip": bank.plan.dip[look], f"plan.{n}.swr": bank.plan.swr[look], f"plan.{n}.matters": bank.plan.matters[look]}
        out[f"plan.{n}.flat"] = np.array([bank.plan.flat[look], *bank.sound[look].edges])
        for name, responses in [("sound", bank.sound), *((f"fault{i}", r) for i, (_, r) in enumerate(bank.faulty))]:
            out |= {f"{name}.{n}.{a}": getattr(responses[look], a) for a in ARRAYS}
    return out | {"faults": np.array([[v.kind, v.what] for v, _ in bank.faulty] or [["", ""]])}


def _bank(case: Case, found) -> Bank:
    looks = list(enumerate(case.looks))
    reach, flats = found["reach"], {look: found[f"plan.{n}.flat"] for n, look in looks}

    def responses(name):
        return {
            look: Response(**{a: found[f"{name}.{n}.{a}"] for a in ARRAYS}, flat=float(flats[look][0]), edges=tuple(flats[look][1:].tolist()), reach=reach)
            for n, look in looks
        }

    plan = Plan(
        nodes=found["nodes"], **{part: {look: found[f"plan.{n}.{part}"] for n, look in looks} for part in ("dip", "swr", "matters")},
        flat={look: float(v[0]) for look, v in flats.items()}, reach=reach,
    )  # fmt: skip
    faults = [Variant(kind=str(k), what=str(w)) for k, w in found["faults"] if k]
    faulty = tuple((variant, responses(f"fault{i}")) for i, variant in enumerate(faults))
    return Bank(case=case, plan=plan, sound=responses("sound"), faulty=faulty, ends=found["ends"], final=found["final"])
