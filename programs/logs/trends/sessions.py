"""A client's sessions week by week: planned and done, minutes, load by rating, monotony and strain."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from coachdesk import engine
from programs.logs.trends.reading import Gathered, LogRow, PlanRow
from programs.logs.trends.window import Window

WEEK = 7


@dataclass(frozen=True)
class SessionWeek:
    """One week. `due`: planned sessions that have a log or whose day is over; `done` and `skipped` are of those.

    `besides`: done without a plan. `timed`: (planned, taken) minutes of sessions of which both are known. `load`:
    rating x minutes of all sessions of the week, None where one was not rated or timed. `monotony` and `strain` are
    None where they are not defined; `why` says so.
    """

    monday: date
    planned: int
    due: int
    done: int
    skipped: int
    besides: int
    timed: tuple[tuple[int, int], ...]
    load: float | None
    unrated: int
    monotony: float | None
    strain: float | None
    why: str = ""

    @property
    def missed(self) -> int:
        return self.due - self.done - self.skipped

    @property
    def sessions(self) -> int:
        """Everything that was done."""
        return self.done + self.besides

    @property
    def planned_minutes(self) -> float | None:
        """Minutes planned for the sessions that were timed, all together."""
        return float(sum(planned for planned, _ in self.timed)) if self.timed else None

    @property
    def taken_minutes(self) -> float | None:
        return float(sum(taken for _, taken in self.timed)) if self.timed else None


def session_weeks(got: Gathered, window: Window) -> tuple[SessionWeek, ...]:
    """Every week of the window."""
    answers = _answers(got.logs)
    here = {plan.pk for plan in got.plans}
    made = []
    for monday in window.mondays:
        last = monday + timedelta(days=WEEK - 1)
        plans = [plan for plan in got.plans if monday <= plan.on <= last]
        logs = [row for row in got.logs if monday <= row.on <= last and row.is_done]
        besides = sum(1 for row in logs if row.planned not in here)
        made.append(_week(monday, plans, logs, besides, answers, window.today))
    return tuple(made)


def _answers(logs: Sequence[LogRow]) -> dict[int, LogRow]:
    """The log of each planned session; a done one counts before one that was skipped."""
    found: dict[int, LogRow] = {}
    for row in sorted(logs, key=lambda row: row.is_done):
        if row.planned is not None:
            found[row.planned] = row
    return found


def _week(
    monday: date, plans: Sequence[PlanRow], logs: Sequence[LogRow], besides: int, answers: dict[int, LogRow],
    today: date,
) -> SessionWeek:  # fmt: skip
    told = [answers[plan.pk] for plan in plans if plan.pk in answers]
    over = sum(1 for plan in plans if plan.pk not in answers and plan.on < today)
    timed = tuple((row.planned_minutes, row.minutes) for row in logs if row.planned_minutes and row.minutes)
    loads = day_loads(monday, logs)
    monotony, strain, why = _monotony(loads, len(logs), monday + timedelta(days=WEEK - 1) < today)
    known = [load for load in loads if load is not None]
    return SessionWeek(
        monday, len(plans), len(told) + over, sum(1 for row in told if row.is_done),
        sum(1 for row in told if not row.is_done), besides, timed, sum(known) if len(known) == WEEK else None,
        sum(1 for row in logs if load_of(row) is None), monotony, strain, why,
    )  # fmt: skip


def load_of(row: LogRow) -> float | None:
    """Rating x minutes of a session; None where one of them was not noted."""
    return None if row.rating is None or row.minutes is None else engine.session_load(row.rating, row.minutes)


def day_loads(monday: date, logs: Sequence[LogRow]) -> list[float | None]:
    """The load of each of the seven days, 0 on a day of rest; None where a session of the day has none."""
    made: list[float | None] = [0.0] * WEEK
    for row in logs:
        n, load = (row.on - monday).days, load_of(row)
        was = made[n]
        made[n] = None if load is None or was is None else was + load
    return made


def _monotony(loads: Sequence[float | None], count: int, is_over: bool) -> tuple[float | None, float | None, str]:
    known = [load for load in loads if load is not None]
    if not count:
        return None, None, "no session"
    if len(known) < WEEK:
        return None, None, "not every session was rated and timed"
    if not is_over:
        return None, None, "the week is not over"
    try:
        return engine.monotony(known), engine.strain(known), ""
    except engine.EngineError:
        return None, None, "not defined: every day was alike"
