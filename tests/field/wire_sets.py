"""Sets of wires that the field tests share: small lots' antennas, invented."""

from dataclasses import dataclass, field

import numpy as np

from optimizer.field.mesh import MeshSettings
from optimizer.field.solver import solve
from optimizer.physics.elements import Coil, FixedImpedance, Trap
from optimizer.physics.soil import Soil
from optimizer.wires.model import Coating, Ground, Load, Port, Wire

FREE, PERFECT = Ground(kind="none"), Ground(kind="perfect")
COPPER = 5.80e7
OWN = MeshSettings()


def soil(eps=13.0, sigma=0.005):
    return Ground(kind="soil", soil=Soil(relative_permittivity=eps, conductivity_s_per_m=sigma))


AVERAGE, DRY, WET, SEA = soil(), soil(3.0, 1e-4), soil(20.0, 0.03), soil(80.0, 5.0)


@dataclass(frozen=True, kw_only=True)
class Set:
    wires: tuple
    ports: tuple
    loads: tuple = ()
    ground: Ground = AVERAGE
    mhz: tuple = field(default=(7.1,))

    def solve(self, **more):
        return solve(self.wires, self.ports, self.loads, self.ground, np.array(self.mhz) * 1e6, **more)

    def z(self, settings=OWN):
        return self.solve(settings=settings).z_ohm


def wire(name, *points, radius=1e-3, **more):
    return Wire(name=name, points_m=tuple(tuple(float(c) for c in p) for p in points), radius_m=radius, **more)


def port(on, at, name="p"):
    return Port(name=name, wire=on, at_m=at)


def coil(on, at, uh, q=200.0, pf=1.5):
    return Load(wire=on, at_m=at, element=Coil(inductance_h=uh * 1e-6, q=q, stray_f=pf * 1e-12))


def level_dipole(height=8.0, half=10.0, ground=AVERAGE, mhz=(7.1,), **more):
    return Set(wires=(wire("w", (0, -half, height), (0, half, height), **more),), ports=(port("w", half),), ground=ground, mhz=mhz)


def end_fed(ground=AVERAGE, mhz=(7.1,), loads=(), tail=0.0, low=0.5):
    """A bent half wave fed against a short counterpoise; with a tail beyond 10.1 m where asked."""
    main = wire("main", (0, 0, 2.6), (6, 2, 7), (13, 6, 3.2), (18.0 + tail, 8, 2.5), conductivity_s_per_m=COPPER)
    back = wire("back", (0, 0, 2.6), (-0.4, 0.2, low), (-2.0, 0.4, low), conductivity_s_per_m=COPPER)
    return Set(wires=(main, back), ports=(port("main", 0.0),), loads=loads, ground=ground, mhz=mhz)


def loaded_tail(ground=AVERAGE, mhz=(6.65, 14.2), q=300.0, pf=1.0, height=6.0, tail=2.0):
    """10.1 m, a coil of 34 microhenry and a tail, level, fed 3 m from the end of the long wire."""
    w = wire("w", (0, 0, height), (0, 10.1 + tail, height))
    return Set(wires=(w,), ports=(port("w", 3.0),), loads=(coil("w", 10.1, 34.0, q, pf),), ground=ground, mhz=mhz)


def radials(height=0.02, count=4, ground=AVERAGE, mhz=(7.1,), length=6.0):
    """A quarter-wave vertical on radials that lie in grass."""
    up = wire("up", (0, 0, height), (0, 0, height + 10.2), conductivity_s_per_m=COPPER)
    turn = np.arange(count) * 2 * np.pi / count + 0.3
    out = tuple(
        wire(f"r{n}", (0, 0, height), (length * np.cos(t), length * np.sin(t), height), radius=5e-4) for n, t in enumerate(turn)
    )
    return Set(wires=(up, *out), ports=(port("up", 0.0),), ground=ground, mhz=mhz)


def two_dipoles(ground=AVERAGE, mhz=(7.1,)):
    """Two sloping wires of unlike length and radius, a port in each."""
    a = wire("a", (0, -10, 5), (1, 0, 9), (0, 10.5, 4))
    b = wire("b", (4, -7, 6), (5, 8, 3), radius=3e-3)
    return Set(wires=(a, b), ports=(port("a", 9.0, "pa"), port("b", 6.0, "pb")), loads=(coil("b", 2.0, 8.0),), ground=ground, mhz=mhz)


BALANCE = {
    "level dipole": level_dipole(),
    "low dipole": level_dipole(height=1.5, mhz=(3.6, 7.1)),
    "dipole at 2 cm": level_dipole(height=0.02, half=6.0),
    "copper and coat": level_dipole(half=9.4, conductivity_s_per_m=COPPER, coating=Coating(thickness_m=8e-4, relative_permittivity=3.0)),
    "dry sand 28 MHz": level_dipole(height=5.0, half=2.5, ground=DRY, mhz=(28.5,)),
    "sea water 1.8 MHz": level_dipole(height=6.0, half=20.0, ground=SEA, mhz=(1.85,)),
    "sea water vertical": radials(height=0.1, ground=SEA, mhz=(14.1,)),
    "end-fed bent": end_fed(mhz=(7.1, 14.2, 28.5)),
    "end-fed over wet soil": end_fed(ground=WET, mhz=(7.1,)),
    "loaded tail": loaded_tail(),
    "radials in grass": radials(),
    "vertical on perfect ground": Set(
        wires=(wire("v", (0, 0, 0), (0, 0, 9.0), (2, 0, 9.5), conductivity_s_per_m=1e6),), ports=(port("v", 0.0),), ground=PERFECT,
        loads=(Load(wire="v", at_m=4.0, element=FixedImpedance(ohm=12 + 30j)),),
    ),
    "trap dipole": Set(
        wires=(wire("t", (-10, 0, 7), (0, 0, 9), (10, 0, 7), conductivity_s_per_m=COPPER),), ports=(port("t", np.hypot(10, 2)),),
        loads=tuple(Load(wire="t", at_m=at, element=Trap(inductance_h=6e-6, capacitance_f=20e-12, q=150)) for at in (5.1, 15.3)),
        mhz=(7.1, 14.2),
    ),
    "two dipoles": two_dipoles(mhz=(7.1, 21.2)),
    "dipole in free space": level_dipole(height=0.0, ground=FREE, mhz=(7.1, 50.2), conductivity_s_per_m=COPPER),
    "dipole at 54 MHz": level_dipole(height=3.0, half=1.4, mhz=(54.0,)),
}
