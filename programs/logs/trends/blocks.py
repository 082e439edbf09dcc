"""Two blocks of one client beside each other: sets per muscle, attendance, minutes, load, and what became of lifts."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import fmean
from typing import Any

from clients.models import Client, Place
from coachdesk import engine
from coachdesk.practice.one_trip import one_trip
from coachdesk.templatetags.desk import day_year
from programs.logs.models import MuscleWeek, SessionLog
from programs.logs.selectors.report_strength import StrengthLine, strengths_since
from programs.models import Block, PlannedSession
from programs.selectors import Evidence, evidence_of


@dataclass(frozen=True)
class BlockChoice:
    """A block with its days; `weeks` Mondays of it, from its first."""

    pk: int
    name: str
    program: str
    first: date
    weeks: int

    @property
    def last(self) -> date:
        return self.first + timedelta(days=7 * self.weeks - 1)

    @property
    def words(self) -> str:
        """'Base of Autumn block, from Mon 5 Oct 2026'."""
        return f"{self.name} of {self.program}, from {day_year(self.first)}"

    def counted(self, today: date) -> list[date]:
        """Mondays of its weeks that are over; of those begun while none is."""
        mondays = [self.first + timedelta(weeks=n) for n in range(self.weeks)]
        over = [monday for monday in mondays if monday + timedelta(days=6) < today]
        return over or [monday for monday in mondays if monday <= today]


@dataclass(frozen=True)
class BlockSide:
    """What one block came to. `sets`: fractional sets a week by muscle; means are None where nothing was noted."""

    choice: BlockChoice
    counted: int
    sets: dict[str, float]
    done: int
    due: int
    minutes: float | None
    rating: float | None
    load: float | None
    lifts: dict[str, StrengthLine]

    @property
    def percent_done(self) -> int | None:
        return round(100 * self.done / self.due) if self.due else None


@dataclass(frozen=True)
class BlocksPage:
    """The blocks to choose from, newest first, and the two chosen, the earlier first; None with fewer than two."""

    client: Client
    choices: tuple[BlockChoice, ...]
    sides: tuple[BlockSide, BlockSide] | None


def blocks_page(client: Client, *, today: date, one: str = "", other: str = "") -> BlocksPage:
    """Two blocks that have begun: those asked for, else the last two; seven queries."""
    choices = _choices(client, today)
    if len(choices) < 2:
        return BlocksPage(client, choices, None)
    asked = [found for typed in (one, other) for found in choices if str(found.pk) == typed]
    # The same one twice is no comparison: the last others stand in.
    pair = list(dict.fromkeys([*asked, *choices]))[:2]
    earlier, later = sorted(pair, key=lambda choice: (choice.first, choice.pk))
    return BlocksPage(client, choices, _sides(client, earlier, later, today))


def _choices(client: Client, today: date) -> tuple[BlockChoice, ...]:
    rows = Block.objects.filter(program__client=client, program__start_on__isnull=False)
    found = [
        BlockChoice(pk, name, program, start + timedelta(weeks=first_week - 1), weeks)
        for pk, name, first_week, weeks, program, start in rows.values_list(
            "pk", "name", "first_week", "weeks", "program__name", "program__start_on"
        )
        if start is not None
    ]
    begun = [choice for choice in found if choice.first <= today]
    return tuple(sorted(begun, key=lambda choice: (choice.first, choice.pk), reverse=True))


def _sides(client: Client, earlier: BlockChoice, later: BlockChoice, today: date) -> tuple[BlockSide, BlockSide]:
    places, *rows = one_trip(
        Place.objects.filter(practice=client.practice_id).values_list("pk", "name"),
        *(part for choice in (earlier, later) for part in _rows(client, choice, today)),
    )
    machines = {f"place:{pk}": name for pk, name in places}
    one, other = (
        _side(choice, rows[3 * n : 3 * n + 3], evidence_of(client, until=min(choice.last, today)), machines, today)
        for n, choice in enumerate((earlier, later))
    )
    return one, other


def _rows(client: Client, choice: BlockChoice, today: date) -> tuple[Any, ...]:
    days = (choice.first, min(choice.last, today))
    return (
        MuscleWeek.objects.filter(client=client.pk, monday__in=choice.counted(today)),
        SessionLog.objects.filter(client=client.pk, done_on__range=days).values_list(
            "planned_session", "status", "minutes", "rating"
        ),
        PlannedSession.objects.filter(block=choice.pk).values_list("pk", "week_no", "day", "block__first_week"),
    )


def _side(
    choice: BlockChoice, rows: Sequence[list[Any]], evidence: Sequence[Evidence], machines: Mapping[str, str],
    today: date,
) -> BlockSide:  # fmt: skip
    weeks, logs, planned = rows
    done = [row for row in logs if row[1] == SessionLog.Status.DONE]
    count = len(choice.counted(today))
    return BlockSide(
        choice, count, _sets(weeks, count), *_attendance(choice, planned, logs, today),
        _mean([row[2] for row in done]), _mean([row[3] for row in done]), _load(done, choice, today),
        {line.name: line for line in strengths_since(evidence, machines, choice.first)},
    )  # fmt: skip


def _sets(weeks: Sequence[MuscleWeek], count: int) -> dict[str, float]:
    sums: dict[str, float] = {}
    for row in weeks:
        sums[row.muscle] = sums.get(row.muscle, 0.0) + row.sets / 1000
    return {m.code: sums[m.code] / count for m in engine.MUSCLES if sums.get(m.code)}


def _attendance(
    choice: BlockChoice, planned: Sequence[tuple[int, int, int, int]], logs: Sequence[tuple[object, ...]], today: date
) -> tuple[int, int]:
    """(done, due); due are sessions with a log, and those whose day is over."""
    told = {row[0] for row in logs}
    did = {row[0] for row in logs if row[1] == SessionLog.Status.DONE}
    due = [
        pk
        for pk, week_no, day, first_week in planned
        if pk in told or choice.first + timedelta(days=7 * (week_no - first_week) + day) < today
    ]
    return sum(1 for pk in due if pk in did), len(due)


def _mean(values: Sequence[int | None]) -> float | None:
    known = [value for value in values if value is not None]
    return fmean(known) if known else None


def _load(
    done: Sequence[tuple[object, object, int | None, int | None]], choice: BlockChoice, today: date
) -> float | None:
    """Rating x minutes a week, of sessions that have both; None unless all have."""
    loads = [engine.session_load(rating, minutes) for _, _, minutes, rating in done if rating is not None and minutes]
    weeks = max(1, -(-(min(choice.last, today) - choice.first).days // 7))
    return sum(loads) / weeks if loads and len(loads) == len(done) else None
