"""Series of daily loads: weighted averages, monotony and strain."""

from __future__ import annotations

import math
from collections.abc import Sequence

from .errors import EngineError, items, number, whole

_MOST = 1e9


def _daily(loads: Sequence[float], least: int) -> list[float]:
    given = items("daily loads", loads, empty=False)
    if len(given) < least:
        raise EngineError("number of daily loads", len(given), f"at least {least}")
    return [number("daily load", load, 0, _MOST) for load in given]


def ewma(loads: Sequence[float], days: int) -> list[float]:
    """Exponentially weighted averages with lambda = 2 / (days + 1); the first value is the first load.

    Williams S et al 2017 Br J Sports Med 51:209. Same length and unit as `loads`.
    """
    share = 2 / (whole("days", days, 1, 3660) + 1)
    made: list[float] = []
    for load in _daily(loads, 1):
        made.append(load if not made else load * share + (1 - share) * made[-1])
    return made


def mean_and_sd(loads: list[float]) -> tuple[float, float]:
    """Mean and sample SD of at least two checked numbers."""
    mean = math.fsum(loads) / len(loads)
    variance = math.fsum((load - mean) ** 2 for load in loads) / (len(loads) - 1)
    return mean, math.sqrt(variance)


def monotony(daily_loads: Sequence[float]) -> float:
    """Mean / SD of daily loads, rest days as 0 (Foster C 1998 MSSE 30:1164-1168); sample SD.

    EngineError when the SD is 0: monotony is then undefined.
    """
    loads = _daily(daily_loads, 2)
    mean, sd = mean_and_sd(loads)
    if sd <= 1e-9 * max(mean, 1e-300):
        raise EngineError("SD of the daily loads", sd, "above 0: with equal days monotony is undefined")
    return mean / sd


def strain(daily_loads: Sequence[float]) -> float:
    """Sum of the daily loads x monotony (Foster 1998); EngineError when the SD is 0."""
    return math.fsum(_daily(daily_loads, 2)) * monotony(daily_loads)
