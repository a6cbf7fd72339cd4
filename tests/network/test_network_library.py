"""Lines, two-ports and the whole feed against scikit-rf, a general-purpose network library (S parameters, not chains)."""

import numpy as np
import pytest
import skrf
from skrf.media import DefinedGammaZ0

from optimizer.families.design import Feed
from optimizer.network.feedpoint import look
from optimizer.network.line import line_type
from optimizer.network.transformer import transformer
from optimizer.network.twoport import carried_back, cascade, ideal_transformer, series, shunt
from optimizer.parts.catalogue import keys

FREQ_HZ = np.linspace(3.5e6, 29e6, 9)
FREQUENCY = skrf.Frequency.from_f(FREQ_HZ, unit="hz")
LOADS = np.array([50, 100 + 50j, 12 - 30j, 2450, 3200 - 1500j, 800 + 2500j, 35, 60 + 5j, 1e4]) + 0j


def network(chain):
    return skrf.Network(frequency=FREQUENCY, s=skrf.network.a2s(np.array(chain), z0=50.0), z0=50.0)


def one_port(z_ohm):
    return skrf.Network(frequency=FREQUENCY, s=skrf.network.z2s(np.reshape(z_ohm, (-1, 1, 1)), z0=50.0), z0=50.0)


def seen(two_port, z_load):
    """Input impedance and delivered share by S parameters."""
    gamma_load = one_port(z_load).s[:, 0, 0]
    total = two_port**one_port(z_load)
    gamma_in = total.s[:, 0, 0]
    s = two_port.s
    into = np.abs(s[:, 1, 0] / (1 - s[:, 1, 1] * gamma_load)) ** 2 * (1 - np.abs(gamma_load) ** 2)
    return total.z[:, 0, 0], into / (1 - np.abs(gamma_in) ** 2)


@pytest.mark.parametrize("key", keys("cable_"))
def test_line_against_media(key):
    """A run of every cable: gamma and impedance ours, the two-port and its use by the library."""
    kind = line_type(key)
    media = DefinedGammaZ0(FREQUENCY, z0=kind.impedance_ohm(FREQ_HZ), gamma=kind.gamma_per_m(FREQ_HZ))
    line = media.line(17.3, "m")
    line.renormalize(50.0)
    z, share = seen(line, LOADS)
    ours_z, ours_share = carried_back(kind.chain(FREQ_HZ, 17.3), LOADS)
    np.testing.assert_allclose(ours_z, z, rtol=1e-6)
    np.testing.assert_allclose(ours_share, share, rtol=1e-6)


@pytest.mark.parametrize("key", [k for k in keys("transformer_") if "_1_" not in k])
def test_transformer_against_its_elements(key):
    """The transformer put together from the library's own elements, then through a load."""
    t = transformer(key)
    media = DefinedGammaZ0(FREQUENCY, z0=50.0, gamma=1j * 2 * np.pi * FREQ_HZ / 3e8)
    core = network(shunt(1.0 / t.magnetising_ohm(FREQ_HZ)))
    step = network(np.broadcast_to(ideal_transformer(t.turns_ratio), (len(FREQ_HZ), 2, 2)))
    built = media.shunt_capacitor(t.compensation_f) ** core ** media.inductor(t.leakage_h) ** step ** media.shunt_capacitor(t.winding_f)
    z, share = seen(built, LOADS)
    ours_z, ours_share = carried_back(t.chain(FREQ_HZ), LOADS)
    np.testing.assert_allclose(ours_z, z, rtol=1e-6)
    np.testing.assert_allclose(ours_share, share, rtol=1e-6)


def test_cascade_order():
    """A series resistor then a shunt one is not the same the other way round."""
    first, second = series(np.full(9, 30.0)), shunt(np.full(9, 0.01))
    for ours, theirs in ((cascade(first, second), network(first) ** network(second)), (cascade(second, first), network(second) ** network(first))):
        np.testing.assert_allclose(carried_back(ours, LOADS)[0], seen(theirs, LOADS)[0], rtol=1e-9)


def test_look_against_the_whole_chain():
    """Line and transformer in one, as `look` puts them together."""
    feed = Feed(line="cable_rg58", line_length_m=12.0, transformer="transformer_49_100w", impedance_ratio=49)
    found = look(FREQ_HZ, LOADS, feed)
    chain = network(line_type(feed.line).chain(FREQ_HZ, 12.0)) ** network(transformer(feed.transformer).chain(FREQ_HZ))
    z, share = seen(chain, LOADS)
    np.testing.assert_allclose(found.z_radio_ohm, z, rtol=1e-6)
    np.testing.assert_allclose(found.delivered, share, rtol=1e-6)
    np.testing.assert_allclose(found.swr_radio, (1 + np.abs((z - 50) / (z + 50))) / (1 - np.abs((z - 50) / (z + 50))), rtol=1e-6)
