"""Everything that the trends page reads beside the running programme and one exercise's evidence: one query."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Q
from django.db.models.fields.json import KeyTextTransform

from clients.models import Client, Place
from coachdesk.practice.one_trip import keep, one_trip
from programs.logs.models import MuscleWeek, SessionLog
from programs.logs.trends.window import Window
from programs.models import (
    Absence,
    Block,
    ClientDate,
    Exercise,
    ExerciseMuscle,
    PlannedSession,
    Program,
    StrengthEstimate,
)
from programs.models.program import MOST_WEEKS
from programs.selectors.programs import running, weeks_of

# A set counts for the muscle in full, in thousandths.
DIRECT = 1000


class LogRow(NamedTuple):
    """A session that was done or skipped. `planned_minutes`: as its sheet said, None without a sheet."""

    pk: int
    key: UUID
    on: date
    status: str
    rating: int | None
    minutes: int | None
    planned: int | None
    planned_minutes: int | None

    @property
    def is_done(self) -> bool:
        return self.status == SessionLog.Status.DONE


class PlanRow(NamedTuple):
    """A planned session on its date."""

    pk: int
    on: date


@dataclass(frozen=True)
class Away:
    """Days away or ill, both ends included, in the calendar's words."""

    first: date
    last: date
    kind: str
    note: str


@dataclass(frozen=True)
class Mark:
    """A day to train towards."""

    on: date
    words: str


@dataclass(frozen=True)
class Gathered:
    """A client's rows of a window. `logs` end with today; `ahead` are those dated after it, oldest first.

    `tested`: the exercises with a test of their own from today on, whenever that is. `direct`: (exercise, muscle) of
    those with an estimate, where a set counts for the muscle in full.
    """

    muscle_weeks: list[MuscleWeek]
    estimates: list[StrengthEstimate]
    logs: list[LogRow]
    ahead: list[LogRow]
    plans: list[PlanRow]
    away: list[Away]
    marks: list[Mark]
    tested: tuple[int, ...]
    program: Program | None
    report_block: Block | None
    machines: dict[str, str]
    direct: frozenset[tuple[int, str]] = frozenset()


def gather(client: Client, window: Window) -> Gathered:
    """Weekly sums, estimates, sessions, plans and calendar of the window, and the programme of today; one query."""
    mine: dict[str, Any] = {"client": client.pk}
    sums, estimates, logs, plans, absences, dates, programs, blocks, places, names, direct = one_trip(
        MuscleWeek.objects.filter(**mine, monday__range=(window.first, window.last)),
        StrengthEstimate.objects.filter(**mine),
        _log_rows(client, window),
        _plan_rows(client, window),
        Absence.objects.filter(**mine, first_on__lte=window.last, last_on__gte=window.first),
        ClientDate.objects.filter(**mine, on__gte=window.first),
        Program.objects.filter(**mine, archived_on=None),
        Block.objects.filter(program__client=client.pk, program__archived_on=None),
        Place.objects.filter(practice=client.practice_id).values_list("pk", "name"),
        Exercise.objects.filter(
            Q(pk__in=StrengthEstimate.objects.filter(**mine).values("exercise"))
            | Q(pk__in=ClientDate.objects.filter(**mine).values("exercise"))
        ),
        ExerciseMuscle.objects.filter(
            exercise__in=StrengthEstimate.objects.filter(**mine).values("exercise"), share=DIRECT
        ).values_list("exercise", "muscle"),
    )  # fmt: skip
    known = {one.pk: one for one in names}
    for row in (*estimates, *(one for one in dates if one.exercise_id)):
        row.exercise = known[row.exercise_id]
    rows = sorted((_log(row) for row in logs), key=lambda row: (row.on, row.pk))
    return Gathered(
        sums, estimates, [row for row in rows if row.on <= window.today],
        [row for row in rows if row.on > window.today], _plans(plans, window),
        [Away(one.first_on, one.last_on, one.get_kind_display(), one.note) for one in absences],
        sorted((Mark(one.on, one.words) for one in dates if one.on <= window.last), key=lambda one: one.on),
        _tested(dates, window.today),
        _running(client, programs, blocks, window.today), _report_block(programs, window.today),
        {f"place:{pk}": name for pk, name in places}, frozenset(direct),
    )  # fmt: skip


def _log_rows(client: Client, window: Window) -> Any:
    ahead = Q(done_on__gt=window.today)
    rows = SessionLog.objects.filter(ahead | Q(done_on__range=(window.first, window.last)), client=client.pk)
    rows = rows.annotate(planned_minutes=KeyTextTransform("minutes", "sheet__body"))
    return rows.values_list("pk", "key", "done_on", "status", "rating", "minutes", "planned_session", "planned_minutes")


def _log(row: tuple[Any, ...]) -> LogRow:
    *known, minutes = row
    text = str(minutes)
    return LogRow._make((*known, int(text) if text.isascii() and text.isdigit() else None))


def _plan_rows(client: Client, window: Window) -> Any:
    began = (window.first - timedelta(weeks=MOST_WEEKS), window.last)
    rows = PlannedSession.objects.filter(block__program__client=client.pk, block__program__start_on__range=began)
    return rows.values_list("pk", "week_no", "day", "block__program__start_on", "block__program__archived_on")


def _plans(rows: Iterable[tuple[Any, ...]], window: Window) -> list[PlanRow]:
    """What was planned on the days of the window; a programme put away plans nothing from that day on."""
    made = []
    for pk, week_no, day, start, archived in rows:
        on = start + timedelta(days=7 * (week_no - 1) + day)
        if window.first <= on <= window.last and (archived is None or on < archived):
            made.append(PlanRow(pk, on))
    return sorted(made, key=lambda row: (row.on, row.pk))


def _tested(dates: Iterable[ClientDate], today: date) -> tuple[int, ...]:
    ahead = (one for one in dates if one.kind == ClientDate.Kind.TEST and one.on >= today)
    return tuple(one.exercise_id for one in ahead if one.exercise_id is not None)


def _report_block(programs: list[Program], today: date) -> Block | None:
    """The block that ended or runs last, of the programme begun last (blocks kept on them)."""
    begun = [(one.start_on, one.pk, one) for one in programs if one.start_on and one.start_on <= today]
    if not begun:
        return None
    start, _, program = max(begun, key=lambda row: row[:2])
    blocks = sorted(program.blocks.all(), key=lambda block: (block.first_week, block.pk))
    over = [block for block in blocks if start + timedelta(weeks=block.first_week - 1) <= today]
    return next(iter(over[-1:] or blocks[:1]), None)


def _running(client: Client, programs: list[Program], blocks: list[Block], today: date) -> Program | None:
    keep(programs, "blocks", blocks)
    for program in programs:
        program.client, program.practice = client, client.practice
        program.week_count = weeks_of(program.blocks.all())  # type: ignore[attr-defined]
    return running(programs, today).get(client.pk)
