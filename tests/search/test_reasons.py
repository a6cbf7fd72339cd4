"""Words of why a kind of wire is not offered."""

import pytest

from optimizer.evaluate import Evaluation
from optimizer.search.reasons import reason_of


@pytest.mark.parametrize(("margin", "told"), [(-0.001, "0.01 m"), (-0.04, "0.04 m"), (-1.234, "1.24 m"), (-2.0, "2.00 m")])
def test_what_is_missed_is_rounded_up(margin, told):
    """Met once it is given what the words say; never "missed by 0.00"."""
    assert f"lot_m is missed by {told} by" in reason_of(Evaluation(family="dipole", values={}, margins={"lot_m": margin}))
