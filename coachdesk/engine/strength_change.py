"""How much stronger between two days, with its doubt, from two estimates of one maximum."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .errors import instance, number
from .strength_filter import Z90
from .strength_grid import normal
from .strength_values import Strength

# Of the errors of two estimates from one log (repetition capacity, RIR bias), the share that both have: chosen so that
# nine in ten true changes of simulated lifters over 3 to 12 weeks lie in the interval; tests/engine holds it.
_SHARED = 0.8
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


def strength_change(before: Strength, after: Strength) -> StrengthChange:
    """What became of a maximum between two estimates from one log.

    What both have wrong (capacity, RIR bias) cancels, so the doubt of the change is smaller than that of either
    estimate. Raises EngineError for anything but two estimates.
    """
    first, last = instance("strength before", before, Strength), instance("strength after", after, Strength)
    gap = math.log(last.mean_kg / first.mean_kg)
    one, other = first.sd_log, last.sd_log
    sd = math.sqrt(one * one + other * other - 2 * _SHARED * one * other)
    chance = normal(gap / sd) if sd else 0.5 + 0.5 * ((gap > 0) - (gap < 0))
    reach = Z90 * sd
    return StrengthChange(math.exp(gap), math.exp(gap - reach), math.exp(gap + reach), chance)
