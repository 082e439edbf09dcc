"""A person's bias in typed RIR, from sets planned to failure beside sets with an answer at about the same load."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import fmean

from .constants import value
from .curves import checked_curve
from .strength_values import Observation

_SD = value("rir_bias_sd")
_DAYS = 21
_LOADS_ALIKE = 0.12  # log units
_PAIR_SD = 2.5  # reps: two counts, one answer, two days
_MOST_FAR = 5.0  # what a belief may hold


def bias_pairs(observations: Sequence[Observation], curve: str, endurance: float) -> list[float]:
    """Reps by which each set to failure went beyond what the typed sets about it promised, as bias of the answers.

    Beside a set planned to failure stand the sets of the same exercise within 21 days and 12 % of its load that were
    not: those that failed by chance among them belong to them, or luck would pass for honesty.
    """
    phi = checked_curve(curve, endurance).phi

    def slope(reps: float) -> float:
        return math.log(phi(max(0.0, reps - 2)) / phi(reps + 2)) / (reps + 2 - max(0.0, reps - 2))

    def reads(o: Observation) -> float:
        return math.log(o.load_kg / o.strength_before / phi(o.reps + (o.rir or 0.0)))

    usable = [o for o in observations if not o.lower_bound and not o.test and o.rir is not None]
    answered = [o for o in usable if not o.to_failure]
    found = []
    for failed in usable:
        if not failed.to_failure:
            continue
        about = [
            o
            for o in answered
            if abs((o.on - failed.on).days) <= _DAYS and abs(math.log(o.load_kg / failed.load_kg)) <= _LOADS_ALIKE
        ]
        told = sum(1 for o in about if o.rir)
        if told < 2 or told < 0.5 * len(about):
            continue
        beyond = (reads(failed) - fmean(reads(o) for o in about)) / slope(failed.reps)
        found.append(max(-_MOST_FAR, min(_MOST_FAR, beyond * len(about) / told)))
    return found


def settled_bias(pairs: Sequence[float]) -> tuple[float, float]:
    """(reps to add to a typed RIR, sd), shrunk to 0 by the spread between people."""
    weight = len(pairs) / _PAIR_SD**2
    total = weight + 1 / _SD**2
    return weight * (fmean(pairs) if pairs else 0.0) / total, math.sqrt(1 / total)
