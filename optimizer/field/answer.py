"""Answer a wire case: the object that `lotwire solve` prints."""

from __future__ import annotations

import numpy as np

from ..wires.model import WireCase
from . import near
from .quality import finer_mesh_change, power_balance_error
from .solver import solve
from .version import GROUND_TREATMENT, SOLVER_VERSION


def _pair(z) -> list[float]:
    return [float(np.real(z)), float(np.imag(z))]


def _told(value) -> float | None:
    """null where there is no such figure: no power enters the first port."""
    return float(value) if np.isfinite(value) else None


def answer(case: WireCase, *, check: bool = False) -> dict:
    """Results for every frequency in the case's order, as plain numbers ready for JSON.

    check : also solve on a finer mesh and report the relative change of the first port's impedance.
    """
    solution = solve(case.wires, case.ports, case.loads, case.ground, np.array(case.frequencies_mhz) * 1e6)
    change = finer_mesh_change(solution) if check else None
    return {
        "solver": {"version": SOLVER_VERSION, "ground": _ground_words(case.ground.kind)},
        "results": [_one(case, solution, i, change) for i in range(len(case.frequencies_mhz))],
    }


def _ground_words(kind: str) -> str:
    return {"none": "free space", "perfect": "perfect ground (images)", "soil": GROUND_TREATMENT}[kind]


def _one(case, solution, i, change) -> dict:
    z = solution.z_ports_ohm[i]
    pattern = solution.pattern(i)
    out = {
        "frequency_mhz": case.frequencies_mhz[i],
        "ports": [{"name": p.name, "impedance_ohm": _pair(z[n, n])} for n, p in enumerate(case.ports)],
    }
    if len(case.ports) > 1:
        out["impedance_matrix_ohm"] = [[_pair(v) for v in row] for row in z]
    out["efficiency"] = _told(pattern.efficiency)
    out["gain_max_dbi"] = _told(pattern.gain_max_dbi)
    if case.ask.gain_at:
        directions = np.array(case.ask.gain_at)
        gains = pattern.gain(directions[:, 0], directions[:, 1])
        out["gain_at"] = [
            {"elevation_deg": float(e), "bearing_deg": float(b), "dbi": _told(10 * np.log10(np.maximum(g, 1e-30)))}
            for (e, b), g in zip(case.ask.gain_at, gains)
        ]
    if case.ask.fields_at_m:
        e, h = near.fields(solution, i, case.ask.fields_at_m, power_w=case.ask.power_w)
        out["fields_at_m"] = [
            {"at_m": list(p), "e_v_per_m": _told(np.linalg.norm(ev)), "h_a_per_m": _told(np.linalg.norm(hv))}
            for p, ev, hv in zip(case.ask.fields_at_m, e, h)
        ]
    out["quality"] = {
        "segments": len(solution.unknowns(i)[0].mesh.length_m),
        "power_balance_error": _told(power_balance_error(solution, i)),
    }
    if change is not None:
        out["quality"]["finer_mesh_change"] = float(change[i])
    return out
