"""Load as a fraction of 1RM against repetitions to failure, both ways, for any endurance."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from itertools import pairwise

from .constants import value
from .equations import CHART, CURVE_NAMES, EQUATION_NAMES, EQUATIONS, chart_fraction
from .errors import MAX_LOAD, MAX_REPS, finite, non_negative_float, number, one_of, positive_float

_SLOPE = value("slope_below_one_rep")
_EDGE = value("curve_last_rep")
_BISECTIONS = 60


def _base_formula(curve: str) -> Callable[[float], float]:
    """phi on 1..15 reps at endurance 1, passing through (1, 1)."""
    if curve == "handbook":
        return chart_fraction
    own = EQUATIONS[curve]
    if abs(own(1.0) - 1) < 1e-12:
        return own
    at_two = own(2.0)
    return lambda r: own(r) if r >= 2 else 1 + (at_two - 1) * (r - 1)


class Curve:
    """phi (fraction for reps) and its inverse for one curve and one endurance; internal, unchecked."""

    def __init__(self, name: str, endurance: float) -> None:
        self.name, self.endurance = name, endurance
        self._base = _base_formula(name)
        self._edge = self._base(_EDGE)

    def phi(self, reps: float) -> float:
        """Fraction of 1RM for `reps` >= 0 to failure; above 1 below one rep."""
        if reps < 1:
            return 1 + _SLOPE * (1 - reps)
        base = 1 + (reps - 1) / self.endurance
        if base <= _EDGE:
            return self._base(base)
        return 1 / (1 + (1 / self._edge - 1) * base / _EDGE)

    def reps_left(self, fraction: float) -> float:
        """Reps to failure at `fraction` of the strength left; below 1, even negative, above it."""
        if fraction >= 1:
            return 1 - (fraction - 1) / _SLOPE
        if fraction < self._edge:
            base = _EDGE * (1 / fraction - 1) / (1 / self._edge - 1)
        else:
            base = self._inverse(fraction)
        return 1 + self.endurance * (base - 1)

    def _inverse(self, fraction: float) -> float:
        if self.name == "handbook":
            return _chart_reps(fraction)
        low, high = 1.0, _EDGE
        for _ in range(_BISECTIONS):  # every curve falls strictly, so halving always converges
            middle = (low + high) / 2
            if self._base(middle) > fraction:
                low = middle
            else:
                high = middle
        return (low + high) / 2


def _chart_reps(fraction: float) -> float:
    for (r0, f0), (r1, f1) in pairwise(CHART):
        if fraction >= f1:
            return r0 + (r1 - r0) * (f0 - fraction) / (f0 - f1)
    return _EDGE


@lru_cache(maxsize=256)
def curve_for(name: str, endurance: float) -> Curve:
    """The curve object for already checked names; one per curve and endurance."""
    return Curve(name, endurance)


def checked_curve(curve: object, endurance: object) -> Curve:
    """The curve object for outside input; endurance is a factor from 0.2 to 5."""
    name = one_of("curve", curve, CURVE_NAMES)
    return curve_for(name, number("endurance", endurance, 0.2, 5))


def fraction_for_reps(reps: float, *, curve: str = "handbook", endurance: float = 1.0) -> float:
    """Fraction of 1RM (load / 1RM) with which `reps` (above 0 to 1000) can just be done to failure.

    Exact inverse of `reps_for_fraction` from one rep up. Beyond 15 reps (x endurance) it is an
    extension, see `is_extension`. EngineError for anything else than a number in range.
    """
    made = checked_curve(curve, endurance)
    return made.phi(positive_float("reps", reps, MAX_REPS))


def reps_for_fraction(fraction: float, *, curve: str = "handbook", endurance: float = 1.0) -> float:
    """Reps to failure (a real number, never floored) when fresh at `fraction` of 1RM in (0, 1]."""
    made = checked_curve(curve, endurance)
    checked = positive_float("fraction of 1RM", fraction, 1)
    return finite("reps", made.reps_left(checked))


def is_extension(fraction: float, *, curve: str = "handbook", endurance: float = 1.0) -> bool:
    """Whether `fraction` lies below the last published row or 15 reps of the curve."""
    made = checked_curve(curve, endurance)
    return positive_float("fraction of 1RM", fraction, 1) < made.phi(1 + (_EDGE - 1) * made.endurance)


def one_rep_max(load: float, reps: float, *, rir: float = 0, equation: str = "epley", endurance: float = 1.0) -> float:
    """1RM in the unit of `load` from `reps` done with `rir` left; the equation's own formula at 2-15 reps.

    The load itself at one rep; the extension beyond 15. EngineError for bad input.
    """
    one_of("equation", equation, EQUATION_NAMES)
    made = checked_curve(equation, endurance)
    weight = positive_float("load", load, MAX_LOAD)
    total = positive_float("reps", reps, MAX_REPS) + non_negative_float("rir", rir, 100)
    return weight / made.phi(total)
