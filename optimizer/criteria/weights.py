"""The one table of weights, and how they make the score.

Per wished segment      worth = reach x (base + efficiency x its worth + gain x its worth),  base + efficiency + gain = 1
Performance             mean of the worths, weighted by the wish list
Score                   100 x performance x (1 - thrift weight x (1 - thrift)) x (1 - handling weight x (1 - handling))
With a spread           the `quantile` of the scores of all gardens x (1 - ease weight x (1 - ease of trimming))

An operator who cannot match a band has nothing there, so reach multiplies everything else; on a band that
matches, half the worth is being there at all and the rest is being heard. Cost nudges between equals and is a
hard limit beyond the budget. A wire that must be let down for every change of band loses most of its handling: at home hardly anybody
goes out for that twice in an evening. The score of a design built and trimmed in many gardens is the one that three gardens of four
reach or pass. All of it is common practice, no source; change it here or per run.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..errors import Fault, FaultList, InputError


@dataclass(frozen=True, kw_only=True)
class Weights:
    """Shares of a band's worth, how much of the score thrift, handling and ease may take away, and which of the gardens' scores counts."""

    efficiency: float = 0.25
    gain: float = 0.25
    thrift: float = 0.10
    handling: float = 0.15
    ease: float = 0.05
    quantile: float = 0.25

    def __post_init__(self):
        faults = [Fault("weights", k, v, "0 to 1") for k, v in vars(self).items() if not 0.0 <= v <= 1.0]
        if self.efficiency + self.gain > 1.0:
            faults.append(Fault("weights", "efficiency + gain", self.efficiency + self.gain, "at most 1"))
        if faults:
            raise InputError(faults)

    @property
    def base(self) -> float:
        """Worth of being on the band at all."""
        return 1.0 - self.efficiency - self.gain


DEFAULT = Weights()


def read_weights(text: str) -> Weights:
    """Weights from words such as "efficiency=0.5 gain=0.25"; what is not named keeps its default. Raises InputError."""
    faults, given = FaultList("option"), {}
    for word in text.replace(",", " ").split():
        name, _, number = word.partition("=")
        try:
            given[name] = float(number)
        except ValueError:
            faults.add("--weights", word, "NAME=NUMBER, as in efficiency=0.5")
    return weights_of(given, faults, "--weights")


def weights_of(given: dict, faults: FaultList, field: str = "weights") -> Weights:
    """Weights from name → number; what is not named keeps its default. Raises InputError with every fault."""
    for name, number in given.items():
        if name not in vars(DEFAULT):
            faults.add(field, name, f"one of {', '.join(vars(DEFAULT))}")
        elif isinstance(number, bool) or not isinstance(number, (int, float)):
            faults.add(f"{field}.{name}", number, "a number from 0 to 1")
    faults.raise_if_any()
    return Weights(**given)
