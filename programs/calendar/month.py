"""The calendar's page: every day of a month or of a week with what is planned, what was done, and what stands there."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from django.db.models import Q

from clients.models import Client
from coachdesk.practice.models import Act
from programs.calendar.days import WEEK
from programs.models import Absence, ClientDate, Program
from programs.selectors import ProgramView, SessionView, program_view, weeks_of
from programs.selectors.editor import SEVERITY_ORDER, ShownFlag, shown_flags
from programs.selectors.history import latest_acts
from programs.selectors.prescription import in_week

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


@dataclass(frozen=True)
class Entry:
    """One session on a day. `view` is what is planned (None for one done without a plan), `log` what was logged.

    `state`: 'planned', 'today', 'done', 'skipped' or 'missed'. `elsewhere`: planned on another day than it was done.
    """

    name: str
    state: str
    view: SessionView | None = None
    log: Any = None
    planned_on: date | None = None

    @property
    def can_move(self) -> bool:
        return self.view is not None and self.log is None


@dataclass
class Day:
    """One day of the calendar."""

    on: date
    is_today: bool
    is_inside: bool
    entries: list[Entry] = field(default_factory=list)
    absences: list[Absence] = field(default_factory=list)
    dates: list[ClientDate] = field(default_factory=list)

    @property
    def is_empty(self) -> bool:
        return not (self.entries or self.absences or self.dates)


@dataclass(frozen=True)
class Week:
    """One row: seven days, Monday first, and the programmes' week numbers in it as (programme, number)."""

    monday: date
    days: tuple[Day, ...]
    numbers: tuple[tuple[Program, int], ...]


@dataclass(frozen=True)
class ProgramFlags:
    """The open flags of one programme in the weeks shown."""

    program: Program
    flags: list[ShownFlag]

    @property
    def urgent(self) -> list[ShownFlag]:
        """Stops and checks."""
        return [one for one in self.flags if one.severity != "note"]

    @property
    def notes(self) -> list[ShownFlag]:
        return [one for one in self.flags if one.severity == "note"]


@dataclass(frozen=True)
class Calendar:
    """Everything on the page. `earlier` and `later` are the days to look at next; `by` is 'month' or 'week'."""

    client: Client
    by: str
    at: date
    today: date
    weeks: tuple[Week, ...]
    programs: list[ProgramFlags]
    absences: list[Absence]
    dates: list[ClientDate]
    undo: Act | None
    redo: Act | None

    @property
    def first(self) -> date:
        return self.weeks[0].monday

    @property
    def last(self) -> date:
        return self.weeks[-1].days[-1].on

    @property
    def title(self) -> str:
        """'December 2026', or the week's days."""
        if self.by == "month":
            return f"{self.at:%B %Y}"
        return f"Week of {self.first:%a} {self.first.day} {self.first:%B %Y}"

    @property
    def earlier(self) -> date:
        return self.first - timedelta(days=WEEK) if self.by == "week" else self.at.replace(day=1) - timedelta(days=1)

    @property
    def later(self) -> date:
        if self.by == "week":
            return self.first + timedelta(days=WEEK)
        return (self.at.replace(day=1) + timedelta(days=32)).replace(day=1)

    @property
    def where(self) -> str:
        """The days shown as an address says them: '2026-12', or '2026-11-23' by week."""
        return self.at.isoformat() if self.by == "week" else f"{self.at:%Y-%m}"

    @property
    def missed(self) -> list[Entry]:
        return [one for week in self.weeks for day in week.days for one in day.entries if one.state == "missed"]

    @property
    def flag_count(self) -> int:
        return sum(len(one.flags) for one in self.programs)


def shown_days(by: str, at: date) -> tuple[date, date]:
    """The Monday and the Sunday between which a month or week is shown, whole weeks always."""
    first = at if by == "week" else at.replace(day=1)
    last = at if by == "week" else (first + timedelta(days=32)).replace(day=1) - timedelta(days=1)
    return first - timedelta(days=first.weekday()), last + timedelta(days=6 - last.weekday())


def calendar(client: Client, *, by: str, at: date, today: date) -> Calendar:
    """The month or week that holds `at`, as it is for the client on `today`."""
    first, last = shown_days(by, at)
    views = [program_view(program, client=client, on=today) for program in _programs(client, first, last)]
    absences = list(client.absences.filter(last_on__gte=first, first_on__lte=last).order_by("first_on", "id"))
    dates = list(client.dates.filter(on__range=(first, last)).select_related("exercise").order_by("on", "id"))
    days = [Day(on, on == today, by == "week" or on.month == at.month) for on in _each_day(first, last)]
    for day in days:
        day.absences = [one for one in absences if one.first_on <= day.on <= one.last_on]
        day.dates = [one for one in dates if one.on == day.on]
    _fill(days, views, _logs(client, views, first, last), today)
    weeks = tuple(
        Week(days[n].on, tuple(days[n : n + WEEK]), _numbers(views, days[n].on)) for n in range(0, len(days), WEEK)
    )
    subjects = [f"calendar:{client.pk}", *(f"program:{pk}" for pk in client.programs.values_list("pk", flat=True))]
    return Calendar(
        client,
        by,
        at,
        today,
        weeks,
        _flags(views, first, last),
        absences,
        dates,
        *latest_acts(client.practice_id, subjects),
    )


def _each_day(first: date, last: date) -> list[date]:
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


def _programs(client: Client, first: date, last: date) -> list[Program]:
    rows = client.programs.filter(archived_on=None, start_on__lte=last).select_related("practice", "client__place")
    found = []
    for row in rows.prefetch_related("blocks").order_by("start_on", "id"):
        if row.start_on and row.start_on + timedelta(weeks=weeks_of(row.blocks.all())) > first:
            row.client = client
            found.append(row)
    return found


def _logs(client: Client, views: Iterable[ProgramView], first: date, last: date) -> list[Any]:
    """Logs of the days shown and of the sessions shown; logs live above this app."""
    planned = [s.row.pk for view in views for s in _sessions(view) if s.on and first <= s.on <= last]
    wanted = Q(done_on__range=(first, last)) | Q(planned_session__in=planned)
    return list(client.session_logs.filter(wanted).select_related("planned_session", "sheet").order_by("done_on", "id"))


def _sessions(view: ProgramView) -> list[SessionView]:
    return [s for week in view.weeks for day in week.days for s in day]


def _fill(days: Sequence[Day], views: Sequence[ProgramView], logs: Sequence[Any], today: date) -> None:
    """Put every session on its day: planned ones where they are planned, done ones also where they were done."""
    by_on = {day.on: day for day in days}
    by_session = {log.planned_session_id: log for log in logs if log.planned_session_id}
    shown = set()
    for session in (s for view in views for s in _sessions(view)):
        log = by_session.get(session.row.pk)
        if session.on in by_on:
            by_on[session.on].entries.append(Entry(session.row.name, session_state(session, log, today), session, log))
            shown |= {log.pk} if log is not None and log.done_on == session.on else set()
    planned = {s.row.pk: s.on for view in views for s in _sessions(view)}
    for log in logs:
        if log.pk not in shown and log.done_on in by_on:
            name = log.planned_session.name if log.planned_session else log.title
            entry = Entry(name, log.status, None, log, planned.get(log.planned_session_id))
            by_on[log.done_on].entries.append(entry)


def session_state(session: SessionView, log: Any, today: date) -> str:
    """'done' or 'skipped' where it was logged, else 'today', 'missed' or 'planned' by its day."""
    if log is not None:
        return str(log.status)
    if session.on == today:
        return "today"
    return "missed" if session.on and session.on < today else "planned"


def _numbers(views: Sequence[ProgramView], monday: date) -> tuple[tuple[Program, int], ...]:
    return tuple((view.program, week.week_no) for view in views for week in view.weeks if week.monday == monday)


def _flags(views: Sequence[ProgramView], first: date, last: date) -> list[ProgramFlags]:
    """Open flags that concern a week shown, worst first."""
    made = []
    for view in views:
        shown = [w.week_no for w in view.weeks if w.monday and first <= w.monday <= last]
        flags = [f for f in view.open_flags() if any(in_week(f, n) for n in shown)]
        flags.sort(key=lambda f: (SEVERITY_ORDER[f.severity], f.where.week_no or 0, f.code))
        if flags:
            made.append(ProgramFlags(view.program, shown_flags(view, flags)))
    return made
