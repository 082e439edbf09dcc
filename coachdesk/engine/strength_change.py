"""How much stronger between two days of one log, with its doubt."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .errors import number
from .strength_filter import Z90
from .strength_grid import normal

# How much wider the doubt is told than the filter works it out, because people are not as it takes them to be: chosen
# so that nine in ten true changes of simulated lifters of many kinds lie in the interval; tests/engine holds it.
_WIDER = 1.4
# Chances from which a change is called by its name; below them it lies inside the doubt.
_ALMOST_CERTAIN, _PROBABLE = 0.95, 0.8


@dataclass(frozen=True)
class StrengthChange:
    """The 1RM after by the 1RM before (1.05: 5 % up), its 90 % interval, and the chance that it is above 1."""

    ratio: float
    low: float
    high: float
    chance: float

    def __post_init__(self) -> None:
        for name in ("ratio", "low", "high"):
            number(name, getattr(self, name), 0, 1e12)
        number("chance", self.chance, 0, 1)

    @property
    def verdict(self) -> str:
        """'up', 'probably up', 'inside the doubt', 'probably down' or 'down'."""
        for name, chance in (("up", self.chance), ("down", 1 - self.chance)):
            if chance >= _ALMOST_CERTAIN:
                return name
            if chance >= _PROBABLE:
                return f"probably {name}"
        return "inside the doubt"


def strength_change(gap: float, sd: float) -> StrengthChange:
    """What became of a maximum: `gap`, the log of the 1RM after by that before, with the sd of its doubt.

    Both come from one log by `StrengthLog.change`, where the start is told by all sets up to the end: two estimates
    that stood on two days may not be held against each other, because the later sets correct the earlier one too.
    """
    number("gap", gap, -20, 20)
    sd = _WIDER * number("sd", sd, 0, 20)
    chance = normal(gap / sd) if sd else 0.5 + 0.5 * ((gap > 0) - (gap < 0))
    reach = Z90 * sd
    return StrengthChange(math.exp(gap), math.exp(gap - reach), math.exp(gap + reach), chance)
