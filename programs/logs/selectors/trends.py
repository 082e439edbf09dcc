"""Trends of one client: weekly sets per muscle, planned and done, and strength per exercise over time."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from clients.mapping import client_traits, house_rules
from clients.models import Client
from coachdesk import engine
from programs.logs.bands import band_of
from programs.logs.models import MuscleWeek
from programs.logs.week_sums import monday_of
from programs.models import StrengthObservation
from programs.selectors import Evidence, ProgramView, current_program, evidence_of, machine_names, program_view
from programs.selectors.strength import seen_words

WEEKS = 12
PANEL_WEEKS = 4
# The filter runs once for every point, over all evidence up to it.
MOST_POINTS = 40


@dataclass(frozen=True)
class WeekPoint:
    """One muscle in one week: sets done (with low and high count) and planned; None planned: no programme then."""

    monday: date
    done: float
    low: float
    high: float
    planned: float | None


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
    """The estimate as it stood after a day's evidence, in kg, with its 90 % interval."""

    on: date
    mean: float
    low: float
    high: float
    evidence: str


@dataclass(frozen=True)
class StrengthTrend:
    """One exercise, side and machine over time, oldest first."""

    key: str
    name: str
    points: tuple[StrengthPoint, ...]


@dataclass(frozen=True)
class Trends:
    """All trends of a client; `muscle` and `strength` are the chosen ones (None when there are none)."""

    client: Client
    muscles: tuple[MuscleTrend, ...]
    strengths: tuple[tuple[str, str], ...]
    muscle: MuscleTrend | None
    strength: StrengthTrend | None

    @property
    def is_empty(self) -> bool:
        return not any(m.done for m in self.muscles) and self.strength is None

    @property
    def recent(self) -> list[tuple[MuscleTrend, tuple[WeekPoint, ...]]]:
        """The last weeks of each muscle, for the panel."""
        return [(m, m.points[-PANEL_WEEKS:]) for m in self.muscles]


def trends(client: Client, *, today: date, muscle: str = "", exercise: str = "", weeks: int = WEEKS) -> Trends:
    """The last `weeks` weeks, this one included. Unknown choices fall back to the most trained and most observed."""
    muscles = muscle_trends(client, today=today, weeks=weeks)
    by_key = _by_key(client)
    keys = sorted(by_key, key=lambda key: (-len(by_key[key].rows), key))
    chosen = exercise if exercise in by_key else (keys[0] if keys else None)
    most = max(muscles, key=lambda m: m.done, default=None)
    machines = machine_names(client)
    names = tuple(
        sorted(((key, evidence_name(one.first, machines)) for key, one in by_key.items()), key=lambda pair: pair[1])
    )
    return Trends(
        client, muscles, names, next((m for m in muscles if m.code == muscle), most),
        strength_trend(by_key[chosen], machines) if chosen else None,
    )  # fmt: skip


def muscle_trends(client: Client, *, today: date, weeks: int) -> tuple[MuscleTrend, ...]:
    """Every muscle with anything done or planned in these weeks, in the engine's order."""
    mondays = [monday_of(today) - timedelta(weeks=n) for n in reversed(range(weeks))]
    return muscles_over(client, mondays, _planned(client, today), today=today)


def muscles_over(
    client: Client, mondays: Sequence[date], planned: Mapping[date, Mapping[str, float]], *, today: date
) -> tuple[MuscleTrend, ...]:
    """Every muscle with anything done in the weeks of these Mondays or anything planned, in the engine's order."""
    done = {(row.monday, row.muscle): row for row in client.muscle_weeks.filter(monday__in=mondays)}
    touched = {code for _, code in done} | {code for week in planned.values() for code in week}
    traits, rules = client_traits(client, today), house_rules(client)
    return tuple(
        MuscleTrend(
            m.code, m.name, band_of(traits, m.code, rules),
            tuple(_point(monday, m.code, done.get((monday, m.code)), planned.get(monday)) for monday in mondays),
        )
        for m in engine.MUSCLES
        if m.code in touched
    )  # fmt: skip


def _point(monday: date, code: str, row: MuscleWeek | None, planned: Mapping[str, float] | None) -> WeekPoint:
    wanted = None if planned is None else planned.get(code, 0.0)
    if row is None:
        return WeekPoint(monday, 0.0, 0.0, 0.0, wanted)
    return WeekPoint(monday, row.sets / 1000, row.sets_low / 1000, row.sets_high / 1000, wanted)


def _planned(client: Client, today: date) -> dict[date, dict[str, float]]:
    """Planned fractional sets per muscle by Monday, of the running programme as it is prescribed today."""
    program = current_program(client, today)
    return planned_sets(program_view(program, client=client, on=today)) if program else {}


def planned_sets(view: ProgramView) -> dict[date, dict[str, float]]:
    """Planned fractional sets per muscle by Monday, of a programme with dates."""
    return {
        week.monday: {code: total.fractional for code, total in week.totals.muscles} if week.totals else {}
        for week in view.weeks
        if week.monday is not None
    }


def _by_key(client: Client) -> dict[str, Evidence]:
    return {_key(one.first): one for one in evidence_of(client)}


def _key(row: StrengthObservation) -> str:
    return f"{row.exercise_id}-{row.side}-{row.machine}"


def evidence_name(row: StrengthObservation, machines: Mapping[str, str]) -> str:
    """'Leg press, left, North gym': exercise, side and machine of what was seen."""
    side = {"l": ", left", "r": ", right"}.get(row.side, "")
    machine = machines.get(row.machine, "another machine") if row.machine else ""
    return f"{row.exercise.name}{side}{', ' + machine if machine else ''}"


def strength_trend(evidence: Evidence, machines: Mapping[str, str]) -> StrengthTrend:
    """The estimate as it stood after each day of evidence.

    The last 40 days of evidence; days before anything is known are left out. What the whole log says of the RIR
    answers is used throughout.
    """
    first_of_day: dict[date, StrengthObservation] = {}
    for row in evidence.rows:
        first_of_day.setdefault(row.on, row)
    counts = Counter(row.on for row in evidence.rows)
    points = []
    for on, found in evidence.over_days()[-MOST_POINTS:]:
        more = f" and {counts[on] - 1} more" if counts[on] > 1 else ""
        words = _evidence(first_of_day[on]) + more
        points.append(StrengthPoint(on, found.mean_kg, found.low_kg, found.high_kg, words))
    return StrengthTrend(_key(evidence.first), evidence_name(evidence.first, machines), tuple(points))


def _evidence(row: StrengthObservation) -> str:
    kind = "test" if row.is_test else "at least" if row.lower_bound else "log"
    rir = f", RIR {row.rir:g}" if row.rir is not None and not row.is_test else ""
    return f"{kind}: {seen_words(row)} x {row.reps}{rir}"
