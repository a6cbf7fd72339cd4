"""Forms of requests. Strict: no unknown members, no text for a number, no numbers that are not finite.

A site's content and a wish list are checked by the readers that the command uses, which list every fault at its place; here they are
only described.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, WithJsonSchema

from ..criteria.weights import DEFAULT
from ..physics.wish_reader import MOST_PIECES

Name = Annotated[str, Field(min_length=1, max_length=200, pattern=r"^[^\x00-\x1f\x7f]+$")]
Id = Annotated[str, Field(pattern="^[0-9a-z]{1,64}$")]
Form = Annotated[Literal["geojson", "tape"], Field(description="`geojson`: a FeatureCollection; `tape`: the text of a tape survey (TOML)")]
Content = Annotated[dict[str, Any] | Annotated[str, Field(max_length=1_000_000)], Field(description="the site file's content: an object or its text")]

IN_STOCK = {"type": "number", "minimum": 0, "maximum": 1e6}
WISH = {
    "type": "object",
    "description": "The wish list, with the names of a wish file. Every fault is told at once.",
    "required": ["bands"],
    "additionalProperties": False,
    "properties": {
        "bands": {
            "oneOf": [
                {"type": "string", "examples": ["40m:digital*2 20m 10m:voice@far"]},
                {
                    "type": "array",
                    "minItems": 1,
                    "maxItems": 40,
                    "items": {
                        "type": "object",
                        "required": ["band"],
                        "additionalProperties": False,
                        "properties": {
                            "band": {"type": "string", "examples": ["40m"]},
                            "segment": {"oneOf": [{"type": "string"}, {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2}]},
                            "weight": {"type": "number", "exclusiveMinimum": 0, "maximum": 1000},
                            "contacts": {"enum": ["near", "far", "both"]},
                            "bearing_deg": {"type": "number", "minimum": 0, "maximum": 360},
                        },
                    },
                },
            ]
        },
        "power_w": {"type": "number", "exclusiveMinimum": 0, "maximum": 5000},
        "mode_duty": {"type": "number", "exclusiveMinimum": 0, "maximum": 1},
        "transmit_share": {"type": "number", "exclusiveMinimum": 0, "maximum": 1},
        "swr_limit": {"type": "number", "exclusiveMinimum": 1, "maximum": 20},
        "tuner": {"enum": ["none", "radio", "external"]},
        "budget": {"type": "number", "minimum": 0, "maximum": 1e7},
        "mast_limit_m": {"type": "number", "minimum": 0, "maximum": 100},
        "station": {"enum": ["mains", "battery"]},
        "parts": {"enum": ["own", "bought", "either"], "description": "coils, traps, transformer, choke"},
        "on_hand": {
            "type": "object",
            "description": "by the metre: one piece, or a list of pieces",
            "additionalProperties": {"anyOf": [IN_STOCK, {"type": "array", "minItems": 1, "maxItems": MOST_PIECES, "items": IN_STOCK}]},
        },
        "prices": {"type": "object", "additionalProperties": {"type": "number", "minimum": 0, "maximum": 1e6}},
        "rates": {"type": "object", "additionalProperties": {"type": "number", "exclusiveMinimum": 0, "maximum": 1e6}},
    },
}
Wish = Annotated[dict[str, Any], WithJsonSchema(WISH)]


class Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", allow_inf_nan=False, strict=True)


class SiteCheck(Strict):
    form: Form
    content: Content


class SiteIn(SiteCheck):
    name: Name


WEIGHTS = {
    "type": "object",
    "description": "What counts how much; what is not named keeps its default.",
    "additionalProperties": False,
    "properties": {name: {"type": "number", "minimum": 0, "maximum": 1} for name in vars(DEFAULT)},
}
Weights = Annotated[dict[str, Any], WithJsonSchema(WEIGHTS)]
Seconds = Annotated[float, Field(gt=0, le=3600)]
Trials = Annotated[int, Field(ge=1, le=100_000)]
Seed = Annotated[int, Field(ge=0, le=2**31 - 1)]
Limited = {name: {"anyOf": [WISH["properties"][name], {"type": "null"}]} for name in ("budget", "mast_limit_m")}


def _of_wish(name: str):
    """A member of the wish list, checked with it."""
    return Annotated[Any, WithJsonSchema(Limited.get(name, WISH["properties"][name]))]


class RunIn(Strict):
    """What to search: a kept site, a wish list, and either a time or a number of designs."""

    site: Id
    wish: Wish
    weights: Weights = {}
    seconds: Seconds | None = None
    trials: Trials | None = None
    seed: Seed = 1


class RerankIn(Strict):
    weights: Weights


class RerunIn(Strict):
    """What is to differ from the earlier run: members of the wish list (null takes a limit away), weights, another kept site, time, seed."""

    bands: _of_wish("bands") = None
    power_w: _of_wish("power_w") = None
    mode_duty: _of_wish("mode_duty") = None
    transmit_share: _of_wish("transmit_share") = None
    swr_limit: _of_wish("swr_limit") = None
    tuner: _of_wish("tuner") = None
    budget: _of_wish("budget") = None
    mast_limit_m: _of_wish("mast_limit_m") = None
    station: _of_wish("station") = None
    parts: _of_wish("parts") = None
    on_hand: _of_wish("on_hand") = None
    prices: _of_wish("prices") = None
    rates: _of_wish("rates") = None
    weights: Weights | None = None
    site: Id | None = None
    seconds: Seconds | None = None
    trials: Trials | None = None
    seed: Seed | None = None


class PlanIn(Strict):
    """A wire over one support; without `wire_m` the longest for `room_m`."""

    mast_m: float
    wire_m: float | None = None
    first_share: float = 0.5
    ends_m: float = 2.5
    far_end_m: float | None = None
    turn_deg: float = 0.0
    room_m: float | None = None


Sweep = Annotated[str, Field(max_length=300_000, description="the text of a one-port Touchstone file, or lines of MHz and SWR")]


class PointIn(Strict):
    mhz: Annotated[float, Field(gt=1, lt=100)]
    swr: Annotated[float, Field(ge=1, le=1000)]


class ReadingIn(Strict):
    """What was read at a trimming step: the dip (frequency of lowest SWR), SWR at some frequencies, or a one-port sweep."""

    band: Annotated[str, Field(min_length=1, max_length=40)] | None = None
    reading_mhz: Annotated[float, Field(gt=1, lt=100)] | None = None
    swr: Annotated[float, Field(ge=1, le=1000, description="at the dip")] | None = None
    points: Annotated[list[PointIn], Field(max_length=500)] = []
    sweep: Sweep | None = None
    cut_cm: Annotated[float, Field(ge=-1000, le=1000, description="cut or folded since that piece's last reading; let out: below 0")] = 0.0
    length_m: Annotated[float, Field(gt=0, le=1000, description="the piece as measured now")] | None = None
    radio: Annotated[bool, Field(description="only the radio's own SWR is there, inside the band")] = False
    mended: Annotated[bool, Field(description="something wrong was put right before this reading")] = False
    checked: Annotated[bool, Field(description="all was looked at and is sound: advise on")] = False
    chance: Annotated[float, Field(gt=0, lt=0.5, description="of cutting too much, at most")] = 0.02
    lengths: Literal["metric", "imperial"] = "metric"


class MeasuredIn(Strict):
    """SWR measured at the finished wire, at the radio's end of the line, tuner out of circuit."""

    points: Annotated[list[PointIn], Field(max_length=500)] = []
    sweep: Sweep | None = None


class SessionIn(Strict):
    token: Annotated[str, Field(min_length=1, max_length=200, pattern=r"^[\x21-\x7e]+$")]


class FaultOut(BaseModel):
    field: str
    value: str
    allowed: str
    hint: str


class ErrorOut(BaseModel):
    kind: Literal["bad_input", "not_found", "not_allowed", "too_many", "nothing_fits", "busy", "our_fault"]
    message: str
    faults: list[FaultOut]


class Problem(BaseModel):
    """The one error form."""

    error: ErrorOut


PROBLEMS = {status: {"model": Problem} for status in (401, 403, 404, 405, 408, 409, 413, 422, 429)}
