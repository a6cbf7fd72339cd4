"""The circuit behind a solved port: milliseconds a frequency when a part is changed and no field is solved again.

    OMP_NUM_THREADS=1 python tests/bench/bench_parts.py

Alone and for the four frequencies of a batch. Beside each time stands a check of the answer: the shares and what is delivered sum to one.
"""

from __future__ import annotations

import numpy as np
from bench_field import BAND_HZ, PORT, SOIL, best_ms, wires

from optimizer.families.design import Feed
from optimizer.field.solver import solve
from optimizer.network.feedpoint import look
from optimizer.physics.elements import Coil, Trap
from optimizer.wires.model import Load

PLAIN = {"line": "cable_rg58", "line_length_m": 20.0}
FEEDS = {
    "line": Feed(**PLAIN),
    "line, transformer": Feed(**PLAIN, transformer="transformer_49_100w", impedance_ratio=49.0),
    "line, transformer, tuner": Feed(**PLAIN, transformer="transformer_9_100w", impedance_ratio=9.0, tuner="tuner_l_400w"),
    "line, tuner in the radio": Feed(**PLAIN, tuner="tuner_in_radio"),
}
COIL, TRAP = Coil(inductance_h=22e-6, q=200, stray_f=1.5e-12), Trap(inductance_h=6e-6, capacitance_f=22e-12, q=150)


def look_rows():
    for name, feed in FEEDS.items():
        for freq in (BAND_HZ[:1], BAND_HZ):
            z = 300 + 200j + np.arange(len(freq))
            seen = look(freq, z, feed)
            gap = np.abs(sum(seen.shares.values()) + seen.delivered - 1.0).max()
            t = best_ms(lambda: look(freq, z, feed), 300) / len(freq)  # noqa: B023
            print(f"{name}, {len(freq)} at once: {t:.4f} ms a frequency; shares off one by {gap:.0e}")


def load_rows():
    for name, element in (("coil", COIL), ("trap", TRAP)):
        load = Load(wire="main", at_m=9.0, element=element)
        solution = solve(wires(), PORT, (Load(wire="main", at_m=9.0, element=Coil(inductance_h=1e-6)),), SOIL, BAND_HZ)
        t = best_ms(lambda: solution.with_loads((load,)).z_ohm, 100) / len(BAND_HZ)  # noqa: B023
        gap = np.abs(solution.with_loads((load,)).z_ohm - solve(wires(), PORT, (load,), SOIL, BAND_HZ).z_ohm).max()
        print(f"another {name}, {len(BAND_HZ)} at once: {t:.4f} ms a frequency; against a fresh solve {gap:.0e} ohm")


if __name__ == "__main__":
    look_rows()
    load_rows()
