"""What can hurt, said once: caution texts by the step of the work they belong to.

One frozen table. Each text defers to local codes, the network operator and licensed practice; none replaces them. The
figures in it are common practice (c) or carry their source beside them.
"""

from __future__ import annotations

from types import MappingProxyType

CAUTIONS = MappingProxyType(
    {
        "overhead_lines": "Overhead power lines kill. Nothing that can fall, swing or be raised may come within reach of one, "
        "service drops included: keep mast and aerial at least their full length plus 10 ft (3.05 m) away, never above or below a line. "
        "The network operator and local rules decide; ask before you raise anything. No option of this program relaxes this.",
        "transmitter_off": "Before anyone touches wire, coil, transformer, counterpoise or line: transmitter off and the line "
        "unplugged at the radio. Wire ends carry about a thousand volts at 100 W, coils and loaded tails several thousand.",
        "keyed": "While the transmitter is keyed, nobody near the wire, its ends, its coils or the counterpoise. Test at low power, "
        "listen first, identify, and stay inside your allocation and licence.",
        "out_of_reach": "Wire ends, tails, coils and the high side of the transformer belong out of reach, 2.5 m or more above "
        "where people stand, or insulated and fenced off while in use.",
        "stakes": "Before you drive a stake, rod or ground socket: find buried cables, gas and water pipes. Ask the utilities' "
        "locating service where there is one; a detector alone is not proof.",
        "ladders": "Ladders: firm footing, a second person, never from the top rungs, never near an overhead line, and not alone. "
        "Work from the ground where the design lets you.",
        "wind": "Do not raise or lower a mast in wind, rain or with a storm about. Lower it, or let the wire go, before weather "
        "beyond the design wind speed.",
        "raising": "Raise a pole with one person on the pole and one on the guys; everyone else stays outside its full length. Carbon-fibre "
        "poles and wet poles conduct.",
        "hot_coils": "Coils, traps and rings get hot under long transmissions and can burn or melt their formers. Let them cool before "
        "touching and look at them after the first full-power test.",
        "battery": "A battery wants a fuse of the right size at the battery itself, in the positive lead, before anything else. A short "
        "circuit without it starts a fire.",
        "lightning": "Lightning: no wire aerial is safe in a thunderstorm. Disconnect the line outdoors and earth it before storms "
        "and when away; do not touch anything once it thunders. An arrestor helps against charge, not against a strike.",
        "earthing": "Bond masts and line shields to the building's earth as the local wiring code says. Where the supply's neutral "
        "is also the earth (PME, TN-C-S), an aerial earth can carry fault current: take qualified advice before connecting.",
        "code_us": "United States, National Electrical Code, article 810 (read the edition in force): aerial conductors do not cross over "
        "power conductors, and keep 2 ft (600 mm) from those below 250 V where nearness cannot be avoided; hard-drawn copper 14 AWG up to 45 m of "
        "span, 10 AWG above 45 m; transmitting conductors 3 in (75 mm) off the building's surface; operating grounding conductor 14 AWG copper or "
        "more, protective one 10 AWG copper or more.",
        "exposure": "Keep people outside the marked distances while transmitting at the stated average power. The levels are those "
        "of the named guideline; your licence or national rules may ask for an assessment of your own.",
        "guys": "Mark guys and stakes where people walk. Guys stay inside your own lot. Check tension and knots after the first windy day.",
        "support": "Fix nothing to a chimney, tree or gable that you have not looked at closely; a roof or wall fixing is a job for "
        "somebody who does them.",
        "estimates": "Computed estimates for planning. Trim and verify by measurement; follow local rules and qualified advice.",
    }
)

BY_STEP = MappingProxyType(
    {
        "survey": ("overhead_lines",),
        "foundations": ("stakes", "overhead_lines"),
        "build": ("hot_coils",),
        "raise": ("overhead_lines", "wind", "raising", "ladders", "support", "guys"),
        "connect": ("lightning", "earthing", "battery"),
        "trim": ("transmitter_off", "keyed", "ladders"),
        "use": ("out_of_reach", "exposure", "hot_coils", "lightning", "wind"),
        "every_sheet": ("overhead_lines", "estimates"),
    }
)


def cautions_for(step: str, country: str | None = None) -> tuple[str, ...]:
    """Texts of one step of the work, most dangerous first; national code facts added where the table has some."""
    code = f"code_{(country or '').lower()}"
    extra = (CAUTIONS[code],) if step in ("build", "connect") and code in CAUTIONS else ()
    return tuple(CAUTIONS[key] for key in BY_STEP[step]) + extra
