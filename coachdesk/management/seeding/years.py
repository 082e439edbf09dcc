"""Years before the weeks that are replayed: the same sessions again, lighter the longer ago, and without sheets.

A practice of a thousand clients is seeded for its size. Simulating every set of three years would take hours, so the
replayed weeks are carried back as a whole and look like a history that was read in: what was done, no sheet behind it.
What follows from them (weekly sums, evidence) is worked out by the desk's own functions, once for each weight of bar,
and copied with other days and keys.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from uuid import UUID, uuid5

from django.db import models

from clients.mapping import house_rules
from clients.models import Client
from coachdesk.management.seeding.bulk import Values, changed, places_of, pour, ready
from programs.logs.evidence import observations_from
from programs.logs.models import ExerciseWeek, MuscleWeek, SessionLog, SetLog
from programs.logs.week_sums import Counts, exercise_counts, monday_of, weeks_from_sets
from programs.models import StrengthObservation

# Loads were lower by a step for every so many times that the replayed weeks are carried back, to no less than half.
STEPS = {"kg": 5000, "lb": 10_000}
TIMES_A_STEP = 6
LOGGED = time(20, tzinfo=UTC)
TABLES = (SetLog, StrengthObservation, MuscleWeek, ExerciseWeek)
POURED = (SessionLog, *TABLES)

Poured = dict[type[models.Model], list[Values]]


@dataclass
class Week:
    """One replayed week: its sessions with their sets in order, and what the sets count for."""

    done: list[tuple[SessionLog, list[SetLog]]] = field(default_factory=list)
    counts: Counts = field(default_factory=dict)

    @property
    def rows(self) -> list[SetLog]:
        return [row for _, rows in self.done for row in rows]

    @property
    def monday(self) -> date:
        return monday_of(self.done[0][0].done_on)


class Years:
    """One client's replayed weeks, to be carried back. Call inside `write`, once the replayed rows are inserted."""

    def __init__(self, client: Client, logs: Iterable[SessionLog], sets: Iterable[SetLog], space: UUID) -> None:
        self.client, self.space = client, space
        rules = house_rules(client)
        by_log: dict[int, list[SetLog]] = {}
        for row in sets:
            by_log.setdefault(row.session_log_id, []).append(row)
        self.weeks: dict[int, Week] = {}
        logs = sorted(logs, key=lambda log: log.done_on)
        self.first = monday_of(logs[0].done_on) if logs else None
        for log in logs:
            number = (monday_of(log.done_on) - monday_of(logs[0].done_on)).days // 7
            mine = sorted(by_log.get(log.pk, ()), key=lambda row: (row.position, row.set_no, row.side, row.step_no))
            self.weeks.setdefault(number, Week()).done.append((log, mine))
        for week in self.weeks.values():
            week.counts = exercise_counts(week.rows, rules)

    def sum_up(self) -> None:
        """Insert what the replayed weeks themselves add up to."""
        for week in self.weeks.values():
            for model, values in _sums(self.client, week, week.rows).items():
                pour(model, values)

    def carry(self, weeks: int) -> int:
        """Insert so many weeks before the first replayed one; gives how many sets that were."""
        length = max(self.weeks, default=0) + 1
        back = [(-(-n // length), n) for n in range(weeks, 0, -1)] if self.first else []
        found = [(times, times * length - n) for times, n in back]
        lighter = cache(lambda number, steps: _Lighter(self.client, self.weeks[number], steps))
        copies = [
            _Copy(lighter(number, -(-times // TIMES_A_STEP)), timedelta(weeks=times * length), self.space)
            for times, number in found
            if number in self.weeks
        ]
        pour(SessionLog, (row for one in copies for row in one.logs()))
        ids = dict(SessionLog.objects.filter(client=self.client, sheet=None).values_list("key", "pk"))
        rows: Poured = {model: [] for model in TABLES}
        for one in copies:
            one.rest(ids, rows)
        for model, values in rows.items():
            pour(model, values)
        return len(rows[SetLog])


class _Lighter:
    """One replayed week with so many steps less on the bar, and what follows from it, ready to be copied."""

    def __init__(self, client: Client, week: Week, steps: int) -> None:
        self.done = [log for log, _ in week.done]
        sets = [[_with_less(row, steps) for row in rows] for _, rows in week.done]
        self.logs = [ready(_session(client, log)) for log in self.done]
        self.sets = [[ready(row) for row in rows] for rows in sets]
        # What one set's key differs by from its session's.
        self.slots = [[row.key.int for row in rows] for _, rows in week.done]
        self.seen = [
            [ready(row) for row in observations_from(_session(client, log), rows)]
            for log, rows in zip(self.done, sets, strict=True)
        ]
        self.monday = week.monday
        self.sums = _sums(client, week, [row for rows in sets for row in rows])


def _sums(client: Client, week: Week, rows: list[SetLog]) -> Poured:
    """The week's sums, of these sets: its own, or the same with other loads."""
    muscles, exercises = weeks_from_sets(client.pk, week.monday, rows, counts=week.counts)
    return {MuscleWeek: [ready(row) for row in muscles], ExerciseWeek: [ready(row) for row in exercises]}


def _session(client: Client, log: SessionLog) -> SessionLog:
    return SessionLog(
        client=client, key=log.key, done_on=log.done_on, time_zone=log.time_zone, logged_at=log.logged_at,
        status=log.status, minutes=log.minutes, rating=log.rating, name=log.name,
        usual_place_id=log.usual_place_id,
    )  # fmt: skip


def _with_less(row: SetLog, steps: int) -> SetLog:
    """Not by the model's own making, which would cost more than everything else for millions of rows."""
    made = SetLog.__new__(SetLog)
    less = STEPS[row.unit] * steps
    lighter = {"load": _lighter(row.load, less), "planned_load": _lighter(row.planned_load, less)}
    made.__dict__ = {**row.__dict__, "id": None, **lighter}
    return made


def _lighter(load: int | None, less: int) -> int | None:
    """Assistance, work without a load and whatever would lose more than half stay as they were."""
    return load - less if load is not None and load >= 2 * less else load


class _Copy:
    """One week at its own time: the days and keys are its own, everything else is copied."""

    def __init__(self, week: _Lighter, back: timedelta, space: UUID) -> None:
        self.week, self.back = week, back
        self.keys = [uuid5(space, f"{log.key} {back.days}") for log in week.done]
        self.days = [log.done_on - back for log in week.done]

    def logs(self) -> Iterator[Values]:
        for row, key, day in zip(self.week.logs, self.keys, self.days, strict=True):
            yield changed(SessionLog, [row], key=key, done_on=day, logged_at=datetime.combine(day, LOGGED))[0]

    def rest(self, ids: dict[UUID, int], rows: Poured) -> None:
        """Everything that hangs on the sessions, which have their `ids` by key now."""
        week, key_at = self.week, places_of(SetLog)["key"]
        for n, (key, day) in enumerate(zip(self.keys, self.days, strict=True)):
            sets = changed(SetLog, week.sets[n], session_log_id=ids[key], done_on=day)
            for row, slot in zip(sets, week.slots[n], strict=True):
                row[key_at] = f"{key.int ^ slot:032x}"
            rows[SetLog] += sets
            rows[StrengthObservation] += changed(StrengthObservation, week.seen[n], on=day, source_uid=key)
        for model, values in week.sums.items():
            rows[model] += changed(model, values, monday=week.monday - self.back)
