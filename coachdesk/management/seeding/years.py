"""Years before the weeks that are replayed: the same sessions again, lighter the longer ago, and without sheets.

A practice of a thousand clients is seeded for its size. Simulating every set of three years would take hours, so the
replayed weeks are carried back as a whole and look like a history that was read in: what was done, no sheet behind it.
What follows from them (weekly sums, evidence) is worked out by the desk's own functions.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime, time, timedelta
from uuid import UUID, uuid5

from clients.mapping import house_rules
from clients.models import Client
from coachdesk.management.seeding.bulk import insert, pour
from programs.logs.evidence import observations_from
from programs.logs.mapping import set_key
from programs.logs.models import ExerciseWeek, MuscleWeek, SessionLog, SetLog
from programs.logs.week_sums import Counts, exercise_counts, monday_of, weeks_from_sets
from programs.models import StrengthObservation

# Loads were lower by a step for every time that the replayed weeks are carried back, to no less than half.
STEPS = {"kg": 2500, "lb": 5000}
LOGGED = time(20, tzinfo=UTC)


@dataclass
class Week:
    """One replayed week: its sessions with their sets in order, and what the sets count for."""

    done: list[tuple[SessionLog, list[SetLog]]] = field(default_factory=list)
    counts: Counts = field(default_factory=dict)


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
            week.counts = exercise_counts([row for _, rows in week.done for row in rows], rules)

    def carry(self, weeks: int) -> int:
        """Insert so many weeks before the first replayed one; gives how many sets that were."""
        length, made = max(self.weeks, default=0) + 1, 0
        back = [(n, -(-n // length)) for n in range(weeks, 0, -1)] if self.first else []
        found = [(n, times, self.weeks.get(times * length - n)) for n, times in back]
        rows = [_Carried(self, week, times, timedelta(weeks=times * length)) for _, times, week in found if week]
        insert(log for one in rows for log in one.logs)
        for one in rows:
            made += one.pour()
        return made


class _Carried:
    """One replayed week as it was so many times earlier."""

    def __init__(self, years: Years, week: Week, times: int, back: timedelta) -> None:
        self.years, self.week, self.times, self.back = years, week, times, back
        self.logs = [self._log(log) for log, _ in week.done]

    def _log(self, log: SessionLog) -> SessionLog:
        on = log.done_on - self.back
        return SessionLog(
            client=self.years.client, key=uuid5(self.years.space, f"{log.key} {self.times}"), done_on=on,
            time_zone=log.time_zone, logged_at=datetime.combine(on, LOGGED), status=log.status, minutes=log.minutes,
            rating=log.rating, name=log.name, usual_place_id=log.usual_place_id,
        )  # fmt: skip

    def pour(self) -> int:
        sets, seen = [], []
        for log, (_, done) in zip(self.logs, self.week.done, strict=True):
            mine = [self._set(log, row) for row in done]
            sets += mine
            seen += observations_from(log, mine)
        pour(SetLog, sets)
        pour(StrengthObservation, seen)
        if sets:
            monday = monday_of(sets[0].done_on)
            muscles, exercises = weeks_from_sets(self.years.client.pk, monday, sets, counts=self.week.counts)
            pour(MuscleWeek, muscles)
            pour(ExerciseWeek, exercises)
        return len(sets)

    def _set(self, log: SessionLog, row: SetLog) -> SetLog:
        """Not by the model's own making, which would cost more than everything else for millions of rows."""
        made = SetLog.__new__(SetLog)
        less = STEPS[row.unit] * self.times
        made.__dict__ = {
            **row.__dict__, "id": None, "session_log_id": log.pk, "done_on": log.done_on,
            "key": set_key(log.key, f"{row.position}-{row.set_no}-{row.step_no}-{row.side}"),
            "load": _lighter(row.load, less), "planned_load": _lighter(row.planned_load, less),
        }  # fmt: skip
        return made


def _lighter(load: int | None, less: int) -> int | None:
    """Assistance, work without a load and whatever would lose more than half stay as they were."""
    return load - less if load is not None and load >= 2 * less else load
