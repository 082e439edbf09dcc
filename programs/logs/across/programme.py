"""Clients who train by copies of one template, beside each other: attendance, change of strength, reserve."""

from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import NormalDist
from typing import Any

from clients.models import Client
from clients.selectors import days_during
from coachdesk.practice.models import Membership
from coachdesk.practice.one_trip import one_trip
from programs.logs.models import SessionLog
from programs.models import Exercise, PlannedExercise, PlannedSession, Program, StrengthEstimate, TrainingFacts
from programs.selectors import visible_programs, weeks_of
from programs.selectors.programs import this_week

WEEK, NEVER_SURE = 7, 1e-4
Z90 = NormalDist().inv_cdf(0.95)


@dataclass(frozen=True)
class Change:
    """Per cent a week that a maximum changes, with its 90 % interval, from so many sets and tests."""

    percent: float
    low: float
    high: float
    sets: int

    @property
    def words(self) -> str:
        """Whether the interval leaves room for doubt."""
        return "rises" if self.low > 0 else "falls" if self.high < 0 else "inside the doubt"


@dataclass(frozen=True)
class ProgramClient:
    """One client: the week they are in, sessions done of those due, the change of one lift, and typed reserve.

    `rir`: mean of the answers typed in the latest sets, None without any; `answers` of `reports` sets had one.
    """

    client: Client
    program: Program
    week_no: int
    weeks: int
    done: int
    due: int
    change: Change | None
    rir: float | None
    answers: int
    reports: int

    @property
    def percent_done(self) -> int | None:
        return round(100 * self.done / self.due) if self.due else None


@dataclass(frozen=True)
class ProgramClients:
    """The page: rows by name, the exercises that can be compared, and the chosen one."""

    template: Program
    rows: tuple[ProgramClient, ...]
    exercises: tuple[tuple[int, str], ...]
    exercise: tuple[int, str] | None

    @property
    def sentence(self) -> str:
        told = [row.change for row in self.rows if row.change]
        if not told or self.exercise is None:
            return "No lift of these clients has been seen often enough to tell a change."
        counts = Counter(change.words for change in told)
        parts = [f"{words} for {counts[words]}" for words in ("rises", "falls") if counts[words]]
        if doubt := counts["inside the doubt"]:
            parts.append(f"{'its change ' if parts else ''}is inside the doubt for {doubt}")
        start = self.exercise[1] if counts["rises"] + counts["falls"] else f"The change of {self.exercise[1]}"
        return f"{start} {', '.join(parts)} of {len(told)} client{'s' * (len(told) != 1)} with an estimate."


def change_of(estimate: StrengthEstimate) -> Change | None:
    """The trend of a kept estimate with its interval; None while the log tells no trend.

    The trend and the chance that it is above nothing fix its width where it is normal about its mean. A chance next
    to 0 or 1 is taken as 0.0001 or 0.9999, so that nothing looks surer than it can be.
    """
    trend, chance = estimate.trend_per_week, min(1 - NEVER_SURE, max(NEVER_SURE, estimate.p_rising))
    z = NormalDist().inv_cdf(chance)
    if not trend or not z or trend / z < 0:
        return None
    reach = Z90 * trend / z
    return Change(100 * trend, 100 * (trend - reach), 100 * (trend + reach), estimate.count)


def program_clients(desk: Membership, template: Program, *, today: date, exercise: str = "") -> ProgramClients:
    """Every client this member sees who has a running copy of the template; three queries."""
    copies = [
        one
        for one in visible_programs(desk).filter(origin=template, archived_on=None, client__archived_on=None)
        .prefetch_related("blocks")
        if one.client is not None and one.start_on is not None and one.start_on <= today
    ]  # fmt: skip
    ordered = sorted(copies, key=lambda one: (one.start_on or today, one.pk))
    newest = {one.client.pk: one for one in ordered if one.client is not None}
    ids, programs = list(newest), [one.pk for one in newest.values()]
    planned, logs, estimates, facts, exercises = one_trip(
        PlannedSession.objects.filter(block__program__in=programs).values_list(
            "pk", "week_no", "day", "block__program__client"
        ),
        SessionLog.objects.filter(
            planned_session__block__program__in=programs, done_on__lte=today + timedelta(days=1)
        ).values_list("client", "planned_session", "status", "done_on"),
        StrengthEstimate.objects.filter(client__in=ids),
        TrainingFacts.objects.filter(client__in=ids).values_list("client_id", "value"),
        Exercise.objects.filter(pk__in=PlannedExercise.objects.filter(session__block__program=template.pk).values("exercise")),
    )  # fmt: skip
    names = {one.pk: one.name for one in exercises}
    chosen = _chosen(names, estimates, exercise)
    due = _attendance(newest, planned, logs, today)
    best = _best(estimates, chosen)
    told = {client: value.get("reports", ()) for client, value in facts}
    rows = [_row(one, due.get(pk, (0, 0)), best.get(pk), told.get(pk, ()), today) for pk, one in newest.items()]
    return ProgramClients(
        template, tuple(sorted(rows, key=lambda row: (row.client.folded, row.client.pk))),
        tuple(sorted(names.items(), key=lambda pair: pair[1])), (chosen, names[chosen]) if chosen else None,
    )  # fmt: skip


def _chosen(names: dict[int, str], estimates: list[StrengthEstimate], typed: str) -> int | None:
    """The exercise asked for, else the one that the most clients have an estimate of."""
    asked = next((pk for pk in names if str(pk) == typed), None)
    counts = Counter(one.exercise_id for one in estimates if one.exercise_id in names)
    return asked or min(counts, key=lambda pk: (-counts[pk], names[pk]), default=None)


def _attendance(
    newest: dict[int, Program], planned: list[Any], logs: list[Any], today: date
) -> dict[int, tuple[int, int]]:
    """(done, due) by client; due are sessions with a log, and those whose day is over where the client is."""
    days = {pk: days_during(one.client, today) for pk, one in newest.items() if one.client is not None}
    told = sorted(logs, key=lambda row: row[2] == SessionLog.Status.DONE)
    answered = {session: status for client, session, status, on in told if client in days and on <= days[client][1]}
    found: dict[int, tuple[int, int]] = {}
    for pk, week_no, day, client in planned:
        start = newest[client].start_on or today
        over = start + timedelta(days=WEEK * (week_no - 1) + day) < days[client][0]
        done, due = found.get(client, (0, 0))
        found[client] = (done + (answered.get(pk) == SessionLog.Status.DONE), due + (over or pk in answered))
    return found


def _best(estimates: list[StrengthEstimate], exercise: int | None) -> dict[int, StrengthEstimate]:
    """Of each client the estimate of this exercise that the most sets tell of."""
    mine = sorted((one for one in estimates if one.exercise_id == exercise), key=lambda one: one.count)
    return {one.client_id: one for one in mine}


def _row(
    program: Program, attended: tuple[int, int], best: StrengthEstimate | None, reports: Any, today: date
) -> ProgramClient:
    typed = [one for one in reports if one is not None]
    assert program.client is not None
    return ProgramClient(
        program.client, program, this_week(program, today), weeks_of(program.blocks.all()), *attended,
        change_of(best) if best else None, sum(typed) / len(typed) if typed else None, len(typed), len(reports),
    )  # fmt: skip
