"""What changed between two tables of one site: which wishes, and which designs entered, left or moved, and why."""

from __future__ import annotations

from dataclasses import dataclass

from ..physics.wishes import BandWish, WishList


@dataclass(frozen=True, kw_only=True)
class Move:
    """`rank_before` None: entered; `rank_now` None: left."""

    design: str
    rank_before: int | None
    rank_now: int | None
    why: str

    @property
    def text(self) -> str:
        what = f"row {self.rank_before} → {self.rank_now}" if self.rank_before != self.rank_now else f"still row {self.rank_now}"
        if self.rank_before is None:
            what = f"entered at {self.rank_now}"
        if self.rank_now is None:
            what = f"left (was {self.rank_before})"
        return f"{what}: {self.design}: {self.why}"


def wishes_changed(before: WishList, now: WishList) -> list[str]:
    """Every wish that is another one, in a line."""
    return [_line(name, old, new) for name, new in vars(now).items() if (old := getattr(before, name)) != new]


def _line(name: str, old, new) -> str:
    """`mast_limit_m` is a mast limit in m."""
    unit = next((u for end, u in (("_m", " m"), ("_w", " W")) if name.endswith(end)), "")
    label = name[: len(name) - len(unit)] if unit else name
    return f"{label.strip('_').replace('_', ' ')}: {_told(old)} → {_told(new)}{unit if new is not None else ''}"


def _told(wish) -> str:
    """A wish in words: bands with their segments, lists by their names."""
    if isinstance(wish, tuple):
        return " ".join(_band(w) if isinstance(w, BandWish) else f"{w[0]}={w[1]:g}" for w in wish) or "none"
    return "none" if wish is None else f"{wish:g}" if isinstance(wish, float) else str(wish)


def _band(wish: BandWish) -> str:
    """As it is wished on the command line; what is as usual goes unsaid."""
    segment = f"{wish.low_hz / 1e6:g}-{wish.high_hz / 1e6:g}" if wish.segment == "custom" else wish.segment
    more = (f"*{wish.weight:g}" if wish.weight != 1.0 else "", f"@{wish.contacts}" if wish.contacts != "both" else "")
    return f"{wish.band}:{segment}{''.join(more)}" + (f"@{wish.bearing_deg:g}" if wish.bearing_deg is not None else "")


def fingerprint(design: dict) -> str:
    """What makes a design the same one: its family and where its wires run, to the decimetre."""
    band = next(iter(design["bands"].values()))
    points = [[round(c, 1) for c in p] for w in band["case"]["wires"] for p in w["points_m"]]
    return f"{design['family']}{points}"


def moves(before: list[dict], now: list[dict], limits: dict) -> list[Move]:
    """Compare two lists of design objects, best first. `limits`: the new mast_limit_m, budget and height_limit_m."""
    old = {fingerprint(d): d for d in before}
    new = {fingerprint(d): d for d in now}
    found = [_move(old.get(mark), d) for mark, d in new.items()]
    found += [_gone(d, now, limits) for mark, d in old.items() if mark not in new]
    return [m for m in found if m is not None]


def _move(before: dict | None, now: dict) -> Move | None:
    if before is None:
        return Move(design=now["design"], rank_before=None, rank_now=now["rank"], why=f"score {now['score']:.1f}")
    if before["rank"] == now["rank"] and abs(before["score"] - now["score"]) < 0.05:
        return None
    why = f"score {before['score']:.1f} → {now['score']:.1f}"
    if before["feed"]["tuner"] != now["feed"]["tuner"]:
        why += ", with a tuner" if now["feed"]["tuner"] else ", without a tuner"
    if abs(before["cost"] - now["cost"]) >= 0.01:
        why += f", cost {before['cost']:.2f} → {now['cost']:.2f} {now['currency']}"
    return Move(design=now["design"], rank_before=before["rank"], rank_now=now["rank"], why=why)


def _gone(before: dict, now: list[dict], limits: dict) -> Move:
    tallest = max((m["height_m"] for m in before["placement"]["masts"]), default=0.0)
    budget, mast = limits.get("budget"), limits.get("mast_limit_m")
    if budget is not None and before["cost"] > budget:
        why = f"costs {before['cost']:.2f}, more than {budget:.2f} {before['currency']}"
    elif mast is not None and tallest > mast + 1e-6:
        why = f"needs {tallest:.1f} m of mast, more than {mast:.1f}"
    elif now and before["score"] <= now[-1]["score"] + 0.05:
        why = f"overtaken: its {before['score']:.1f} is less than the last row's {now[-1]['score']:.1f}"
    else:
        why = "a better or more varied design took its place, or it no longer keeps the limits"
    return Move(design=before["design"], rank_before=before["rank"], rank_now=None, why=why)
