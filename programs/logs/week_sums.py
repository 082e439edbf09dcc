"""What a week of set logs adds up to, per muscle and per exercise; the engine decides what a set counts."""

from collections.abc import Iterable
from datetime import date, timedelta

from coachdesk import engine
from programs.logs.mapping import by_set, done_step
from programs.logs.models import ExerciseWeek, MuscleWeek, SetLog
from programs.mapping import muscle_shares
from programs.models import Exercise

# The pages look back twelve weeks and this one.
RECENT_WEEKS = 13
Counts = dict[int, engine.Count]


def monday_of(day: date) -> date:
    """The Monday of the day's week."""
    return day - timedelta(days=day.weekday())


def exercise_counts(rows: Iterable[SetLog], rules: engine.Rules) -> Counts:
    """Hard sets per exercise id, summed over these set logs; left plus right is one set."""
    counts: Counts = {}
    for group in by_set(rows).values():
        one = engine.count_sets([[done_step(row) for row in group]], rules)
        was = counts.get(group[0].exercise_id, engine.Count(0.0, 0.0, 0.0))
        counts[group[0].exercise_id] = engine.Count(was.low + one.low, was.default + one.default, was.high + one.high)
    return counts


def volume_load(row: SetLog) -> int:
    """Load x implements x reps in thousandths of the row's unit; work by time or way, or without a load, is 0.

    Body-weight work counts by what was moved, as far as the body mass of that day was known.
    """
    if row.rep_kind != "reps" or not row.moved:
        return 0
    both = 2 if row.exercise.limbs == Exercise.Limbs.ONE and row.side == "b" else 1
    return row.moved * row.exercise.implements * row.reps * both


def weeks_from_sets(
    client_id: int, monday: date, rows: Iterable[SetLog], rules: engine.Rules = engine.DEFAULT,
    *, counts: Counts | None = None,
) -> tuple[list[MuscleWeek], list[ExerciseWeek]]:  # fmt: skip
    """Unsaved rows: one per muscle touched, in the engine's order of muscles; one per exercise done, by its id.

    `counts`: what these sets count for, where it is known already; it does not depend on loads.
    """
    rows = list(rows)
    counts = exercise_counts(rows, rules) if counts is None else counts
    exercises = _exercise_weeks(client_id, monday, rows, counts)
    return _muscle_weeks(
        client_id, monday, {row.exercise_id: row.exercise for row in rows}, counts, exercises
    ), exercises


def _exercise_weeks(client_id: int, monday: date, rows: list[SetLog], counts: Counts) -> list[ExerciseWeek]:
    sums = {pk: ExerciseWeek(client_id=client_id, monday=monday, exercise_id=pk) for pk in sorted(counts)}
    for row in rows:
        week = sums[row.exercise_id]
        week.reps += row.reps if row.rep_kind == "reps" else 0
        if row.unit == "kg":
            week.volume_kg += volume_load(row)
        else:
            week.volume_lb += volume_load(row)
    for pk, count in counts.items():
        sums[pk].sets = round(count.default * 1000)
    return list(sums.values())


def _muscle_weeks(
    client_id: int, monday: date, exercises: dict[int, Exercise], counts: Counts, weeks: list[ExerciseWeek]
) -> list[MuscleWeek]:
    volumes = {week.exercise_id: (week.volume_kg / 1000, week.volume_lb / 1000) for week in weeks}
    sums: dict[str, list[float]] = {}
    for pk, count in counts.items():
        for code, share in muscle_shares(exercises[pk]):
            parts = (count.default, count.low, count.high, *volumes[pk])
            was = sums.setdefault(code, [0.0] * 5)
            sums[code] = [a + share * b for a, b in zip(was, parts, strict=True)]
    order = [muscle.code for muscle in engine.MUSCLES]
    return [
        MuscleWeek(client_id=client_id, monday=monday, muscle=code, **_thousandths(sums[code]))
        for code in order
        if code in sums
    ]


def _thousandths(sums: list[float]) -> dict[str, int]:
    names = ("sets", "sets_low", "sets_high", "volume_kg", "volume_lb")
    return {name: round(1000 * value) for name, value in zip(names, sums, strict=True)}
