"""The lattice of repetition capacities and RIR biases that the strength filter weighs against each other."""

from __future__ import annotations

import math
from functools import lru_cache

from .curves import curve_for

# repetition capacity over the assumed one, as a logarithm: 0.54 to 2.4 times
STEP = 0.125
RATIOS = tuple(STEP * j for j in range(-5, 8))
BIASES = (-2.0, -1.0, 0.0, 1.0, 2.0)
SIZE = len(RATIOS) * len(BIASES)
_LEAST, _MOST = 0.2, 5.0

Table = tuple[tuple[float, ...], tuple[float, ...]]


def left_in_reserve(rir: float, bias: float, sure: bool = False) -> float:
    """Reps really left for a typed RIR under one bias; `sure`: a 0 was the end of a set planned to failure.

    A typed 1 or more means at least one. Who types too little says 0 with some left, too, and 1 both for one left and
    for 1 + bias left: the middle is taken.
    """
    more = max(0.0, bias)
    if rir < 1:
        least = 0.0 if sure else more / 2
        return least + rir * (left_in_reserve(1.0, bias) - least)
    return max(1.0, rir + bias - more * max(0.0, 2.0 - rir) / 2)


@lru_cache(maxsize=4096)
def readings(curve: str, endurance: float, reps: float, rir: float, sure: bool) -> Table:
    """log(1 / fraction) of a set of `reps` with `rir` typed for every cell; how much a rep moves it by capacity."""
    left = [left_in_reserve(rir, bias, sure) for bias in BIASES]
    middle = reps + left_in_reserve(rir, 0.0)
    logs, slopes = [], []
    for ratio in RATIOS:
        phi = curve_for(curve, min(_MOST, max(_LEAST, endurance * math.exp(ratio)))).phi
        logs += [-math.log(phi(reps + more)) for more in left]
        # over four reps: the chart's single steps are uneven
        low, high = max(0.0, middle - 2), middle + 2
        slopes.append(math.log(phi(low) / phi(high)) / (high - low))
    return tuple(logs), tuple(slopes)


def normal(z: float) -> float:
    """The normal distribution function."""
    return 0.5 * (1 + math.erf(z / math.sqrt(2)))


@lru_cache(maxsize=256)
def log_prior(center: float, sd: float, values: tuple[float, ...]) -> tuple[float, ...]:
    """Log weights of a normal belief on the lattice, with a tail that no log can rule out."""
    return tuple(math.log(math.exp(-0.5 * ((value - center) / sd) ** 2) + 0.002) for value in values)


def posterior(prior: tuple[float, ...], evidence: list[float] | None) -> list[float]:
    """Probabilities from log weights and log likelihoods (None: nothing speaks)."""
    raw = [a + b for a, b in zip(prior, evidence, strict=True)] if evidence else list(prior)
    top = max(raw)
    made = [math.exp(max(-700.0, one - top)) for one in raw]
    total = sum(made)
    return [one / total for one in made]


def moments(weights: list[float], values: list[float] | tuple[float, ...]) -> tuple[float, float]:
    """Mean and variance of weighted values."""
    mean = sum(w * v for w, v in zip(weights, values, strict=True))
    return mean, sum(w * (v - mean) ** 2 for w, v in zip(weights, values, strict=True))


def at(log_ratio: float, bias: float, values: list[float]) -> float:
    """A lattice read at one capacity and one bias, linear between its points."""
    i, part = _between(log_ratio, RATIOS)
    j, rest = _between(bias, BIASES)
    n = len(BIASES)

    def along(row: int) -> float:
        return (1 - rest) * values[row * n + j] + rest * values[row * n + j + 1]

    return (1 - part) * along(i) + part * along(i + 1)


def _between(place: float, values: tuple[float, ...]) -> tuple[int, float]:
    step = values[1] - values[0]
    where = min(max(0.0, (place - values[0]) / step), len(values) - 1)
    i = min(int(where), len(values) - 2)
    return i, where - i
