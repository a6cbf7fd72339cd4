"""Wire cases as JSON: read with every fault at once. `case_dict` writes them.

The form is the contract's; pydantic checks types and ranges, `checks` the geometry.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, FiniteFloat, ValidationError

from ..errors import FaultList
from ..physics.elements import Coil, FixedImpedance, Trap
from ..physics.soil import Soil
from .checks import check_case, faults_of
from .model import Ask, Coating, Ground, Load, Port, Wire, WireCase

Number = Annotated[FiniteFloat, Field(strict=True)]
Positive = Annotated[FiniteFloat, Field(gt=0, strict=True)]
NotNegative = Annotated[FiniteFloat, Field(ge=0, strict=True)]
Conductivity = Annotated[FiniteFloat, Field(gt=0, le=1e12, strict=True)]  # copper has 5.8e7
Name = Annotated[str, Field(min_length=1, max_length=200)]
PointIn = Annotated[list[Number], Field(min_length=3, max_length=3)]


class _In(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)


class CoatingIn(_In):
    thickness_m: NotNegative
    relative_permittivity: Annotated[FiniteFloat, Field(ge=1)]


class WireIn(_In):
    name: Name
    points_m: Annotated[list[PointIn], Field(min_length=2, max_length=2000)]
    radius_m: Positive
    role: Literal["radiator", "counterpoise", "line"] = "radiator"
    conductivity_s_per_m: Conductivity | None = None
    coating: CoatingIn | None = None


class PortIn(_In):
    name: Name
    wire: Name
    at_m: Number


class CoilIn(_In):
    kind: Literal["coil"]
    wire: Name
    at_m: Number
    inductance_h: NotNegative
    q: Positive | None = None
    stray_f: NotNegative = 0.0


class TrapIn(_In):
    kind: Literal["trap"]
    wire: Name
    at_m: Number
    inductance_h: Positive
    capacitance_f: NotNegative
    q: Positive | None = None


class ImpedanceIn(_In):
    kind: Literal["impedance"]
    wire: Name
    at_m: Number
    ohm: Annotated[list[Number], Field(min_length=2, max_length=2)]  # resistance, reactance


class SoilGroundIn(_In):
    kind: Literal["soil"]
    relative_permittivity: Annotated[FiniteFloat, Field(ge=1)]
    conductivity_s_per_m: NotNegative


class NoGroundIn(_In):
    kind: Literal["none"]


class PerfectGroundIn(_In):
    kind: Literal["perfect"]


class DirectionIn(_In):
    elevation_deg: Annotated[FiniteFloat, Field(ge=-90, le=90)]
    bearing_deg: Number


class AskIn(_In):
    gain_at: Annotated[list[DirectionIn], Field(max_length=20000)] = []
    fields_at_m: Annotated[list[PointIn], Field(max_length=20000)] = []
    power_w: Positive = 1.0


class CaseIn(_In):
    frequencies_mhz: Annotated[list[Number], Field(min_length=1, max_length=2000)]
    ground: Annotated[NoGroundIn | PerfectGroundIn | SoilGroundIn, Field(discriminator="kind")]
    wires: Annotated[list[WireIn], Field(min_length=1, max_length=500)]
    ports: Annotated[list[PortIn], Field(min_length=1, max_length=100)]
    loads: Annotated[list[Annotated[CoilIn | TrapIn | ImpedanceIn, Field(discriminator="kind")]], Field(max_length=500)] = []
    ask: AskIn = AskIn()


class _PartIn(_In):
    """What is well formed of a case that as a whole is not."""

    frequencies_mhz: list[Number]
    ground: Annotated[NoGroundIn | PerfectGroundIn | SoilGroundIn, Field(discriminator="kind")]
    wires: list[WireIn]
    ports: list[PortIn]
    loads: list[Annotated[CoilIn | TrapIn | ImpedanceIn, Field(discriminator="kind")]]
    ask: AskIn = AskIn()


def _field_name(loc) -> str:
    out = ""
    for part in loc:
        if isinstance(part, int):
            out += f"[{part}]"
        elif part not in ("coil", "trap", "impedance", "soil", "none", "perfect"):
            out += ("." if out else "") + str(part)
    return out or "case"


def parse_case(data: object, source: str = "case") -> WireCase:
    """A checked WireCase from decoded JSON. Raises InputError listing every fault."""
    faults = FaultList(source)
    try:
        got = CaseIn.model_validate(data)
    except ValidationError as bad:
        errors = bad.errors(include_url=False)
        for e in errors:
            hint = "the field is missing" if e["type"] == "missing" else ""
            value = None if e["type"] == "missing" else e.get("input")
            faults.add(_field_name(e["loc"]), value, _allowed(e), hint)
        _names_and_numbers(data, faults)
        _the_rest(data, errors, faults)
        faults.raise_if_any()
    case = _to_case(got)
    check_case(case, source)
    return case


def _names_and_numbers(data, faults: FaultList) -> None:
    """What can be said of a case that is not well formed: doubled names, unknown wires, frequencies not above zero."""
    if not isinstance(data, dict):
        return

    def entries(field):
        items = data.get(field)
        return list(enumerate(items)) if isinstance(items, list) else []

    for field in ("wires", "ports"):
        seen: dict[str, int] = {}
        for i, item in entries(field):
            name = item.get("name") if isinstance(item, dict) else None
            if isinstance(name, str) and seen.setdefault(name, i) != i:
                faults.add(f"{field}[{i}].name", name, f"a name not used already by {field}[{seen[name]}]")
    wires = [w.get("name") if isinstance(w, dict) else None for _, w in entries("wires")]
    named = bool(wires) and all(isinstance(name, str) for name in wires)
    for field in ("ports", "loads") if named else ():
        for i, item in entries(field):
            wire = item.get("wire") if isinstance(item, dict) else None
            if isinstance(wire, str) and wire not in wires:
                faults.add(f"{field}[{i}].wire", wire, "the name of a wire", "wires: " + ", ".join(wires)[:80])
    for i, f in entries("frequencies_mhz"):
        if isinstance(f, int | float) and not isinstance(f, bool) and f <= 0:
            faults.add(f"frequencies_mhz[{i}]", f, "a frequency above zero in MHz")


def _allowed(error) -> str:
    """What is wanted there, in words of a case."""
    kind, told = error["type"], error.get("ctx", {})
    least, most = told.get("min_length"), told.get("max_length")
    words = {
        "extra_forbidden": "no such field here", "missing": "a value", "model_type": "an object", "list_type": "a list", "float_type": "a number", "string_type": "text",
        "finite_number": "a finite number", "too_short": f"at least {least} of them", "too_long": f"at most {most} of them",
        "string_too_short": "a name", "string_too_long": f"a name of at most {most} characters",
        "union_tag_invalid": "a kind: " + str(told.get("expected_tags")), "union_tag_not_found": "a kind",
    }
    plain = error["msg"][0].lower() + error["msg"][1:]
    return words.get(kind, plain.removeprefix("input should be "))


_LISTS = ("frequencies_mhz", "wires", "ports", "loads")


def _the_rest(data, errors, faults: FaultList) -> None:
    """Faults of geometry in what is well formed of a case that as a whole is not: all else is left out, and numbered as the user wrote it.
    What is too long is not looked into."""
    if not isinstance(data, dict) or not all(isinstance(data.get(field, []), list) for field in _LISTS) or any(e["type"] == "too_long" for e in errors):
        return
    bad = {e["loc"][:2] for e in errors}
    kept = {field: [i for i in range(len(data.get(field, []))) if (field, i) not in bad] for field in _LISTS}
    if not kept["wires"] or len(kept["wires"]) < len(data["wires"]):  # what sits on a wire, or is joined to it, cannot be told
        kept |= {"ports": [], "loads": []}
    part = {field: [data[field][i] for i in kept[field]] for field in _LISTS}
    part["ground"] = {"kind": "none"} if any(e["loc"][:1] == ("ground",) for e in errors) else data["ground"]
    case = _to_case(_PartIn.model_validate(part))

    def as_written(text):
        return re.sub(r"\b(frequencies_mhz|wires|ports|loads)\[(\d+)\]", lambda m: f"{m[1]}[{kept[m[1]][int(m[2])]}]", text) if isinstance(text, str) else text

    told = {f.field for f in faults.faults}
    for fault in faults_of(case, faults.source):
        field = as_written(fault.field)
        if field not in told and fault.value != []:  # empty lists are what is left, not what was written
            faults.add(field, as_written(fault.value), as_written(fault.allowed), as_written(fault.hint))


def _element(load):
    if load.kind == "coil":
        return Coil(inductance_h=load.inductance_h, q=load.q, stray_f=load.stray_f)
    if load.kind == "trap":
        return Trap(inductance_h=load.inductance_h, capacitance_f=load.capacitance_f, q=load.q)
    return FixedImpedance(ohm=complex(*load.ohm))


def _to_case(got: CaseIn) -> WireCase:
    soil = None
    if got.ground.kind == "soil":
        soil = Soil(
            relative_permittivity=got.ground.relative_permittivity,
            conductivity_s_per_m=got.ground.conductivity_s_per_m,
        )
    return WireCase(
        frequencies_mhz=tuple(got.frequencies_mhz),
        ground=Ground(kind=got.ground.kind, soil=soil),
        wires=tuple(
            Wire(
                name=w.name, points_m=tuple(tuple(p) for p in w.points_m), radius_m=w.radius_m, role=w.role,
                conductivity_s_per_m=w.conductivity_s_per_m,
                coating=None if w.coating is None else Coating(**w.coating.model_dump()),
            )
            for w in got.wires
        ),
        ports=tuple(Port(**p.model_dump()) for p in got.ports),
        loads=tuple(Load(wire=v.wire, at_m=v.at_m, element=_element(v)) for v in got.loads),
        ask=Ask(
            gain_at=tuple((d.elevation_deg, d.bearing_deg) for d in got.ask.gain_at),
            fields_at_m=tuple(tuple(p) for p in got.ask.fields_at_m),
            power_w=got.ask.power_w,
        ),
    )


def read_case(path: str | Path) -> WireCase:
    """A checked WireCase from a file. Raises InputError for an unreadable file, broken JSON or any fault."""
    source = str(path)
    faults = FaultList(source)
    try:
        data = json.loads(Path(path).read_text(encoding="utf-8"))
    except OSError as bad:
        faults.add("file", source, "a file that can be read", bad.strerror or "")
    except UnicodeDecodeError:
        faults.add("file", source, "text in UTF-8")
    except (ValueError, RecursionError) as bad:
        faults.add("file", source, "valid JSON", str(bad)[:100])
    faults.raise_if_any()
    return parse_case(data, source)
