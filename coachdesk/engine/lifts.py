"""Strength goals: what a set counts for a lift, and the flag on too many of them in a week."""

from __future__ import annotations

from collections.abc import Sequence

from .because import Because
from .constants import source
from .errors import instance, items
from .flag_tools import SLACK, sets_label
from .flags import Edit, Flag, Remedy, Where
from .plans import ClientTraits, ExercisePlan, Key
from .prescribed import PrescribedExercise, PrescribedSession
from .rules import DEFAULT, Rules
from .scheme_edits import kept_order, set_count, with_sets
from .summary import SessionSummary


def strength_sets(exercise: PrescribedExercise, rules: Rules = DEFAULT) -> float:
    """Direct sets for strength: 1 a set with a step at 65 % of 1RM or more, drop set or cluster alike.

    A side is half. Steps of unknown share of the 1RM count as heavy enough. Threshold: common practice, no source.
    """
    instance("exercise", exercise, PrescribedExercise)
    instance("rules", rules, Rules)
    return sum(_counts(exercise, rules))


def _counts(exercise: PrescribedExercise, rules: Rules) -> list[float]:
    least = rules.strength_least - 1e-6
    return [
        (0.5 if steps[0].side in ("l", "r") else 1.0)
        if any(
            (step.fraction is None or step.fraction >= least) and step.rep_kind not in ("seconds", "metres")
            for step in steps
        )
        else 0.0
        for steps in exercise.sets
    ]


def lift_sets(sessions: Sequence[PrescribedSession], rules: Rules = DEFAULT) -> tuple[tuple[Key, float], ...]:
    """(exercise key, direct sets for strength) over the given sessions, in the order they come."""
    sums: dict[Key, float] = {}
    for session in items("sessions", sessions):
        for exercise in instance("session", session, PrescribedSession).exercises:
            key = exercise.exercise.key
            sums[key] = sums.get(key, 0.0) + strength_sets(exercise, rules)
    return tuple(sums.items())


Row = tuple[SessionSummary, ExercisePlan, PrescribedExercise]


Week = tuple[int, tuple[SessionSummary, ...], object]


def lift_flags(weeks: Sequence[Week], client: ClientTraits, rules: Rules) -> list[Flag]:
    """One flag a lift with more direct sets in a week than the band for strength, for clients with that goal."""
    if client.goal != "strength":
        return []
    high = rules.band_strength[1]
    groups: dict[Key, list[tuple[int, float, list[Row]]]] = {}
    for week_no, sessions, _ in weeks:
        for key, sets in lift_sets([one.prescribed for one in sessions], rules):
            if sets > high + SLACK:
                rows = [(one, plan, made) for one in sessions
                        for plan, made in zip(one.plan.exercises, one.prescribed.exercises, strict=True)
                        if plan.exercise.key == key]  # fmt: skip
                groups.setdefault(key, []).append((week_no, sets, rows))
    return [_flag(found, rules) for found in groups.values()]


def _flag(found: list[tuple[int, float, list[Row]]], rules: Rules) -> Flag:
    week_no, sets, rows = found[0]
    high = rules.band_strength[1]
    numbers = (("exercise", rows[0][1].exercise.name), ("sets", sets), ("week", week_no), ("high", high))
    edits = tuple(edit for _, _, week in found for edit in _fewer(week, high, rules))
    label = sets_label([one.plan for _, _, week in found for one, _, _ in week], edits)
    where = Where(week_no, rows[0][0].plan.key, rows[0][1].key, None)
    because = Because("lift_above_band", numbers)
    weeks = tuple(week for week, _, _ in found)
    basis = source("band_strength_high")
    return Flag("lift_above_band", "check", where, numbers, because, basis, (Remedy(label, edits),), weeks)


def _fewer(rows: list[Row], high: float, rules: Rules) -> tuple[Edit, ...]:
    counts = []
    for _, plan, made in rows:
        found, order = _counts(made, rules), kept_order(plan.scheme)
        counts.append([found[i] for i in order if i < len(found)])
    left = [len(one) for one in counts]
    while sum(sum(one[:n]) for one, n in zip(counts, left, strict=True)) > high + SLACK:
        i = max(range(len(left)), key=lambda i: (left[i] > 1, left[i]))
        left[i] -= 1
    edits = []
    for (_, plan, _), n in zip(rows, left, strict=True):
        if n == 0:
            edits.append(Edit("exercise", plan.key, "remove", None))
        elif n < set_count(plan.scheme):
            edits.append(Edit("exercise", plan.key, "scheme", with_sets(plan.scheme, n)))
    return tuple(edits)
