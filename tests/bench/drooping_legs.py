"""Resonance and resistance of a dipole against the droop of its legs, for optimizer/docs/trimming.md. Prints its numbers.

    OMP_NUM_THREADS=1 python tests/bench/drooping_legs.py
"""

import math

import numpy as np
from scipy.optimize import brentq

from optimizer.field.solver import solve
from optimizer.field.sweep import curve
from optimizer.physics.soil import Soil
from optimizer.wires.model import Coating, Ground, Port, Wire

LEG_M = 10.2
PVC = Coating(thickness_m=0.7e-3, relative_permittivity=3.5)
AVERAGE = Ground(kind="soil", soil=Soil(relative_permittivity=13.0, conductivity_s_per_m=0.005))


def resonance(drop_deg, apex_m, ground, coating=None):
    """(MHz, ohm) at the zero of the reactance."""
    run, fall = LEG_M * math.cos(math.radians(drop_deg)), LEG_M * math.sin(math.radians(drop_deg))
    points = ((-run, 0, apex_m - fall), (0, 0, apex_m), (run, 0, apex_m - fall))
    wire = Wire(name="w", points_m=points, radius_m=0.8e-3, coating=coating)
    freq = np.linspace(6.6e6, 7.55e6, 7)
    z = solve((wire,), (Port(name="feed", wire="w", at_m=LEG_M),), (), ground, freq).z_ohm
    at = brentq(lambda f: curve(freq, z, [f])[0].imag, freq[0], freq[-1])
    return at / 1e6, curve(freq, z, [at])[0].real


def main():
    clear = Ground(kind="none")
    print("free space, bare wire:")
    flat, _ = resonance(0, 30, clear)
    for drop in (0, 15, 30, 45):
        f, r = resonance(drop, 30, clear)
        print(f"  {drop:2d} deg: {f:.3f} MHz ({100 * (f / flat - 1):+.2f} %), {r:.0f} ohm")
    print("apex 10 m over average soil, PVC wire:")
    flat, _ = resonance(0, 10, AVERAGE, PVC)
    for drop in (0, 15, 30, 43):
        f, r = resonance(drop, 10, AVERAGE, PVC)
        ends = 10 - LEG_M * math.sin(math.radians(drop))
        print(f"  {drop:2d} deg, ends at {ends:.1f} m: {f:.3f} MHz ({100 * (f / flat - 1):+.2f} %), {r:.0f} ohm")
    print("ends of the 43 degree one lower still:")
    for low in (1.5, 0.5, 0.2, 0.1):
        f, r = resonance(43, low + LEG_M * math.sin(math.radians(43)), AVERAGE, PVC)
        print(f"  ends at {low:.1f} m: {f:.3f} MHz ({100 * (f / flat - 1):+.2f} %), {r:.0f} ohm")


if __name__ == "__main__":
    main()
