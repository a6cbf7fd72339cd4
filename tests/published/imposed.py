"""Currents imposed on wires: the matrix of the field solver contracted with a known current.

The published closed forms hold for an assumed current (mostly a sinusoid). The solver's shape functions are sinusoids between
nodes, so such a current is represented exactly and its impedance (reaction) must come out exactly, whatever the solver would find
for the true current. All lengths here in wavelengths of `WAVE_M`, so that joints and heights are ordinary numbers of metres.
"""

from dataclasses import dataclass

import numpy as np

from optimizer.field.far import Pattern, point_moments
from optimizer.field.mesh import MeshSettings, build_mesh
from optimizer.field.solver import gather, own_impedance, slot_matrix, to_slots
from optimizer.physics.constants import C0_M_PER_S, TWO_PI
from optimizer.wires.model import Ground, Port, Wire

WAVE_M = 100.0
FREQ_HZ = C0_M_PER_S / WAVE_M
FREE = Ground(kind="none")
PERFECT = Ground(kind="perfect")
OWN = MeshSettings()
THIN = 1e-7  # radius in wavelengths that stands for a filament


@dataclass(frozen=True, kw_only=True, eq=False)
class Imposed:
    """Unknowns x (U, W), one column a wire's current; z (W, W) their reactions [ohm for the unit of current]."""

    mesh: object
    freq_hz: float
    ground: Ground
    x: np.ndarray
    z: np.ndarray
    own: np.ndarray  # (W, W) the wires' own impedance under these currents

    def pattern(self, weights=None) -> Pattern:
        """Pattern of the currents added with these weights, for the power that they take."""
        w = np.ones(self.z.shape[0]) if weights is None else np.asarray(weights)
        k = TWO_PI * self.freq_hz / C0_M_PER_S
        at, moments = point_moments(self.mesh, to_slots(self.mesh, self.x @ w), k)
        power = 0.5 * float(np.real(np.conj(w) @ self.z @ w))
        return Pattern(freq_hz=self.freq_hz, ground=self.ground, power_in_w=power, at_m=at, moments=moments)

    def gain_dbi(self, elevation, bearing, weights=None) -> float:
        return 10 * np.log10(float(self.pattern(weights).gain(elevation, bearing)))


def line(start, end, radius=THIN, name="w", wave_m=WAVE_M, **more) -> Wire:
    return polyline((start, end), radius=radius, name=name, wave_m=wave_m, **more)


def polyline(points, radius=THIN, name="w", wave_m=WAVE_M, **more) -> Wire:
    return Wire(name=name, points_m=tuple(tuple(float(c) * wave_m for c in p) for p in points), radius_m=radius * wave_m, **more)


def impose(wires, currents, ground=FREE, freq_hz=FREQ_HZ, kinks=None, settings=OWN) -> Imposed:
    """currents: for each wire a function of the distance along it [wavelengths]; kinks: where these have corners, by default mid-wire."""
    wave = C0_M_PER_S / freq_hz
    if kinks is None:
        kinks = [(n, 0.5 * w.length_m / wave) for n, w in enumerate(wires)]
    nodes = tuple(Port(name=f"n{i}", wire=wires[n].name, at_m=at * wave) for i, (n, at) in enumerate(kinks))
    mesh = build_mesh(
        tuple(wires), nodes, (), wavelength_m=wave, perfect_ground=ground.kind == "perfect", settings=settings
    )
    along = np.zeros((len(mesh.length_m), 2))
    for n in range(len(wires)):
        mine = mesh.wire == n
        ends = np.cumsum(mesh.length_m[mine])
        along[mine] = np.column_stack((ends - mesh.length_m[mine], ends)) / wave
    basis = to_slots(mesh, np.eye(mesh.unknowns)).real
    x = np.zeros((mesh.unknowns, len(wires)))
    for n, current in enumerate(currents):
        wanted = np.where(mesh.wire[:, None] == n, np.vectorize(current)(along), 0.0).ravel()
        x[:, n] = np.linalg.lstsq(basis, wanted, rcond=None)[0]
        assert np.abs(basis @ x[:, n] - wanted).max() < 1e-9, "the current breaks Kirchhoff's law at a node"
    freq = np.array([freq_hz])
    slots = slot_matrix(mesh, freq, ground)
    own = own_impedance(mesh, tuple(wires), freq)
    series = gather(mesh, np.zeros_like(slots), own)[0] if own is not None else np.zeros((mesh.unknowns,) * 2)
    return Imposed(
        mesh=mesh, freq_hz=freq_hz, ground=ground, x=x, z=x.T @ gather(mesh, slots)[0] @ x, own=x.T @ series @ x
    )


def standing(length):
    """sin k(l/2 - |z|) on a wire of `length`, s from its start, at unit maximum."""
    return lambda s: np.sin(TWO_PI * (0.5 * length - abs(s - 0.5 * length)))


def feed_current(length):
    return np.sin(np.pi * length)
