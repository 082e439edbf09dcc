"""The published equations and the handbook chart between load and repetitions, as printed."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable

# Handbook table: Haff GG, Triplett NT (eds) 2016, 4th ed; row 11 from memory, the rest published.
CHART: tuple[tuple[float, float], ...] = (
    (1, 1.00), (2, 0.95), (3, 0.93), (4, 0.90), (5, 0.87), (6, 0.85), (7, 0.83),
    (8, 0.80), (9, 0.77), (10, 0.75), (11, 0.70), (12, 0.67), (15, 0.65),
)  # fmt: skip
_REPS = [row[0] for row in CHART]


def chart_fraction(reps: float) -> float:
    """Fraction of 1RM for 1..15 reps to failure, linear between the rows of the chart."""
    i = max(1, min(bisect_left(_REPS, reps), len(CHART) - 1))
    (r0, f0), (r1, f1) = CHART[i - 1], CHART[i]
    return f0 + (f1 - f0) * (reps - r0) / (r1 - r0)


# Each returns the fraction of 1RM for r reps to failure; sources are in the engine's README.
EQUATIONS: dict[str, Callable[[float], float]] = {
    "epley": lambda r: 1 / (1 + r / 30),
    "brzycki": lambda r: (37 - r) / 36,
    "lander": lambda r: (101.3 - 2.67123 * r) / 100,
    "lombardi": lambda r: r**-0.10,
    "mayhew": lambda r: (52.2 + 41.9 * math.exp(-0.055 * r)) / 100,
    "oconner": lambda r: 1 / (1 + 0.025 * r),
    "wathan": lambda r: (48.8 + 53.8 * math.exp(-0.075 * r)) / 100,
}

EQUATION_NAMES = tuple(EQUATIONS)
CURVE_NAMES = ("handbook", *EQUATION_NAMES)
