"""One muscle's modelled fatigue over the days behind and ahead: sessions done as prescribed, then those planned."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

from coachdesk import engine
from programs.figures import fatigue_days
from programs.logs.trends.reading import Gathered, LogRow
from programs.selectors import ProgramView, SessionView
from programs.selectors.effects import work_of

BACK, AHEAD, CARRIED = 14, 14, 14


@dataclass(frozen=True)
class FatigueDay:
    """A day: units at noon before its sessions, and what was done or is planned on it."""

    on: date
    units: float
    sessions: str


@dataclass(frozen=True)
class FatigueTrend:
    """`line`: (hours since the first day's midnight, units). `missing`: done sessions the plan says nothing of."""

    code: str
    name: str
    first: date
    today: date
    line: tuple[fatigue_days.Point, ...]
    peaks: tuple[tuple[date, str, float], ...]
    days: tuple[FatigueDay, ...]
    sentence: str
    missing: int


def fatigue_trend(view: ProgramView, got: Gathered, code: str, today: date) -> FatigueTrend | None:
    """Two weeks behind and two ahead of a programme with dates; None before it has any."""
    if view.program.start_on is None:
        return None
    first = today - timedelta(days=BACK)
    # Days are counted from the first that still matters: a session may be done before its programme begins.
    start, at = first - timedelta(days=CARRIED), CARRIED
    works = _works(view, got, code, today, start)
    noon = fatigue_days.noon_units(works, at, BACK + AHEAD)
    names = _names(works)
    days = tuple(FatigueDay(first + timedelta(days=n), units, names.get(at + n, "")) for n, units in enumerate(noon))
    limit, name = engine.hard_from(view.traits, view.rules), engine.muscle(code).name
    planned = {row.pk for row in _logged(got).values()}
    return FatigueTrend(
        code, name, first, today, fatigue_days.line_of(works, at, BACK + AHEAD),
        tuple((start + timedelta(days=work.day), work.name, work.units) for work in works if work.day >= at), days,
        fatigue_days.sentence_of(works, name, at, BACK + AHEAD, start, limit),
        sum(1 for row in got.logs if row.is_done and row.on >= first and row.pk not in planned),
    )  # fmt: skip


def _logged(got: Gathered) -> dict[int, LogRow]:
    return {row.planned: row for row in got.logs if row.planned is not None and row.is_done}


def _works(view: ProgramView, got: Gathered, code: str, today: date, start: date) -> list[fatigue_days.Work]:
    """What was done on the day it was done, and what is planned from today on; missed and skipped sessions are none."""
    done = _logged(got)
    skipped = {row.planned for row in got.logs if not row.is_done}
    made = []
    for session in (one for week in view.weeks for day in week.days for one in day):
        on = _day_of(session, done.get(session.row.pk), session.row.pk in skipped, today)
        if on is None or not start <= on < today + timedelta(days=AHEAD):
            continue
        moved = replace(session.prescribed, day=(on - start).days)
        made.append(work_of(moved, code, view.traits, view.rules))
    return sorted((work for work in made if work is not None), key=lambda work: work.day)


def _day_of(session: SessionView, log: LogRow | None, skipped: bool, today: date) -> date | None:
    if log is not None:
        return log.on
    return session.on if session.on is not None and session.on >= today and not skipped else None


def _names(works: list[fatigue_days.Work]) -> dict[int, str]:
    found: dict[int, str] = {}
    for work in works:
        words = f"{work.name} ({work.units:.1f} units)"
        found[work.day] = f"{found[work.day]}, {words}" if work.day in found else words
    return found
