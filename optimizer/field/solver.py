"""Currents on wires: one matrix a frequency, one column a port, loads closed afterwards.

`solve` groups the frequencies into bands of nearby ones, meshes the wires for each, fills the slot matrices (kernels),
gathers them into unknowns, adds the wires' own impedance per metre and solves for one volt at each port and load in
turn. Loads are then closed by a small linear system, so that changing them costs no new matrix.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from ..errors import SolveError
from ..physics.constants import C0_M_PER_S, EPS0_F_PER_M, MU0_H_PER_M, TWO_PI
from ..wires.model import Ground, Load, Port, Wire
from . import halfspace, kernels
from .conductor import series_ohm_per_m
from .mesh import Mesh, MeshSettings, build_mesh

SOLVER_VERSION = "1"
BAND_SPREAD = 1.15  # frequencies within this ratio share a mesh
GROUND_TREATMENT = "full half-space (Sommerfeld integrals)"


@dataclass(frozen=True, kw_only=True, eq=False)
class BandSolution:
    """One mesh, F nearby frequencies, P ports followed by loads.

    currents (F, U, P): unknowns for one volt at each port, the others shorted; y_s (F, P, P) short-circuit admittances.
    """

    freq_hz: np.ndarray
    mesh: Mesh
    currents: np.ndarray
    y_s: np.ndarray


@dataclass(frozen=True, kw_only=True, eq=False)
class FieldSolution:
    """The answer for one set of wires. Ports come first, then loads, in the order given."""

    freq_hz: np.ndarray
    wires: tuple[Wire, ...]
    ports: tuple[Port, ...]
    loads: tuple[Load, ...]
    ground: Ground
    bands: tuple[BandSolution, ...]
    where: tuple[tuple[int, int], ...] = field(repr=False)  # frequency index → (band, index in it)

    def with_loads(self, loads: tuple[Load, ...]) -> "FieldSolution":
        """The same wires with other elements at the same places: no new matrix."""
        if [(a.wire, a.at_m) for a in loads] != [(a.wire, a.at_m) for a in self.loads]:
            raise SolveError("loads may change their element, not their place")
        return FieldSolution(**{**{k: getattr(self, k) for k in self.__dataclass_fields__}, "loads": tuple(loads)})

    @cached_property
    def _closed(self):
        """Per frequency: port admittances (P,P) with loads closed, and the volts at every port and load (P+L, P)."""
        n_ports = len(self.ports)
        z_loads = np.array([load.element.impedance_ohm(self.freq_hz) for load in self.loads])
        out = []
        for i, (b, n) in enumerate(self.where):
            y = self.bands[b].y_s[n]
            volts = np.eye(len(y), n_ports, dtype=complex)
            if len(self.loads):
                z = z_loads[:, i]
                y_ll, y_lp = y[n_ports:, n_ports:], y[n_ports:, :n_ports]
                i_load = np.linalg.solve(np.eye(len(z)) + y_ll * z[None, :], y_lp)
                volts[n_ports:] = -z[:, None] * i_load
            out.append((y[:n_ports] @ volts, volts))
        return out

    @cached_property
    def z_ports_ohm(self) -> np.ndarray:
        """Open-circuit impedance matrix of the ports with the loads closed, (F, P, P) [ohm]."""
        return np.array([np.linalg.inv(y) for y, _ in self._closed])

    @property
    def z_ohm(self) -> np.ndarray:
        """Impedance at the first port, the others open, (F,) [ohm]."""
        return self.z_ports_ohm[:, 0, 0]

    def port_volts(self, i: int) -> np.ndarray:
        """Volts across every port and load for 1 A into the first port, other ports open: (P+L,)."""
        return self._closed[i][1] @ self.z_ports_ohm[i][:, 0]

    def unknowns(self, i: int) -> tuple[BandSolution, np.ndarray]:
        """The band solution and its unknown currents (U,) for 1 A into the first port at frequency i."""
        b, n = self.where[i]
        return self.bands[b], self.bands[b].currents[n] @ self.port_volts(i)

    def slot_currents(self, i: int) -> tuple[Mesh, np.ndarray]:
        """Current at every segment end, along the segment, (2N,) [A] for 1 A into the first port."""
        band, x = self.unknowns(i)
        return band.mesh, to_slots(band.mesh, x)

    @cached_property
    def _patterns(self) -> dict:
        return {}

    def pattern(self, i: int):
        """Radiation at frequency i (see optimizer.field.far.Pattern), computed once."""
        from .far import pattern_of

        if i not in self._patterns:
            self._patterns[i] = pattern_of(self, i)
        return self._patterns[i]

    def loss_shares(self, i: int) -> dict[str, float]:
        """Fractions of the power into the first port: wire, each load, sky, soil (the rest). Sums to one."""
        from .quality import shares_of

        return shares_of(self, i)


def to_slots(mesh: Mesh, x: np.ndarray) -> np.ndarray:
    """Unknowns (U,) or (U, K) to slot currents (2N,) or (2N, K)."""
    out = np.zeros((2 * len(mesh.length_m), *x.shape[1:]), complex)
    real = mesh.slots >= 0
    shape = (-1,) + (1,) * (x.ndim - 1)
    np.add.at(out, mesh.slots[real], (mesh.signs.reshape(shape) * np.repeat(x, 2, axis=0))[real])
    return out


def ground_tables(ground: Ground, freq_hz, r_low_m: float, r_high_m: float):
    """Tables for the frequencies on common rows: (F, rows, W, 8), real and imaginary parts in turn, and the first row."""
    if ground.kind != "soil":
        return np.zeros((len(freq_hz), 4, halfspace.W_POINTS, 8)), 0
    k = TWO_PI * np.asarray(freq_hz) / C0_M_PER_S
    low, high = float(k.min() * r_low_m), float(k.max() * r_high_m)
    tables = [halfspace.table(complex(ground.soil.complex_permittivity(f)), low, high) for f in freq_hz]
    return np.array([t for _, t in tables]).view(float), tables[0][0]


def reach_m(mesh: Mesh) -> tuple[float, float]:
    """Least and greatest distance from a segment to any image."""
    ends = mesh.start_m + mesh.tangent * mesh.length_m[:, None]
    points = np.concatenate((mesh.start_m, ends))
    low = 2.0 * points[:, 2].min()
    span = np.linalg.norm(points.max(axis=0) - points.min(axis=0))
    return max(low, 1e-3), span + 2.0 * points[:, 2].max()


_GROUNDS = {"none": kernels.FREE, "perfect": kernels.PERFECT, "soil": kernels.SOIL}


def slot_matrix(mesh: Mesh, freq_hz: np.ndarray, ground: Ground) -> np.ndarray:
    """Interaction of all slots, complex (F, 2N, 2N) [ohm], without the wires' own impedance."""
    w = TWO_PI * freq_hz
    k = w / C0_M_PER_S
    tabs, first = ground_tables(ground, freq_hz, *reach_m(mesh))
    return kernels.fill(
        mesh.start_m, mesh.tangent, mesh.length_m, mesh.radius_m, k, float(np.mean(k)), _GROUNDS[ground.kind],
        tabs, first, 1j * w * MU0_H_PER_M / (4 * np.pi), 1.0 / (1j * w * EPS0_F_PER_M * 4 * np.pi),
    )


def gather(mesh: Mesh, z_slots: np.ndarray) -> np.ndarray:
    """Slot matrix (F, 2N, 2N) to the matrix of the unknowns (F, U, U)."""
    return kernels.gather(z_slots, mesh.slots, mesh.signs)


def own_impedance(mesh: Mesh, wires: tuple[Wire, ...], freq_hz: np.ndarray) -> np.ndarray | None:
    """Diagonal 2x2 blocks of wire loss and coating, complex (F, N, 2, 2) [ohm]; None where all is ideal."""
    per_m = np.array([series_ohm_per_m(w, freq_hz) for w in wires])  # (W, F)
    if not np.any(per_m):
        return None
    k = TWO_PI * freq_hz.mean() / C0_M_PER_S
    kl = k * mesh.length_m
    sin = np.sin(kl)
    small = kl < 1e-3
    safe = np.where(small, 1.0, kl)
    same = np.where(small, 1 / 3, (1 - np.sin(2 * safe) / (2 * safe)) / (2 * np.where(small, 1.0, sin) ** 2))
    cross = np.where(small, 1 / 6, (np.sin(safe) / safe - np.cos(safe)) / (2 * np.where(small, 1.0, sin) ** 2))
    block = np.stack([np.stack([same, cross], -1), np.stack([cross, same], -1)], -2) * mesh.length_m[:, None, None]
    return per_m[mesh.wire].T[:, :, None, None] * block


def _solve_band(wires, ports, loads, ground, freq_hz, settings) -> BandSolution:
    mesh = build_mesh(
        wires, ports, loads, wavelength_m=C0_M_PER_S / freq_hz.max(),
        perfect_ground=ground.kind == "perfect", settings=settings,
    )
    if mesh.unknowns == 0:
        raise SolveError("the wires leave no path for a current")
    z_slots = slot_matrix(mesh, freq_hz, ground)
    own = own_impedance(mesh, wires, freq_hz)
    if own is not None:
        n = np.arange(len(mesh.length_m))
        for p in range(2):
            for q in range(2):
                z_slots[:, 2 * n + p, 2 * n + q] += own[:, :, p, q]
    z = gather(mesh, z_slots)
    drive = drive_of(mesh)
    currents = np.linalg.solve(z, np.broadcast_to(drive, (len(freq_hz), *drive.shape)))
    return BandSolution(freq_hz=freq_hz, mesh=mesh, currents=currents, y_s=drive.T @ currents)


def drive_of(mesh: Mesh) -> np.ndarray:
    """Excitation (U, P): how much of each port's slot current an unknown carries."""
    hit = mesh.slots[:, None] == mesh.port_slots[None, :]
    weighted = hit * mesh.signs[:, None]
    return weighted[0::2] + weighted[1::2] + 0j


def solve(
    wires: tuple[Wire, ...],
    ports: tuple[Port, ...],
    loads: tuple[Load, ...],
    ground: Ground,
    freq_hz,
    *,
    settings: MeshSettings = MeshSettings(),
) -> FieldSolution:
    """Full-wave solution for a checked case (see optimizer.wires.checks).

    freq_hz : (F,) in any order [Hz]
    Raises SolveError where the wires carry no current at all or a port has no node.
    """
    freq_hz = np.asarray(freq_hz, float)
    order = np.argsort(freq_hz, kind="stable")
    groups, top = [], None
    for i in order:
        if top is None or freq_hz[i] > top * BAND_SPREAD:
            groups.append([])
            top = freq_hz[i]
        groups[-1].append(int(i))
    bands, where = [], [None] * len(freq_hz)
    for b, members in enumerate(groups):
        bands.append(_solve_band(wires, ports, loads, ground, freq_hz[members], settings))
        for n, i in enumerate(members):
            where[i] = (b, n)
    return FieldSolution(
        freq_hz=freq_hz, wires=tuple(wires), ports=tuple(ports), loads=tuple(loads), ground=ground,
        bands=tuple(bands), where=tuple(where),
    )
