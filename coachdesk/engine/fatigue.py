"""Fatigue over days: what a step adds to a muscle and how it fades."""

from __future__ import annotations

import math
from collections.abc import Sequence

from .constants import value
from .errors import instance, items, non_negative_float, number, whole
from .plans import ClientTraits
from .prescribed import PrescribedExercise, PrescribedStep
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
    return hours * (rules.half_life_careful if is_slow(client, rules) else 1.0)


def fatigue_on(impulses: Sequence[tuple[float, float, float]], at_hours: float) -> float:
    """Units left at `at_hours` of impulses (hours when, units, half-life in h); later ones are ignored."""
    return fatigue_series(impulses, [at_hours])[0]


def fatigue_series(impulses: Sequence[tuple[float, float, float]], hours: Sequence[float]) -> tuple[float, ...]:
    """Units left at each of `hours` of impulses (hours when, units, half-life in h).

    An impulse counts from its hour on. Sums of exponential decays: never negative, and towards nothing.
    """
    known = [_impulse_of(impulse) for impulse in items("impulses", impulses)]
    made = []
    for at in items("hours", hours):
        number("hours", at, 0, 1_000_000)
        made.append(sum(units * 0.5 ** ((at - when) / half) for when, units, half in known if when <= at))
    return tuple(made)


def _impulse_of(impulse: object) -> tuple[float, float, float]:
    triple = isinstance(impulse, (list, tuple)) and len(impulse) == 3
    when, units, half_life = items("impulse", impulse) if triple else (None, None, None)
    return (
        number("hours", when, 0, 1_000_000),
        non_negative_float("units", units),
        number("half-life", half_life, 0.1, 10_000),
    )


def exposure_factor(times_done: int, rules: Rules = DEFAULT) -> float:
    """How much more an exercise costs that was done so few times: 1.5 at first, the extra half as big each time.

    1 from the house rule's number of sessions on. A modelling choice.
    """
    whole("times done", times_done, 0, 1_000_000)
    instance("rules", rules, Rules)
    if times_done >= rules.exposure_sessions:
        return 1.0
    return 1.0 + rules.exposure_extra * 0.5**times_done


def exercise_fatigue(
    exercise: PrescribedExercise, client: ClientTraits, rules: Rules = DEFAULT, hours: Sequence[float] = (0, 24, 48)
) -> tuple[tuple[float, float], ...]:
    """(hours after, units left) of one exercise for a muscle that it trains directly, at the end and then later.

    Steps to failure decay with their own, longer half-life.
    """
    instance("exercise", exercise, PrescribedExercise)
    steps = [step for steps in exercise.sets for step in steps]
    impulses = [(0.0, step.impulse, half_life_hours(client, _is_failure(step), rules)) for step in steps]
    given = items("hours", hours)
    return tuple(zip((float(at) for at in given), fatigue_series(impulses, given), strict=True))


def _is_failure(step: PrescribedStep) -> bool:
    return step.to_failure or step.rir == 0


def next_hard_day(
    sessions: Sequence[tuple[int, float, float]], client: ClientTraits, rules: Rules = DEFAULT
) -> int | None:
    """The day from which a muscle's next hard session is within the house rule; None when none was hard.

    `sessions`: (day, units, sets to failure or with drops) of one muscle, any order; days count as in a plan.
    """
    days = []
    for one in items("sessions", sessions):
        day, units, failures = one if isinstance(one, (list, tuple)) and len(one) == 3 else (None, None, None)
        at = whole("day", day, -1_000_000, 1_000_000)
        if non_negative_float("units", units) >= hard_from(client, rules):
            days.append(at + needed_days(non_negative_float("sets to failure", failures), client, rules))
    return max(days, default=None)


def hard_from(client: ClientTraits, rules: Rules = DEFAULT) -> float:
    """Units from which a session is a high-fatigue session for a muscle."""
    return rules.high_fatigue_careful if is_slow(client, rules) else rules.high_fatigue


def needed_days(failure_sets: float, client: ClientTraits, rules: Rules = DEFAULT) -> int:
    """Calendar days to the next hard session after one with this many sets to failure or with drops."""
    number("sets to failure", failure_sets, 0, 10_000)
    long = is_slow(client, rules) or failure_sets >= rules.long_gap_failure_sets
    hours = rules.hours_apart_long if long else rules.hours_apart
    return int(-(-hours // 24))


def is_slow(client: ClientTraits, rules: Rules) -> bool:
    """Whether the client recovers by the slower rules: novices, and from the age of the house rule."""
    instance("client", client, ClientTraits)
    instance("rules", rules, Rules)
    return client.level == "novice" or client.is_older(rules.older_age)
