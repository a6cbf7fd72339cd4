"""Rows of area 1-ANT through the field solver. Sources stand in antenna.csv, row by row.

Rows for an assumed current are compared with that current imposed on the solver's matrix (see imposed.py); rows labelled full solution
with the solver's own currents, several of them through the answer to a wire case. Tolerances are the rows' own; where a row
gives one for the same current and one for a different method, the narrower is taken that fits the route.
"""

import re
from functools import cache

import numpy as np
import pytest
from imposed import FREE, FREQ_HZ, PERFECT, THIN, WAVE_M, feed_current, impose, line, polyline, standing
from rows import NUMBER, after, before, numbers, rows
from scipy.optimize import brentq

from optimizer.field.answer import answer
from optimizer.field.solver import solve
from optimizer.physics.constants import C0_M_PER_S, ETA0_OHM, TWO_PI
from optimizer.physics.elements import Coil
from optimizer.wires.case_json import parse_case
from optimizer.wires.model import Coating, Load, Port, Wire

HALF = 0.5
COPPER_S_PER_M = 5.80e7
# Rows that an independent route shows to be wrong: id → reason. None so far.
WRONG = {}


def allowed(row, value):
    """The row's tolerance as a figure: the part for imposed currents where it names one, the greater of "x % or y ohm"."""
    text = row["tolerance"]
    same = re.search(rf"({NUMBER})% (?:if|for the same)", text)
    if same:
        return float(same.group(1)) / 100 * abs(value)
    text = re.sub(r"\(.*\)", "", text)
    share = [float(n) / 100 * abs(value) for n in re.findall(rf"({NUMBER})%", text)]
    fixed = [float(n) for n in re.findall(rf"({NUMBER}) (?:ohm|dB|deg|points)", text)]
    assert share or fixed, row["tolerance"]
    return max(share + fixed)


def close(found, row, wanted=None):
    wanted = float(row["expected"]) if wanted is None else wanted
    assert abs(found - wanted) <= allowed(row, wanted), f"{found} against {wanted}"


def part(z, row):
    """R or X of z as the quantity's words ask."""
    q = re.sub(r"\(.*?\)", "", row["quantity"])
    return z.imag if re.search(r"\bX(12)?\b", q) else z.real


# --- imposed currents -------------------------------------------------------------------------------------------------------------


@cache
def dipole(length, radius=THIN):
    return impose([line((0, 0, 0), (0, length, 0), radius)], [standing(length)])


def half_wave(row):
    close(part(dipole(HALF).z[0, 0], row), row)


def half_wave_rounded(row):
    z, wanted = dipole(HALF).z[0, 0] * 120 * np.pi / ETA0_OHM, complex(row["expected"].replace("j", "") + "j")
    assert abs(z.real - wanted.real) <= 1e-3 * wanted.real and abs(z.imag - wanted.imag) <= 1e-3 * wanted.imag


def monopole(row):
    up = impose([line((0, 0, 0), (0, 0, 0.25))], [lambda s: np.cos(TWO_PI * s)], PERFECT, kinks=[])
    close(part(up.z[0, 0], row), row)


def centre_fed(row):
    length = after("L", row["conditions"])
    radius = after("radius", row["conditions"]) if "radius 1" in row["conditions"] else THIN
    close(part(dipole(length, radius).z[0, 0] / feed_current(length) ** 2, row), row)


def full_wave(row):
    close(dipole(1.0).z[0, 0].real, row)


def zero_order_resonance(row):
    radius = after("radius", row["conditions"])
    close(brentq(lambda length: dipole(length, radius).z[0, 0].imag, 0.47, 0.499, xtol=1e-5), row)


@cache
def pair(aside, along):
    """Reaction of two half-wave filaments, the second moved aside and along the first."""
    first = line((0, 0, 0), (0, HALF, 0), name="a")
    second = line((aside, along, 0), (aside, along + HALF, 0), name="b")
    return impose([first, second], [standing(HALF)] * 2)


def side_by_side(row):
    close(part(pair(after("spacing", row["conditions"]), 0.0).z[0, 1], row), row)


def collinear(row):
    close(part(pair(0.0, after("centre-to-centre", row["conditions"])).z[0, 1], row), row)


def echelon(row):
    text = row["conditions"]
    close(part(pair(after("lateral", text), after("offset", text)).z[0, 1], row), row)


@cache
def level_over_perfect(height):
    return impose([line((0, -HALF / 2, height), (0, HALF / 2, height))], [standing(HALF)], PERFECT)


def level(row):
    close(part(level_over_perfect(after("height", row["conditions"])).z[0, 0], row), row)


def upright(row):
    """At a centre height of a quarter wave the lower end touches the ground, where the current is nil."""
    low = after("height", row["conditions"]) - HALF / 2
    z = impose([line((0, 0, low), (0, 0, low + HALF))], [standing(HALF)], PERFECT).z[0, 0]
    close(z.real, row)


def broadside_gain(row):
    text = row["conditions"]
    close(level_over_perfect(after("height", text)).gain_dbi(after("elevation", text), 90.0), row)


def directivity(row):
    kind = row["quantity"].removeprefix("directivity: ")
    cases = {
        "short dipole (Hertzian)": lambda: dipole(0.002),
        "half-wave dipole": lambda: dipole(HALF),
        "centre-fed full-wave dipole": lambda: dipole(1.0),
        "quarter-wave monopole on PEC (upper half space)": lambda: impose(
            [line((0, 0, 0), (0, 0, 0.25))], [lambda s: np.cos(TWO_PI * s)], PERFECT, kinks=[]
        ),
    }
    close(cases[kind]().pattern().gain_max_dbi, row)


@cache
def harmonic(half_waves):
    return impose([line((0, 0, 0), (0, half_waves / 2, 0))], [lambda s: np.sin(TWO_PI * s)], kinks=[])


def harmonic_r(row):
    close(harmonic(int(after("n", row["conditions"]))).z[0, 0].real, row)


def harmonic_directivity(row):
    close(harmonic(int(after("n", row["conditions"]))).pattern().gain_max_dbi, row)


def harmonic_lobe(row):
    """The lobe nearest the axis is the greatest; the wire runs north."""
    n = int(after("n", row["conditions"]))
    angles = np.arange(1.0, 90.0, 0.05)
    close(angles[np.argmax(harmonic(n).pattern().gain(0.0, angles))], row)


@cache
def v_dipole(apex_deg):
    half = np.radians(apex_deg) / 2
    tip = 0.25 * np.array([np.cos(half), np.sin(half), 0.0])
    points = ((tip[0], -tip[1], 0), (0, 0, 0), tuple(tip))
    return impose([polyline(points)], [standing(HALF)])


def v_resistance(row):
    close(v_dipole(after("apex angle", row["conditions"])).z[0, 0].real, row)


def v_directivity(row):
    close(v_dipole(after("apex", row["conditions"])).pattern().gain_max_dbi, row)


def ring_points(perimeter, sides):
    """A regular polygon with the area of the circle of that circumference."""
    radius = perimeter / TWO_PI * np.sqrt(TWO_PI / sides / np.sin(TWO_PI / sides))
    turn = TWO_PI * np.arange(sides + 1) / sides
    turn[-1] = 0.0
    return [(radius * np.cos(t), radius * np.sin(t), 0.0) for t in turn]


def square_points(side):
    """Square in the x-y plane, begun at the middle of a side."""
    h = side / 2
    return [(0, -h, 0), (h, -h, 0), (h, h, 0), (-h, h, 0), (-h, -h, 0), (0, -h, 0)]


@cache
def full_loop(square):
    points = square_points(0.25) if square else ring_points(1.0, 90)
    length = 1.0 if square else 90 * np.hypot(*np.subtract(points[1], points[0])[:2])
    return impose([polyline(points, 1e-6)], [lambda s: np.cos(TWO_PI * s / length)], kinks=[])


def loop_resistance(row):
    close(full_loop("square" in row["conditions"]).z[0, 0].real, row)


def loop_directivity(row):
    close(full_loop("square" in row["conditions"]).pattern().gain_max_dbi, row)


def small_ring(row):
    ring = polyline(ring_points(after("circumference", row["conditions"]), 60), 1e-7)
    close(impose([ring], [lambda s: 1.0], kinks=[]).z[0, 0].real, row)


def small_square(row):
    wave = C0_M_PER_S / (before("MHz", row["conditions"]) * 1e6)
    square = polyline(square_points(1.0 / wave), 1e-6)
    z = impose([square], [lambda s: 1.0], kinks=[]).z[0, 0].real * 120 * np.pi / ETA0_OHM
    assert abs(z - 31171 / wave**4) < 0.01 * z  # the row prints the form and a figure: 1 m2
    close(z, row)


def triangular(row):
    length = after("length", row["conditions"])
    wire = line((0, 0, 0), (0, length, 0))
    z = impose([wire], [lambda s: 1.0 - abs(2 * s / length - 1.0)]).z[0, 0].real
    close(z * 120 * np.pi / ETA0_OHM, row)


def short_monopole(row):
    height = after("h", row["conditions"])
    z = impose([line((0, 0, 0), (0, 0, height))], [lambda s: 1.0 - s / height], PERFECT, kinks=[]).z[0, 0].real
    close(z * 120 * np.pi / ETA0_OHM, row)


def folded(row):
    """Both conductors carry the half-wave's current, the source one of them: the power is that of twice the current."""
    z = pair(0.0005, 0.0).z
    close(np.sum(z).real, row)


def folded_step_up(row):
    """The solver's own division of current: both conductors of a folded half-wave at one voltage."""
    a, b, gap = (before(w, row["conditions"]) / 2e3 for w in ("mm, other", "mm, centre", "mm"))
    gap = before("mm;", row["conditions"]) / 1e3
    y = HALF * WAVE_M
    wires = (
        Wire(name="a", points_m=((0, 0, 0), (0, y, 0)), radius_m=a),
        Wire(name="b", points_m=((0, 0, 0), (gap, 0, 0), (gap, y, 0), (0, y, 0)), radius_m=b),
    )
    ports = (Port(name="p", wire="a", at_m=y / 2), Port(name="q", wire="b", at_m=gap + y / 2))
    currents = solve(wires, ports, (), FREE, [FREQ_HZ]).bands[0].y_s[0].sum(axis=1)
    close(abs(1 + currents[1] / currents[0]) ** 2, row)


def pair_gain(row):
    """Wires along north, side by side east to west: end-fire is east, broadside is up."""
    two = pair(after("spacing", row["conditions"]), 0.0)
    single = dipole(HALF).gain_dbi(0.0, 90.0)
    if "antiphase" in row["quantity"]:
        close(two.gain_dbi(0.0, 90.0, [1, -1]) - single, row)
    else:
        close(two.gain_dbi(90.0, 0.0, [1, 1]) - single, row)


def collinear_gain(row):
    close(pair(0.0, 0.5).gain_dbi(0.0, 90.0, [1, 1]) - dipole(HALF).gain_dbi(0.0, 90.0), row)


def yagi_wires(lengths, spacing, radius):
    return [
        line((n * spacing, -v / 2, 0), (n * spacing, v / 2, 0), radius, name=f"e{n}") for n, v in enumerate(lengths)
    ]


def yagi_zero_order(row):
    lengths = [float(v) for v in re.search(r"lengths ([\d./]+) wl", row["conditions"]).group(1).split("/")]
    rods = yagi_wires(lengths, 0.2, after("radius", row["conditions"]))
    array = impose(rods, [standing(v) for v in lengths])
    currents = np.linalg.solve(array.z, [0, 1, 0])
    close(array.gain_dbi(0.0, 90.0, currents) - 2.15, row)


def yagi_measured(row):
    """Full solution; the driven element's length hardly matters for the gain."""
    text = row["conditions"]
    lengths = (after("reflector", text), 0.47, after("director", text))
    rods = yagi_wires(lengths, 0.2, after("dia", text) / 2)
    full = solve(tuple(rods), (Port(name="p", wire="e1", at_m=0.235 * WAVE_M),), (), FREE, [FREQ_HZ])
    close(10 * np.log10(float(full.pattern(0).gain(0.0, 90.0))) - 2.15, row)


# --- full solutions ---------------------------------------------------------------------------------------------------------------


def wire_case(freq_mhz, length, *, diameter=2e-3, at=None, loads=(), conductivity=None, coating=None):
    """A straight wire in free space, as the dictionary of a wire case."""
    wire = {"name": "w", "points_m": [[0, 0, 0], [0, length, 0]], "radius_m": diameter / 2, "conductivity_s_per_m": conductivity}
    if coating:
        wire["coating"] = {"thickness_m": coating[0], "relative_permittivity": coating[1]}
    return {
        "frequencies_mhz": [float(f) for f in np.atleast_1d(freq_mhz)], "ground": {"kind": "none"}, "wires": [wire],
        "ports": [{"name": "p", "wire": "w", "at_m": length / 2 if at is None else at}], "loads": list(loads),
    }


def through_case(freq_mhz, length, **more):
    """Feed impedances by the answer to the case, as a user gets them."""
    results = answer(parse_case(wire_case(freq_mhz, length, **more)))["results"]
    assert all(abs(r["quality"]["power_balance_error"]) < 0.005 for r in results)
    return np.array([complex(*r["ports"][0]["impedance_ohm"]) for r in results])


@cache
def feed(freq_mhz, length, at=None, diameter=2e-3):
    wire = Wire(name="w", points_m=((0, 0, 0), (0, length, 0)), radius_m=diameter / 2)
    port = Port(name="p", wire="w", at_m=length / 2 if at is None else at)
    return solve((wire,), (port,), (), FREE, [freq_mhz * 1e6]).z_ohm[0]


@cache
def resonant_length(freq_mhz, ratio=None, diameter=None, coating=None):
    """Length with X = 0 at the centre and R there, length over diameter or the diameter given."""

    def z(length):
        wide = length / ratio if ratio else diameter
        wire = Wire(name="w", points_m=((0, 0, 0), (0, length, 0)), radius_m=wide / 2, coating=coating)
        port = Port(name="p", wire="w", at_m=length / 2)
        return solve((wire,), (port,), (), FREE, [freq_mhz * 1e6]).z_ohm[0]

    wave = C0_M_PER_S / freq_mhz / 1e6
    length = brentq(lambda v: z(v).imag, 0.44 * wave, 0.499 * wave, xtol=1e-5 * wave)
    return length, z(length).real


def thin_resonance(row):
    length, r = resonant_length(FREQ_HZ / 1e6, ratio=after("L/d", row["conditions"]))
    close(length / WAVE_M if row["unit"] == "wl" else r, row)


def handbook_length(row):
    """A rod ten diameters long has no full-solution figure of its own: its reactance hangs on the width of the gap. There the
    sinusoid's resonance is compared, which needs no gap."""
    ratio = after("L/d", row["conditions"])
    if ratio >= 100:
        thin_resonance(row)
    else:
        close(brentq(lambda length: dipole(length, length / ratio / 2).z[0, 0].imag, 0.42, 0.499, xtol=1e-5), row)


def wire_resonance(row):
    close(resonant_length(before("MHz", row["conditions"]), diameter=2e-3)[0], row)


def off_centre(row):
    text = row["conditions"]
    length = before("m long", text)
    close(part(feed(before("MHz", text), length, after("feed at", text) * length), row), row)
    if "0.3333" in text:
        close(part(through_case(14.15, length, at=length / 3)[0], row), row)


def each_band(row):
    freq, length = before("MHz", row["conditions"]), before("m centre-fed", row["quantity"])
    close(part(feed(freq, length), row), row)
    close(part(through_case(freq, length)[0], row), row)


def short_wire(row):
    close(part(feed(before("MHz", row["conditions"]), 10.0), row), row)


def series_zero(reactance_of, near, spread=0.03):
    """Frequency where the reactance rises through zero nearest `near`; reactance_of takes and gives arrays."""
    grid = near * np.linspace(1 - spread, 1 + spread, 13)
    x = reactance_of(grid)
    up = np.flatnonzero((x[:-1] < 0) & (x[1:] >= 0))
    assert len(up), "no series resonance near the expected one"
    n = min(up, key=lambda m: abs(grid[m] - near))
    lo, hi = 2 * grid[n] - grid[n + 1], 2 * grid[n + 1] - grid[n]  # one alone has a mesh of its own: leave room
    return brentq(lambda f: reactance_of(np.array([f]))[0], lo, hi, xtol=1e-5 * near)


def solved_reactance(length, at, loads=()):
    wire = Wire(name="w", points_m=((0, 0, 0), (0, length, 0)), radius_m=1e-3)

    def x(freq_mhz):
        return solve((wire,), (Port(name="p", wire="w", at_m=at),), loads, FREE, np.asarray(freq_mhz) * 1e6).z_ohm.imag

    return x


def harmonic_resonance(row):
    length = before("m straight", row["quantity"])
    close(series_zero(solved_reactance(length, length / 8), float(row["expected"])), row)


def loading(row):
    """Inductance to resonate, from the solved wire with coils at their places."""
    text = row["conditions"]
    wire = Wire(name="w", points_m=((0, 0, 0), (0, 10.0, 0)), radius_m=1e-3)
    port = Port(name="p", wire="w", at_m=5.0)
    places = (5.0,) if "one centre" in text else (5 - before("m from", text), 5 + before("m from", text))

    def z(uh):
        if len(places) == 1:  # in series with the feed itself
            return feed(7.1, 10.0) + 1j * TWO_PI * 7.1 * uh
        loads = tuple(Load(wire="w", at_m=p, element=Coil(inductance_h=uh * 1e-6)) for p in places)
        return solve((wire,), (port,), loads, FREE, [7.1e6]).z_ohm[0]

    uh = brentq(lambda v: z(v).imag, 5.0, 40.0, xtol=1e-3)
    close(uh if row["unit"] == "uH" else z(uh).real, row)


def insulated(row):
    text = row["conditions"]
    freq, bare = before("MHz", text), after("conductor dia", text) / 2e3
    coat = Coating(thickness_m=after("OD", text) / 2e3 - bare, relative_permittivity=after("eps_r", text))
    ratio = resonant_length(freq, diameter=2 * bare, coating=coat)[0] / resonant_length(freq, diameter=2 * bare)[0]
    close(ratio, row)


def coil_extended(row):
    """10.1 m, coil, tail; probed 3 m from the far end of the long wire."""
    text = row["conditions"]
    long, tail = float(re.search(rf"wire ({NUMBER}) m", text).group(1)), before("m tail", text)
    coil = Coil(
        inductance_h=before("uH", text) * 1e-6, q=after("Q", text), stray_f=before("pF", text) * 1e-12
    )
    x = solved_reactance(long + tail, 3.0, (Load(wire="w", at_m=long, element=coil),))
    close(series_zero(x, float(row["expected"])), row)


def plain_wire(row):
    for wanted in numbers(row["expected"]):
        close(series_zero(solved_reactance(10.1, 3.0), wanted), row, wanted)


def copper_resistance(row):
    text = row["conditions"]
    wave = C0_M_PER_S / (before("MHz", text) * 1e6)
    wire = line((0, 0, 0), (0, HALF, 0), 1e-3 / wave, wave_m=wave, conductivity_s_per_m=COPPER_S_PER_M)
    found = impose([wire], [standing(HALF)], freq_hz=C0_M_PER_S / wave).own[0, 0].real
    close(found * before("m,", text) / (HALF * wave), row)  # the row's wire is the resonant one, shorter in proportion


def copper_efficiency(row):
    case = wire_case(14.15, 10.289, conductivity=COPPER_S_PER_M)
    close(100 * answer(parse_case(case))["results"][0]["efficiency"], row)


CHECKS = {
    "half-wave dipole input [RX]": half_wave,
    "half-wave dipole input Z, textbook": half_wave_rounded,
    "quarter-wave monopole": monopole,
    "centre-fed dipole input": centre_fed,
    "full-wave centre-fed dipole R": full_wave,
    "first-resonance length, induced-EMF": zero_order_resonance,
    "mutual impedance .*, parallel": side_by_side,
    "mutual impedance .*, collinear": collinear,
    "mutual impedance .*, echelon": echelon,
    "horizontal half-wave dipole [RX] over perfect": level,
    "vertical half-wave dipole R over perfect": upright,
    "horizontal dipole broadside gain": broadside_gain,
    "directivity: ": directivity,
    "harmonic .* standing-wave": harmonic_r,
    "harmonic wire: directivity": harmonic_directivity,
    "harmonic wire: main-lobe": harmonic_lobe,
    "V dipole radiation": v_resistance,
    "V dipole directivity": v_directivity,
    "full-wave loop radiation": loop_resistance,
    "full-wave loop directivity": loop_directivity,
    "small loop radiation resistance, exact": small_ring,
    "small loop radiation resistance, area": small_square,
    "short dipole radiation resistance": triangular,
    "short monopole": short_monopole,
    "folded dipole input": folded,
    "folded dipole step-up": folded_step_up,
    "two parallel half-wave dipoles": pair_gain,
    "two collinear half-waves": collinear_gain,
    "3-element Yagi gain, measured": yagi_measured,
    "3-element Yagi forward gain": yagi_zero_order,
    "first-resonance length of centre-fed dipole, full": thin_resonance,
    "resonant resistance of centre-fed": thin_resonance,
    "resonant half-wave length, handbook": handbook_length,
    "resonant length of straight": wire_resonance,
    "off-centre feed": off_centre,
    ".*at each band": each_band,
    "harmonic resonance of": harmonic_resonance,
    "short dipole .* long, input": short_wire,
    "loading inductance": loading,
    "input R of loaded": loading,
    "resonant-length ratio insulated": insulated,
    "coil-extended half-wave wire": coil_extended,
    "plain .* wire for comparison": plain_wire,
    "wire loss resistance": copper_resistance,
    "radiation efficiency of half-wave copper": copper_efficiency,
}


@pytest.mark.parametrize("row", rows("antenna"))
def test_antenna(row):
    if row["id"] in WRONG:
        pytest.skip(WRONG[row["id"]])
    check, = (c for words, c in CHECKS.items() if re.match(words, row["quantity"]))
    check(row)
