"""Trends of one client: weekly sets per muscle, planned and done, and strength per exercise over time."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from uuid import UUID

from clients.mapping import client_traits, house_rules
from clients.models import Client
from coachdesk import engine
from programs.logs.bands import band_of
from programs.logs.models import MuscleWeek
from programs.mapping import Seen
from programs.models import StrengthEstimate
from programs.selectors import Evidence, ProgramView
from programs.selectors.strength import seen_words

POUND_KG = engine.to_kg(1000, "lb")
# The filter runs once for every point, over all evidence up to it.
MOST_POINTS = 40
HALF_YEAR = 26


@dataclass(frozen=True)
class WeekPoint:
    """One muscle in one week: sets done (with low and high count) and planned; None planned: no programme then.

    `done_kg` and `planned_kg`: the volume load; `is_mixed`: it was logged in kg and in lb.
    """

    monday: date
    done: float
    low: float
    high: float
    planned: float | None
    done_kg: float = 0.0
    planned_kg: float | None = None
    is_mixed: bool = False


@dataclass(frozen=True)
class MuscleTrend:
    """A muscle over the weeks, oldest first, with its band (None: the coach decides)."""

    code: str
    name: str
    band: tuple[float, float] | None
    points: tuple[WeekPoint, ...]

    @property
    def done(self) -> float:
        return sum(point.done for point in self.points)


@dataclass(frozen=True)
class StrengthPoint:
    """The estimate as it stood after a day's evidence, in kg, with its 90 % interval.

    `sources`: the keys of the session logs that the day's evidence came from.
    """

    on: date
    mean: float
    low: float
    high: float
    evidence: str
    sources: tuple[UUID, ...] = ()


@dataclass(frozen=True)
class StrengthTrend:
    """One exercise, side and machine over time, oldest first."""

    key: str
    name: str
    points: tuple[StrengthPoint, ...]


def muscles_over(
    client: Client, mondays: Sequence[date], planned: Mapping[date, Mapping[str, float]], *, today: date
) -> tuple[MuscleTrend, ...]:
    """Every muscle with anything done in the weeks of these Mondays or anything planned, in the engine's order."""
    rows = client.muscle_weeks.filter(monday__in=mondays)
    return muscles_of(client, rows, mondays, planned, {}, today=today)


def muscles_of(
    client: Client, rows: Iterable[MuscleWeek], mondays: Sequence[date], planned: Mapping[date, Mapping[str, float]],
    lifted: Mapping[date, Mapping[str, float]], *, today: date,
) -> tuple[MuscleTrend, ...]:  # fmt: skip
    """The same of rows that are there already; `lifted`: planned volume load in kg, as `planned` has the sets."""
    done = {(row.monday, row.muscle): row for row in rows}
    touched = {code for _, code in done} | {code for monday in mondays for code in planned.get(monday, {})}
    traits, rules = client_traits(client, today), house_rules(client)
    return tuple(
        MuscleTrend(m.code, m.name, band_of(traits, m.code, rules), tuple(
            _point(monday, done.get((monday, m.code)), _of(planned, monday, m.code), _of(lifted, monday, m.code))
            for monday in mondays
        ))
        for m in engine.MUSCLES
        if m.code in touched
    )  # fmt: skip


def _of(planned: Mapping[date, Mapping[str, float]], monday: date, code: str) -> float | None:
    return planned[monday].get(code, 0.0) if monday in planned else None


def _point(monday: date, row: MuscleWeek | None, wanted: float | None, lifted: float | None) -> WeekPoint:
    if row is None:
        return WeekPoint(monday, 0.0, 0.0, 0.0, wanted, 0.0, lifted)
    moved = row.volume_kg / 1000 + row.volume_lb / 1000 * POUND_KG
    return WeekPoint(
        monday, row.sets / 1000, row.sets_low / 1000, row.sets_high / 1000, wanted, moved, lifted,
        bool(row.volume_kg and row.volume_lb),
    )  # fmt: skip


def planned_sets(view: ProgramView) -> dict[date, dict[str, float]]:
    """Planned fractional sets per muscle by Monday, of a programme with dates."""
    return {
        week.monday: {code: total.fractional for code, total in week.totals.muscles} if week.totals else {}
        for week in view.weeks
        if week.monday is not None
    }


def planned_volumes(view: ProgramView) -> dict[date, dict[str, float]]:
    """Planned volume load per muscle in kg by Monday, of a programme with dates."""
    return {
        week.monday: {code: total.volume_load_kg for code, total in week.totals.muscles} if week.totals else {}
        for week in view.weeks
        if week.monday is not None
    }


def strength_key(row: Seen | StrengthEstimate) -> str:
    """What an address calls one exercise, side and machine."""
    return f"{row.exercise_id}-{row.side}-{row.machine}"


def evidence_name(row: Seen | StrengthEstimate, machines: Mapping[str, str]) -> str:
    """'Leg press, left, North gym': exercise, side and machine of what was seen."""
    side = {"l": ", left", "r": ", right"}.get(row.side, "")
    machine = machines.get(row.machine, "another machine") if row.machine else ""
    return f"{row.exercise.name}{side}{', ' + machine if machine else ''}"


def strength_trend(evidence: Evidence, machines: Mapping[str, str], since: date = date.min) -> StrengthTrend:
    """The estimate as it stood after each day of evidence from a day on.

    The last 40 days of evidence, of the last half year where older evidence was left out, so that each estimate has
    as much behind it again; days before anything is known are left out. What the whole log says of the RIR answers
    is used throughout.
    """
    if not evidence.is_all:
        since = max(since, evidence.rows[-1].on - timedelta(weeks=HALF_YEAR))
    by_day: dict[date, list[Seen]] = {}
    for row in evidence.rows:
        by_day.setdefault(row.on, []).append(row)
    wanted = [on for on in by_day if on >= since][-MOST_POINTS:]
    points = []
    for on, found in evidence.over_days(wanted):
        rows = by_day[on]
        words = _evidence(rows[0]) + (f" and {len(rows) - 1} more" if len(rows) > 1 else "")
        keys = dict.fromkeys(row.source_uid for row in rows if row.source_uid is not None)
        points.append(StrengthPoint(on, found.mean_kg, found.low_kg, found.high_kg, words, tuple(keys)))
    return StrengthTrend(strength_key(evidence.first), evidence_name(evidence.first, machines), tuple(points))


def _evidence(row: Seen) -> str:
    kind = "test" if row.is_test else "at least" if row.lower_bound else "log"
    rir = f", RIR {row.rir:g}" if row.rir is not None and not row.is_test else ""
    return f"{kind}: {seen_words(row)} x {row.reps}{rir}"
