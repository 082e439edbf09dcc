"""What sets count for, and each muscle's week of sets and volume load."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from .errors import instance, items
from .loads import _KG
from .muscles import MUSCLES
from .prescribed import Count, PrescribedExercise, PrescribedSession, PrescribedStep
from .rules import DEFAULT, Rules

_TOLERANCE = 0.05


@dataclass(frozen=True)
class MuscleWeek:
    """A muscle's week: direct sets, indirect sets (uncut), fractional with low and high count, kg lifted."""

    direct: float
    indirect: float
    fractional: float
    low: float
    high: float
    volume_load_kg: float


def count_set(steps: Sequence[PrescribedStep], rules: Rules = DEFAULT) -> Count:
    """What one set counts for: 1 when its first bout ends within 3 RIR; + 0.5 a further hard drop, at most 3.

    Low: 1 a drop set. High: 1 a bout. A set whose effort is not known counts 1, between 0 and 1.
    Basis: Coleman 2022, Sodal 2023; a house rule.
    """
    instance("rules", rules, Rules)
    members = items("steps", steps, empty=False)
    for step in members:
        instance("step", step, PrescribedStep)
    return _count_set(members, rules)


def set_share(steps: Sequence[PrescribedStep]) -> float:
    """1, or 0.5 for a set done on one side only: half of a left-plus-right set."""
    return 0.5 if steps[0].side != "b" and all(step.side == steps[0].side for step in steps) else 1.0


def _count_set(steps: tuple[PrescribedStep, ...], rules: Rules) -> Count:
    if steps[-1].side != steps[0].side:  # side by side: each is half of the set
        sides = dict.fromkeys(step.side for step in steps)
        each = [_count_set(tuple(step for step in steps if step.side == side), rules) for side in sides]
        low, usual, high = (
            sum(row) / len(each) for row in zip(*((c.low, c.default, c.high) for c in each), strict=True)
        )
        return Count(low, usual, high)
    first = steps[0].effort_rir
    if first is None:
        return Count(0.0, 1.0, 1.0)
    if first > rules.hard_set_rir + _TOLERANCE:
        return Count(0.0, 0.0, 0.0)
    further = sum(1 for step in steps[1:] if _hard_drop(step, rules))
    return Count(1.0, max(1.0, min(rules.drop_most, 1 + rules.drop_adds * further)), 1.0 + further)


def _hard_drop(step: PrescribedStep, rules: Rules) -> bool:
    rir = step.effort_rir
    if rir is None or step.counted_reps < rules.drop_least_reps - _TOLERANCE:
        return False
    return rir <= rules.drop_rir + _TOLERANCE


def count_sets(sets: Sequence[Sequence[PrescribedStep]], rules: Rules = DEFAULT) -> Count:
    """The sum of `count_set`; left and right of one exercise together make one set."""
    low = default = high = 0.0
    instance("rules", rules, Rules)
    for steps in items("sets", sets):
        one = count_set(steps, rules)
        share = set_share(steps)
        low, default, high = low + share * one.low, default + share * one.default, high + share * one.high
    return Count(low, default, high)


def volume_load_kg(exercise: PrescribedExercise) -> float:
    """Load x implements x reps in kg, summed over known loads; both sides of one-limb work counted.

    Body-weight work counts by the load that is moved, as far as it is known.
    """
    traits = instance("exercise", exercise, PrescribedExercise).exercise
    total = 0.0
    for steps in exercise.sets:
        for step in steps:
            if step.load is None or step.rep_kind in ("seconds", "metres"):
                continue
            both = 2 if traits.limbs == "one" and step.side == "b" else 1
            moved = max(0, step.load) if step.system_load is None else step.system_load
            total += moved * _KG[step.unit] * traits.implements * step.counted_reps * both
    return total


def exercise_muscles(exercise: PrescribedExercise) -> dict[str, MuscleWeek]:
    """What one exercise adds to each muscle: direct at share 1, else indirect, fractional by share."""
    load = volume_load_kg(exercise)
    count = exercise.hard_sets
    made = {}
    for code, share in exercise.exercise.muscles:
        if share <= 0:
            continue
        direct = count.default if share >= 1 else 0.0
        indirect = count.default if share < 1 else 0.0
        fractional = share * count.default
        made[code] = MuscleWeek(direct, indirect, fractional, share * count.low, share * count.high, share * load)
    return made


def add_weeks(parts: Iterable[Iterable[tuple[str, MuscleWeek]]]) -> tuple[tuple[str, MuscleWeek], ...]:
    """Sums per muscle in the order of MUSCLES; muscles without any set are left out."""
    sums: dict[str, list[float]] = {}
    for part in parts:
        for code, week in part:
            row = sums.setdefault(code, [0.0] * 6)
            row[0] += week.direct
            row[1] += week.indirect
            row[2] += week.fractional
            row[3] += week.low
            row[4] += week.high
            row[5] += week.volume_load_kg
    return tuple((m.code, MuscleWeek(*sums[m.code])) for m in MUSCLES if m.code in sums)


def week_sets(sessions: Sequence[PrescribedSession]) -> tuple[tuple[str, MuscleWeek], ...]:
    """(muscle code, MuscleWeek) over the given sessions, in the order of MUSCLES."""
    given = items("sessions", sessions)
    for session in given:
        instance("session", session, PrescribedSession)
    return add_weeks(exercise_muscles(e).items() for session in given for e in session.exercises)
