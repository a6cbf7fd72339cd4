"""The program's own mesh against one many times finer: what is left of the error of the mesh.

The finer mesh keeps the first segments at ends and feeds at twenty radii: a gap of finite width is part of the question (a gap without width
has an infinite capacitance), and a coil's place likewise.
"""

from dataclasses import replace

import numpy as np
from scipy.optimize import brentq
from wire_sets import (
    AVERAGE,
    BALANCE,
    COPPER,
    DRY,
    FREE,
    SEA,
    Set,
    coil,
    end_fed,
    level_dipole,
    loaded_tail,
    port,
    radials,
    two_dipoles,
    wire,
)

from optimizer.field import near
from optimizer.field.mesh import GRADING_RADII, GRADING_SLOPE, SEGMENTS_PER_WAVELENGTH, MeshSettings
from optimizer.field.sweep import curve

FINE = 6.0
OWN = MeshSettings()


def refined(times: float) -> MeshSettings:
    """`times` as many segments everywhere, the grading refined alike."""
    return MeshSettings(
        per_wavelength=times * SEGMENTS_PER_WAVELENGTH, grading_radii=GRADING_RADII, grading_slope=GRADING_SLOPE / times
    )


def off_centre(ground=AVERAGE, mhz=(7.1, 14.2, 28.5)):
    return replace(level_dipole(ground=ground), ports=(port("w", 6.6),), mhz=mhz)


def end_fed_tail(ground=AVERAGE, tail=1.8, q=300.0, mhz=(6.9,)):
    main = wire("main", (0, 0, 6), (0, 10.1 + tail, 6), conductivity_s_per_m=COPPER)
    back = wire("back", (0, 0, 6), (-1.5, 0, 6))
    return Set(wires=(main, back), ports=(port("main", 0.0),), loads=(coil("main", 10.1, 34.0, q, 1.0),), ground=ground, mhz=mhz)


def fan(mhz=(7.1, 14.2)):
    """Two dipoles on one feed, legs 4 and 30 degrees down."""
    feed = [wire("f", (0, -0.05, 8), (0, 0.05, 8))]
    for name, half, down in (("long", 10.0, 0.07), ("short", 5.05, 0.55)):
        for side in (-1, 1):
            feed.append(wire(f"{name}{side}", (0, side * 0.05, 8), (0, side * half * np.cos(down), 8 - half * np.sin(down))))
    return Set(wires=tuple(feed), ports=(port("f", 0.05),), mhz=mhz)


# Ordinary feeds: name → (case, points at half a metre and more from the wires)
FEEDS = {
    "half wave, free space": (level_dipole(ground=FREE, height=0, mhz=(7.1,)), [(0.5, 3, 0), (0.3, 10.6, 0)]),
    "half wave 3 m over average soil": (level_dipole(height=3.0, mhz=(7.1,)), [(0.5, 3, 3), (0, 10.6, 3), (2, 2, 1.8)]),
    "half wave 1 m over dry sand": (level_dipole(height=1.0, ground=DRY, mhz=(7.1,)), [(0.7, 3, 1.5), (4, 0, 1.8)]),
    "half wave over sea water": (level_dipole(half=19.5, ground=SEA, mhz=(3.65,)), [(0.5, 3, 8), (0, 20.1, 8)]),
    "off-centre feed": (off_centre(), [(0.5, 3, 8), (0, 10.6, 8), (2, 2, 1.8)]),
    "thick tube": (level_dipole(half=5.0, radius=0.012, mhz=(14.1,)), [(0.5, 3, 8)]),
    "thin wire at 54 MHz": (level_dipole(half=1.4, height=3.0, radius=2.5e-4, mhz=(54.0,)), [(0.5, 0.7, 3)]),
    "coated copper": (BALANCE["copper and coat"], [(0.5, 3, 8), (2, 2, 1.8)]),
    "end-fed, counterpoise": (end_fed(mhz=(7.1, 14.2, 28.5)), [(0, -0.6, 2.6), (3, 0, 2), (14, 5, 1.8)]),
    "two sloping, coil": (two_dipoles(mhz=(7.1, 21.2)), [(2, 0, 6), (1, 11, 3)]),
    "trap dipole": (BALANCE["trap dipole"], [(0.5, 0.6, 9), (9, 0.6, 7)]),
    "fan dipole": (fan(), [(0.6, 2, 7), (2, 2, 1.8)]),
    "vertical, radials 0.3 m up": (radials(height=0.3), [(0.6, 0, 1.0), (4, 4, 1.8)]),
}
# Wires nearer to the soil than a tenth of a metre
LOW = {
    "radials 0.1 m up": (radials(height=0.1), [(0.6, 0, 1.0)]),
    "radials 0.05 m up": (radials(height=0.05), [(0.6, 0, 1.0)]),
    "radials in grass, 0.02 m": (radials(height=0.02), [(0.6, 0, 1.0)]),
    "dipole 0.02 m over soil": (level_dipole(half=6.0, height=0.02), [(0.5, 3, 0.5)]),
}
# Resonances: name → (case, low, high [MHz], is it a peak of R)
RESONANCES = {
    "half wave over soil": (level_dipole(height=3.0), 6.9, 7.3, False),
    "off-centre feed, 14 MHz": (off_centre(), 14.0, 15.2, False),
    "loaded tail, lower band": (loaded_tail(), 6.55, 6.75, False),
    "loaded tail, upper band": (loaded_tail(), 14.6, 15.1, False),
    "trap dipole, lower band": (BALANCE["trap dipole"], 5.6, 6.0, False),
    "trap dipole, upper band": (BALANCE["trap dipole"], 14.0, 14.8, False),
    "end-fed bent wire": (end_fed(tail=2.0), 5.8, 6.2, True),
    "end-fed loaded tail, 7 MHz": (end_fed_tail(), 6.8, 7.0, True),
}


def feed_errors(case, points, settings=OWN, fine=FINE):
    """Per frequency: (error of Z as a share of 1 % + 0.5 ohm, gain [dB], efficiency, E, H; the last three relative)."""
    own, true = case.solve(settings=settings), case.solve(settings=refined(fine))
    rows = []
    for i in range(len(case.mhz)):
        dz = abs(own.z_ohm[i] - true.z_ohm[i]) / (0.01 * abs(true.z_ohm[i]) + 0.5)
        gain = abs(own.pattern(i).gain_max_dbi - true.pattern(i).gain_max_dbi)
        share = abs(own.pattern(i).efficiency / true.pattern(i).efficiency - 1)
        fields = [near.fields(s, i, points, power_w=1.0) for s in (own, true)]
        sizes = [[np.linalg.norm(v, axis=1) for v in pair] for pair in fields]
        e, h = (float(np.abs(a / b - 1).max()) for a, b in zip(*sizes))
        rows.append((dz, gain, share, e, h))
    return rows


LIMITS = (1.0, 0.1, 0.01, 0.03, 0.03)


def resonance_mhz(case, low, high, peak, settings):
    """Zero of X, or the peak of R, from six solves on one mesh."""
    few = np.linspace(low, high, 6)
    z = replace(case, mhz=tuple(few)).z(settings)

    def at(mhz):
        return curve(few * 1e6, z, np.atleast_1d(mhz) * 1e6)

    if not peak:
        return brentq(lambda f: at(f)[0].imag, low, high, xtol=1e-7)
    grid = np.linspace(low, high, 4001)
    return float(grid[at(grid).real.argmax()])


def resonance_error(name, settings=OWN, fine=FINE):
    case = RESONANCES[name]
    return resonance_mhz(*case, settings) / resonance_mhz(*case, refined(fine)) - 1
