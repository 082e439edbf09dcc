"""The trends page as a whole: which muscle and exercise, their trends, and what is missing."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from clients.mapping import house_rules
from clients.models import Client
from coachdesk import engine
from programs.logs.selectors.trends import (
    MuscleTrend,
    StrengthTrend,
    WeekPoint,
    evidence_name,
    muscles_of,
    planned_sets,
    planned_volumes,
    strength_key,
    strength_trend,
)
from programs.logs.trends.fatigue import FatigueTrend, fatigue_trend
from programs.logs.trends.muscle_charts import weekly_sets_sentence
from programs.logs.trends.reading import Gathered, LogRow, gather
from programs.logs.trends.sessions import SessionWeek, session_weeks
from programs.logs.trends.strength_chart import strength_sentence
from programs.logs.trends.window import SPANS, Window, window_of
from programs.models import StrengthEstimate
from programs.selectors import ProgramView, evidence_of, program_view
from programs.selectors.pain import SidedStrength, sided_strengths

PANEL_WEEKS = 4


@dataclass(frozen=True)
class Asked:
    """What an address asks for, as it was typed; whatever is not there falls back to what is most trained."""

    muscle: str = ""
    exercise: str = ""
    weeks: str = ""
    until: str = ""


@dataclass(frozen=True)
class TrendsPage:
    """Everything the page shows; `muscle`, `strength` and `fatigue` are None where there is nothing to show."""

    client: Client
    window: Window
    got: Gathered
    rules: engine.Rules
    muscles: tuple[MuscleTrend, ...]
    muscle: MuscleTrend | None
    strengths: tuple[tuple[str, str], ...]
    strength: StrengthTrend | None
    weeks: tuple[SessionWeek, ...]
    fatigue: FatigueTrend | None
    sides: tuple[SidedStrength, ...]

    @property
    def is_empty(self) -> bool:
        """Nothing was logged in the window, and nothing tells of strength."""
        return not (any(m.done for m in self.muscles) or self.strength or self.got.logs)

    @property
    def spans(self) -> tuple[int, ...]:
        return SPANS

    @property
    def choices(self) -> tuple[tuple[str, str], ...]:
        """Every muscle there is: one that was never trained has a page as clear as the others."""
        return tuple((one.code, one.name) for one in engine.MUSCLES)

    @property
    def recent(self) -> list[tuple[MuscleTrend, tuple[WeekPoint, ...]]]:
        """The last weeks of each muscle, for the panel."""
        return [(m, m.points[-PANEL_WEEKS:]) for m in self.muscles]

    @property
    def query(self) -> str:
        """What is looked at, without when, as an address has it."""
        chosen = {"muscle": self.muscle and self.muscle.code, "exercise": self.strength and self.strength.key}
        return urlencode({name: value for name, value in chosen.items() if value} | {"weeks": self.window.weeks})

    @property
    def muscle_sentence(self) -> str:
        return weekly_sets_sentence(self.muscle) if self.muscle else ""

    @property
    def strength_sentence(self) -> str:
        return strength_sentence(self.strength, self.client.unit) if self.strength else ""

    @property
    def ahead(self) -> list[LogRow]:
        """Sessions logged with a day that is still to come."""
        return self.got.ahead


def trends_page(client: Client, *, today: date, asked: Asked = Asked()) -> TrendsPage:
    """The page of a day; in at most seven queries, however much was logged."""
    window = window_of(today, asked.weeks, asked.until)
    got = gather(client, window)
    view = program_view(got.program, client=client, on=today, decisions=False) if got.program else None
    muscles = _muscles(client, got, view, window)
    muscle = _chosen(muscles, asked.muscle, window)
    return TrendsPage(
        client, window, got, house_rules(client), muscles, muscle, _names(got.estimates, got.machines),
        _strength(client, got, window, asked.exercise, muscle), session_weeks(got, window),
        fatigue_trend(view, got, muscle.code, today) if view and muscle and window.is_now else None,
        tuple(sided_strengths(got.estimates, got.machines)),
    )  # fmt: skip


def _muscles(client: Client, got: Gathered, view: ProgramView | None, window: Window) -> tuple[MuscleTrend, ...]:
    sets, volumes = (planned_sets(view), planned_volumes(view)) if view else ({}, {})
    return muscles_of(client, got.muscle_weeks, window.mondays, sets, volumes, today=window.today)


def _chosen(muscles: tuple[MuscleTrend, ...], code: str, window: Window) -> MuscleTrend | None:
    """The muscle asked for, with empty weeks where it was never trained; else the most trained."""
    found = next((one for one in muscles if one.code == code), None)
    if found is None and any(one.code == code for one in engine.MUSCLES):
        nothing = tuple(WeekPoint(monday, 0.0, 0.0, 0.0, None) for monday in window.mondays)
        return MuscleTrend(code, engine.muscle(code).name, None, nothing)
    return found or max(muscles, key=lambda one: one.done, default=None)


def _names(estimates: list[StrengthEstimate], machines: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    named = ((strength_key(one), evidence_name(one, machines)) for one in estimates)
    return tuple(sorted(named, key=lambda pair: pair[1]))


def _strength(
    client: Client, got: Gathered, window: Window, wanted: str, muscle: MuscleTrend | None
) -> StrengthTrend | None:
    """The exercise asked for, else the one with the most evidence of those that train the muscle shown; one query."""
    by_key = {strength_key(one): one for one in got.estimates}
    code = muscle.code if muscle else ""

    def last(key: str) -> tuple[bool, int, str]:
        return (by_key[key].exercise_id, code) not in got.direct, -by_key[key].count, key

    key = wanted if wanted in by_key else min(by_key, key=last, default=None)
    if key is None:
        return None
    evidence = evidence_of(client, [by_key[key].exercise_id], until=window.last)
    found = next((one for one in evidence if strength_key(one.first) == key), None)
    if found is None:
        return StrengthTrend(key, evidence_name(by_key[key], got.machines), ())
    return strength_trend(found, got.machines, window.first)
