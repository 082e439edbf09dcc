"""Fatigue over days: what a step adds to a muscle and how it fades."""

from __future__ import annotations

import math
from collections.abc import Sequence

from .constants import value
from .errors import instance, items, non_negative_float, number
from .plans import ClientTraits
from .rules import DEFAULT, Rules

_CAP = value("cost_cap")
_RESERVE = value("reserve_reps")
# a fresh straight set to failure at 10RM: 75 % of 1RM down to 0.75 / 1.05
_COST_OF_10RM = 1 - 0.75 / (1 + value("slope_below_one_rep"))


def impulse_units(cost: float, rir: float) -> float:
    """Units of one step: half from the strength it cost (0-1, capped at 0.5), half from nearness to failure.

    1 unit is one fresh straight set to failure at 10RM.
    """
    number("cost", cost, 0, 1)
    non_negative_float("RIR", rir)
    return _impulse(cost, rir)


def _impulse(cost: float, rir: float) -> float:
    return 0.5 * min(cost, _CAP) / _COST_OF_10RM + 0.5 * math.exp(-rir / _RESERVE)


def half_life_hours(client: ClientTraits, to_failure: bool, rules: Rules = DEFAULT) -> float:
    """Hours after which half of an impulse is left."""
    instance("client", client, ClientTraits)
    instance("rules", rules, Rules)
    hours = rules.half_life_failure_h if to_failure else rules.half_life_h
    slow = client.level == "novice" or client.is_older(rules.older_age)
    return hours * (rules.half_life_careful if slow else 1.0)


def fatigue_on(impulses: Sequence[tuple[float, float, float]], at_hours: float) -> float:
    """Units left at `at_hours` of impulses (hours when, units, half-life in h); later ones are ignored."""
    number("hours", at_hours, 0, 1_000_000)
    total = 0.0
    for impulse in items("impulses", impulses):
        when, units, half_life = items("impulse", impulse) if _is_triple(impulse) else (None, None, None)
        number("hours", when, 0, 1_000_000)
        non_negative_float("units", units)
        number("half-life", half_life, 0.1, 10_000)
        if when <= at_hours:
            total += units * 0.5 ** ((at_hours - when) / half_life)
    return total


def _is_triple(impulse: object) -> bool:
    return isinstance(impulse, (list, tuple)) and len(impulse) == 3
