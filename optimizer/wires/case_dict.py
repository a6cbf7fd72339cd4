"""A wire case as the plain data that `case_json` reads; needs none of the reader's checks."""

from __future__ import annotations

from ..physics.elements import Capacitor, Coil, FixedImpedance
from .model import Load, Wire, WireCase


def case_to_dict(case: WireCase) -> dict:
    """The JSON form of a case, as `parse_case` reads it."""
    ground = {"kind": case.ground.kind}
    if case.ground.soil is not None:
        ground |= {
            "relative_permittivity": case.ground.soil.relative_permittivity,
            "conductivity_s_per_m": case.ground.soil.conductivity_s_per_m,
        }
    out = {
        "frequencies_mhz": [float(f) for f in case.frequencies_mhz],
        "ground": ground,
        "wires": [_wire_dict(w) for w in case.wires],
        "ports": [{"name": p.name, "wire": p.wire, "at_m": float(p.at_m)} for p in case.ports],
        "loads": [_load_dict(v) for v in case.loads],
    }
    ask = case.ask
    if ask.gain_at or ask.fields_at_m:
        out["ask"] = {
            "gain_at": [{"elevation_deg": e, "bearing_deg": b} for e, b in ask.gain_at],
            "fields_at_m": [list(p) for p in ask.fields_at_m],
            "power_w": ask.power_w,
        }
    return out


def _wire_dict(w: Wire) -> dict:
    out = {
        "name": w.name, "points_m": [[float(c) for c in p] for p in w.points_m], "radius_m": float(w.radius_m),
        "role": w.role, "conductivity_s_per_m": w.conductivity_s_per_m,
    }
    if w.coating is not None:
        out["coating"] = {
            "thickness_m": w.coating.thickness_m, "relative_permittivity": w.coating.relative_permittivity,
        }
    return out


def _load_dict(v: Load) -> dict:
    e = v.element
    place = {"wire": v.wire, "at_m": float(v.at_m)}
    if isinstance(e, FixedImpedance):
        return {"kind": "impedance", **place, "ohm": [complex(e.ohm).real, complex(e.ohm).imag]}
    if isinstance(e, Capacitor):  # a trap whose coil of a henry carries a millionth of the current at HF
        return {"kind": "trap", **place, "inductance_h": 1.0, "capacitance_f": float(e.capacitance_f)}
    out = {"kind": "coil" if isinstance(e, Coil) else "trap", **place, "inductance_h": float(e.inductance_h)}
    if e.q is not None:
        out["q"] = float(e.q)
    if isinstance(e, Coil):
        return out | {"stray_f": float(e.stray_f)}
    return out | {"capacitance_f": float(e.capacitance_f)}
