"""Currents on wires: one matrix a frequency, one column a port, loads closed afterwards.

`solve` groups the frequencies into bands of nearby ones, meshes the wires for each, fills the slot matrices (kernels),
gathers them into unknowns, adds the wires' own impedance per metre and solves for one volt at each port and load in
turn. Loads are then closed by a small linear system, so that changing them costs no new matrix.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache

import numpy as np

from ..errors import SolveError
from ..physics.constants import C0_M_PER_S, EPS0_F_PER_M, MU0_H_PER_M, TWO_PI
from ..wires.model import Ground, Load, Port, Wire
from . import halfspace, kernels
from .between import few_of, spread_to
from .conductor import coating_m_per_f, series_ohm_per_m
from .mesh import Mesh, MeshSettings, build_mesh

TABLE_STEP = 1.02  # ratio of the frequencies for which ground tables are made
BAND_SPREAD = 1.15  # frequencies within this ratio share a mesh


@dataclass(frozen=True, kw_only=True, eq=False)
class BandSolution:
    """One mesh, F nearby frequencies, P ports followed by loads.

    currents (F, U, P): unknowns for one volt at each port, the others shorted; y_s (F, P, P) short-circuit admittances;
    z_slots, at the frequencies filled_hz, is there only where it was asked to be kept.
    """

    freq_hz: np.ndarray
    mesh: Mesh
    currents: np.ndarray
    y_s: np.ndarray
    filled_hz: np.ndarray
    z_slots: np.ndarray | None = None


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

    def with_loads(self, loads: tuple[Load, ...]) -> FieldSolution:
        """The same wires with other elements at the same places: no new matrix."""
        if [(a.wire, a.at_m) for a in loads] != [(a.wire, a.at_m) for a in self.loads]:
            raise SolveError("loads may change their element, not their place")
        return FieldSolution(**{**{k: getattr(self, k) for k in self.__dataclass_fields__}, "loads": tuple(loads)})

    @property
    def known(self) -> tuple[Known, ...]:
        """What a later solve may reuse; empty unless solved with keep=True."""
        return tuple(
            Known(mesh=b.mesh, freq_hz=b.filled_hz, ground=self.ground, z_slots=b.z_slots)
            for b in self.bands if b.z_slots is not None
        )

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
    """Tables for the frequencies on common rows: (F, rows, W, 8), real and imaginary parts in turn, and the first row.

    In units of 1/k the tables depend on frequency only through the soil's permittivity, and smoothly; so they are made on a fixed
    ladder of frequencies and interpolated (error under 3e-5 of Q), and any frequency in a band shares the same few.
    """
    if ground.kind != "soil":
        return np.zeros((len(freq_hz), 4, halfspace.W_POINTS, 8)), 0
    k = TWO_PI * np.asarray(freq_hz) / C0_M_PER_S
    low, high = halfspace.octaves(float(k.min() * r_low_m), float(k.max() * r_high_m))
    return _tables(ground, tuple(np.asarray(freq_hz, float).tolist()), low, high), low * halfspace.R_PER_OCTAVE


@lru_cache(maxsize=8)  # the bands of one garden, solved again after every cut
def _tables(ground: Ground, freq_hz: tuple[float, ...], low: int, high: int) -> np.ndarray:
    """Read only, though not marked so: the compiler would take it for another kind of array."""
    place = np.log(freq_hz) / np.log(TABLE_STEP)
    below = np.floor(place).astype(int)
    steps = {n: halfspace.joined(complex(ground.soil.complex_permittivity(TABLE_STEP**n)), low, high) for n in {*below.tolist(), *(below + 1).tolist()}}
    share = (place - below)[:, None, None, None]
    out = (1.0 - share) * np.array([steps[n] for n in below.tolist()])
    out += share * np.array([steps[n + 1] for n in below.tolist()])
    return out.view(float)


def reach_m(mesh: Mesh) -> tuple[float, float]:
    """Least and greatest distance from a segment to any image."""
    ends = mesh.start_m + mesh.tangent * mesh.length_m[:, None]
    points = np.concatenate((mesh.start_m, ends))
    low = 2.0 * points[:, 2].min()
    wide = np.ptp(points[:, :2], axis=0)
    return max(low, 1e-3), float(np.hypot(np.linalg.norm(wide), 2.0 * points[:, 2].max()))


def _span_m(mesh: Mesh, ground: Ground) -> float:
    """Greatest distance that a field has to go."""
    points = np.concatenate((mesh.start_m, mesh.start_m + mesh.tangent * mesh.length_m[:, None]))
    return float(np.linalg.norm(np.ptp(points, axis=0))) if ground.kind == "none" else reach_m(mesh)[1]


_GROUNDS = {"none": kernels.FREE, "perfect": kernels.PERFECT, "soil": kernels.SOIL}


def slot_matrix(mesh: Mesh, freq_hz: np.ndarray, ground: Ground, known: Known | None = None) -> np.ndarray:
    """Interaction of all slots, complex (F, 2N, 2N) [ohm], without the wires' own impedance.

    known : a solved mesh at the same frequencies and ground; entries between segments that it has too are copied from it.
    """
    w = TWO_PI * freq_hz
    k = w / C0_M_PER_S
    tabs, first = ground_tables(ground, freq_hz, *reach_m(mesh))
    there = np.full(len(mesh.length_m), -1) if known is None else _same_segments(mesh, known.mesh)
    z = kernels.fill(
        mesh.start_m, mesh.tangent, mesh.length_m, mesh.radius_m, there < 0, k, float(np.mean(k)),
        _GROUNDS[ground.kind], tabs, first,
        1j * w * MU0_H_PER_M / (4 * np.pi), 1.0 / (1j * w * EPS0_F_PER_M * 4 * np.pi),
    )
    runs = _runs(there)
    for new_a, old_a in runs:
        for new_b, old_b in runs:
            z[:, new_a, new_b] = known.z_slots[:, old_a, old_b]
    return z


def _runs(there: np.ndarray) -> list[tuple[slice, slice]]:
    """Slots that are known, in runs that lie side by side in the new and in the old mesh: (new, old) slices."""
    here = np.flatnonzero(there >= 0)
    if not here.size:
        return []
    firsts = np.flatnonzero(np.r_[True, (np.diff(here) != 1) | (np.diff(there[here]) != 1)])
    counts = np.diff(np.r_[firsts, len(here)])
    return [(slice(2 * a, 2 * (a + n)), slice(2 * b, 2 * (b + n))) for a, b, n in zip(here[firsts], there[here[firsts]], counts)]


@dataclass(frozen=True, kw_only=True, eq=False)
class Known:
    """Slot matrices worth keeping: a mesh, its frequencies and ground, z_slots (F, 2N, 2N)."""

    mesh: Mesh
    freq_hz: np.ndarray
    ground: Ground
    z_slots: np.ndarray


def _same_segments(mesh: Mesh, old: Mesh) -> np.ndarray:
    """For each segment its number in the old mesh, -1 where it is not there: (N,)."""
    def keys(m):
        return [row.tobytes() for row in np.round(
            np.column_stack((m.start_m, m.start_m + m.tangent * m.length_m[:, None], m.radius_m)), 9) + 0.0]

    where = {key: n for n, key in enumerate(keys(old))}
    return np.array([where.get(key, -1) for key in keys(mesh)])


def gather(mesh: Mesh, z_slots: np.ndarray, own: np.ndarray | None = None) -> np.ndarray:
    """Slot matrix (F, 2N, 2N), with the segments' own blocks (F, N, 2, 2), to the unknowns' matrix (F, U, U)."""
    if own is None:
        own = np.zeros((len(z_slots), len(mesh.length_m), 2, 2), complex)
    out = np.empty((len(z_slots), mesh.unknowns, mesh.unknowns), complex)
    kernels.gather(z_slots, own, mesh.slots, mesh.signs, out)
    return out


def own_impedance(mesh: Mesh, wires: tuple[Wire, ...], freq_hz: np.ndarray) -> np.ndarray | None:
    """Diagonal 2x2 blocks of wire loss and coating, complex (F, N, 2, 2) [ohm]; None where all is ideal.

    The loss goes with the current, the coating with its slope (the charge): products of the two basis functions of a segment, integrated over it.
    """
    per_m = np.array([series_ohm_per_m(w, freq_hz) for w in wires])  # (W, F)
    coats = np.array([coating_m_per_f(w) for w in wires])
    if not np.any(per_m) and not np.any(coats):
        return None
    k = TWO_PI * freq_hz.mean() / C0_M_PER_S
    kl = k * mesh.length_m
    small = kl < 1e-3
    safe = np.where(small, 1.0, kl)
    below = np.where(small, 1.0, 2.0 * np.sin(safe) ** 2)
    double, single = np.sin(2 * safe) / (2 * safe), np.sin(safe) / safe
    currents = _blocks(np.where(small, 1 / 3, (1 - double) / below), np.where(small, 1 / 6, (single - np.cos(safe)) / below)) * mesh.length_m[:, None, None]
    slopes = _blocks(np.where(small, 1.0, safe**2 * (1 + double) / below), np.where(small, -1.0, -(safe**2) * (np.cos(safe) + single) / below))
    charges = slopes * (coats[mesh.wire] / mesh.length_m)[:, None, None]
    lost = np.ascontiguousarray(per_m[mesh.wire].T)[:, :, None, None] * currents
    return lost + (1j / (TWO_PI * freq_hz))[:, None, None, None] * charges


def _blocks(same: np.ndarray, cross: np.ndarray) -> np.ndarray:
    """Symmetric 2x2 blocks (N, 2, 2)."""
    return np.stack([np.stack([same, cross], -1), np.stack([cross, same], -1)], -2)


def _solve_band(wires, ports, loads, ground, freq_hz, settings, known) -> BandSolution:
    mesh = build_mesh(
        wires, ports, loads, wavelength_m=C0_M_PER_S / freq_hz.max(),
        perfect_ground=ground.kind == "perfect", over_soil=ground.kind == "soil", settings=settings,
    )
    if mesh.unknowns == 0:
        raise SolveError("the wires leave no path for a current")
    few_hz = few_of(freq_hz, _span_m(mesh, ground))
    same = next((k for k in known if k.ground == ground and np.array_equal(k.freq_hz, few_hz)), None)
    z_slots = slot_matrix(mesh, few_hz, ground, same)
    z = spread_to(freq_hz, gather(mesh, z_slots, own_impedance(mesh, wires, few_hz)), few_hz)
    drive = drive_of(mesh)
    currents = np.linalg.solve(z, np.broadcast_to(drive, (len(freq_hz), *drive.shape)))
    return BandSolution(freq_hz=freq_hz, mesh=mesh, currents=currents, y_s=drive.T @ currents, filled_hz=few_hz, z_slots=z_slots)


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
    known: tuple[Known, ...] = (),
    keep: bool = False,
) -> FieldSolution:
    """Full-wave solution for a checked case (see optimizer.wires.checks).

    freq_hz : (F,) in any order [Hz]
    known : matrices of earlier solutions (`FieldSolution.known`, solved with keep=True) at the same frequencies and mesh
        settings; pairs of segments that have not moved are taken from there. Surrounding conductors are solved once that way.
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
        band = _solve_band(wires, ports, loads, ground, freq_hz[members], settings, known)
        bands.append(band if keep else replace(band, z_slots=None))
        for n, i in enumerate(members):
            where[i] = (b, n)
    return FieldSolution(
        freq_hz=freq_hz, wires=tuple(wires), ports=tuple(ports), loads=tuple(loads), ground=ground,
        bands=tuple(bands), where=tuple(where),
    )
