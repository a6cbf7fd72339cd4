"""Field solver: milliseconds, and the ratio to one complex LU solve of the same size in the same run.

    OMP_NUM_THREADS=1 python tests/bench/bench_field.py

Fixed inputs: a bent wire with its counterpoise over average soil, four frequencies across the 20 m band, the mesh forced
to about 100 and 200 segments. Beside each time stands a check of the answer, so that speed is not bought with accuracy.
"""

from __future__ import annotations

import platform
import subprocess
import sys
import time
from unittest.mock import patch

import numba
import numpy as np
import scipy
from scipy.linalg import lu_factor, lu_solve

from optimizer.field import halfspace, solver
from optimizer.field.mesh import MeshSettings, build_mesh
from optimizer.field.quality import power_balance_error
from optimizer.field.solver import gather, slot_matrix, solve
from optimizer.field.sweep import curve
from optimizer.physics.elements import Coil
from optimizer.physics.soil import Soil
from optimizer.wires.model import Ground, Load, Port, Wire

SOIL = Ground(kind="soil", soil=Soil(relative_permittivity=13.0, conductivity_s_per_m=0.005))
FREE = Ground(kind="none")
BAND_HZ = np.linspace(14.0e6, 14.35e6, 4)
PORT = (Port(name="feed", wire="main", at_m=0.0),)


def wires(end=(17.0, 5.0, 3.2), extra=()):
    return (
        Wire(name="return", points_m=((-1.0, 0.0, 2.6), (0.0, 0.0, 2.6)), radius_m=0.0006, role="counterpoise"),
        Wire(name="main", points_m=((0.0, 0.0, 2.6), (6.0, 2.0, 7.0), end), radius_m=0.0006, conductivity_s_per_m=5.8e7),
        *extra,
    )


SURROUNDINGS = (
    Wire(name="fence", points_m=((-5.0, 8.0, 1.2), (20.0, 8.0, 1.2)), radius_m=0.001),
    Wire(name="gutter", points_m=((-5.0, -4.0, 3.0), (20.0, -4.0, 3.0)), radius_m=0.03),
)


def best_ms(call, repeat=12) -> float:
    times = []
    for _ in range(repeat):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return 1e3 * min(times)


def lu_ms(n: int) -> float:
    rng = np.random.default_rng(1)
    a = rng.normal(size=(n, n)) + 1j * rng.normal(size=(n, n)) + n * np.eye(n)
    b = np.ones(n, complex)
    return best_ms(lambda: lu_solve(lu_factor(a, check_finite=False), b, check_finite=False), 40)


def matrix_rows():
    for per_wavelength in (88.0, 195.0):
        settings = MeshSettings(per_wavelength=per_wavelength)
        mesh = build_mesh(wires(), PORT, (), wavelength_m=299.792458 / 14.35, settings=settings)
        n = len(mesh.length_m)
        lu = lu_ms(n)
        whole = best_ms(lambda: solve(wires(), PORT, (), SOIL, BAND_HZ, settings=settings)) / len(BAND_HZ)
        fill = best_ms(lambda: slot_matrix(mesh, BAND_HZ, SOIL)) / len(BAND_HZ)
        free = best_ms(lambda: slot_matrix(mesh, BAND_HZ, FREE)) / len(BAND_HZ)
        got = best_ms(lambda: gather(mesh, slot_matrix(mesh, BAND_HZ[:1], FREE)))
        sol = solve(wires(), PORT, (), SOIL, BAND_HZ, settings=settings)
        print(f"{n} segments over soil, per frequency of four: all {whole:.2f} ms = {whole / lu:.1f} LU ({lu:.3f} ms); "
              f"fill {fill:.2f} ms, free space {free:.2f} ms, one frequency alone {got:.2f} ms; "
              f"power balance {power_balance_error(sol, 0):+.1e}")


def nine_row():
    nine = np.linspace(BAND_HZ[0], BAND_HZ[-1], 9)
    settings = MeshSettings(per_wavelength=88.0)

    def whole():
        return solve(wires(), PORT, (), SOIL, nine, settings=settings)

    few_ms, few = best_ms(whole) / len(nine), whole()
    with patch.object(solver, "few_of", lambda freq_hz, reach_m: freq_hz):
        every_ms, every = best_ms(whole) / len(nine), whole()
    print(f"per frequency of nine: {few_ms:.2f} ms, filled at {len(few.bands[0].filled_hz)} of them; at every one {every_ms:.2f} ms; "
          f"difference {np.abs(few.z_ohm / every.z_ohm - 1).max():.1e} of |Z|")


def table_row():
    for octave in range(-5, 5):
        halfspace._octave_kernels(octave)
    fresh = iter(np.linspace(1.0, 2.0, 10_000))

    def build():
        halfspace.table(complex(13, -3 * next(fresh)), 0.7, 12.0)

    _, q = halfspace.table(complex(13, -5), 0.7, 12.0)
    size = q.nbytes / 1e6
    print(f"ground table for a new soil and frequency (wires 1.2 to 8 m up, 20 m long, 14 MHz): {best_ms(build):.2f} ms, {size:.2f} MB")


def loads_row():
    coil = Load(wire="main", at_m=9.0, element=Coil(inductance_h=20e-6, q=200, stray_f=1.5e-12))
    other = Load(wire="main", at_m=9.0, element=Coil(inductance_h=22e-6, q=200, stray_f=1.5e-12))
    sol = solve(wires(), PORT, (coil,), SOIL, BAND_HZ)
    t = best_ms(lambda: sol.with_loads((other,)).z_ohm) / len(BAND_HZ)
    same = np.abs(sol.with_loads((other,)).z_ohm - solve(wires(), PORT, (other,), SOIL, BAND_HZ).z_ohm).max()
    print(f"another coil in the same place: {t:.3f} ms a frequency; against a fresh solve {same:.1e} ohm")


def reuse_row():
    kept = solve(wires(extra=SURROUNDINGS), PORT, (), SOIL, BAND_HZ, keep=True)
    moved = wires(end=(17.1, 5.0, 3.2), extra=SURROUNDINGS)
    fresh = best_ms(lambda: solve(moved, PORT, (), SOIL, BAND_HZ)) / len(BAND_HZ)
    again = best_ms(lambda: solve(moved, PORT, (), SOIL, BAND_HZ, known=kept.known)) / len(BAND_HZ)
    gap = np.abs(solve(moved, PORT, (), SOIL, BAND_HZ, known=kept.known).z_ohm - solve(moved, PORT, (), SOIL, BAND_HZ).z_ohm)
    print(f"one end trimmed beside a fence and a gutter: fresh {fresh:.2f} ms, reusing {again:.2f} ms a frequency; "
          f"difference {gap.max():.1e} ohm")


def curve_row():
    coil = Load(wire="main", at_m=9.0, element=Coil(inductance_h=34e-6, q=300, stray_f=1.5e-12))
    nodes = np.linspace(6.3e6, 6.6e6, 4)
    dense = np.linspace(6.3e6, 6.6e6, 61)
    truth = solve(wires(), PORT, (coil,), SOIL, dense).z_ohm
    got = curve(nodes, solve(wires(), PORT, (coil,), SOIL, nodes).z_ohm, dense)
    print(f"curve of a loaded tail from four solves over 300 kHz: worst error {np.max(np.abs(got - truth) / np.abs(truth)):.1e} of |Z|")


def first_run_row():
    code = (
        "import time; t = time.perf_counter();"
        "import sys; sys.path.insert(0, 'tests/bench'); import bench_field as b;"
        "from optimizer.field.near import fields; s = b.solve(b.wires(), b.PORT, (), b.SOIL, b.BAND_HZ[:1]);"
        "s.pattern(0).gain_max_dbi; fields(s, 0, [(0, 3, 1.8)]); b.power_balance_error(s, 0);"
        "print(f'{time.perf_counter() - t:.1f}')"
    )
    import os
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        env = {**os.environ, "NUMBA_CACHE_DIR": folder}
        times = [
            subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True, check=True).stdout.strip()
            for _ in range(2)
        ]
    print(f"first run after install, everything compiled: {times[0]} s; second run {times[1]} s")


if __name__ == "__main__":
    print(f"{platform.processor() or platform.machine()}, Python {platform.python_version()}, numpy {np.__version__}, "
          f"scipy {scipy.__version__}, numba {numba.__version__}")
    matrix_rows()
    nine_row()
    table_row()
    loads_row()
    reuse_row()
    curve_row()
    first_run_row()
