"""What flags need to know of a client beyond plan and traits: habits, last loads, ratings, precautions, places."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import date, datetime
from typing import Any

from .errors import MAX_LOAD, EngineError, instance, items, number, one_of, text, whole
from .frozen import hash_once
from .muscles import muscle
from .plans import Key, _key

MOST_DAYS_AWAY = 40_000
Muscles = tuple[tuple[str, float], ...]


@dataclass(frozen=True)
class PrecautionKind:
    """A precaution the engine understands: patterns it speaks against, or the rule it brings."""

    code: str
    name: str
    patterns: tuple[str, ...] = ()


PRECAUTIONS: tuple[PrecautionKind, ...] = (
    PrecautionKind("high_blood_pressure", "High blood pressure, treated or not"),
    PrecautionKind("no_overhead", "No pressing overhead", ("vertical_press",)),
    PrecautionKind("no_hanging", "No hanging from the hands", ("vertical_pull", "grip")),
    PrecautionKind("no_back_load", "No load on a bent or braced back", ("hinge",)),
    PrecautionKind("no_deep_knee", "No loaded deep knee bend", ("squat", "lunge")),
    PrecautionKind("no_open_knee", "No knee extension against a load", ("knee_extension",)),
    PrecautionKind("no_trunk_flexion", "No curling up of the trunk", ("trunk_flexion",)),
)
_CODES = {kind.code: kind for kind in PRECAUTIONS}


def precaution(code: str) -> PrecautionKind:
    """The precaution of that code; EngineError for an unknown one."""
    if not isinstance(code, str) or code not in _CODES:
        raise EngineError("precaution", code, "one of " + ", ".join(_CODES))
    return _CODES[code]


@hash_once
@dataclass(frozen=True)
class LoadDone:
    """The hardest recent set of an exercise, done or prescribed: load in kg, reps, reserve (None: not known)."""

    exercise: Key
    kg: float
    reps: float
    rir: float | None = None

    def __post_init__(self) -> None:
        _key("exercise key", self.exercise)
        number("load", self.kg, 0, MAX_LOAD, open_low=True)
        number("reps", self.reps, 1, 1000)
        if self.rir is not None:
            number("RIR", self.rir, 0, 10)


@hash_once
@dataclass(frozen=True)
class TargetDay:
    """A day to train towards: `kind` 'test' (of these muscles; none: of several lifts) or 'peak'; `name` in words."""

    key: Key
    day: int
    kind: str
    name: str
    muscles: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        _key("key of the day", self.key)
        whole("day", self.day, -MOST_DAYS_AWAY, MOST_DAYS_AWAY)
        one_of("kind of day", self.kind, ("test", "peak"))
        text("name of the day", self.name)
        for code in items("muscles", self.muscles, most=60):
            muscle(code)


@hash_once
@dataclass(frozen=True)
class Context:
    """Facts a programme does not hold; the default of each means 'not known', and then nothing is flagged.

    Days and weeks are the programme's: day 0 is its first Monday, week 1 holds days 0 to 6; earlier ones are
    below that. `start_on`: the date of day 0.
    `weeks`: (week number, fractional sets per muscle) of done weeks, any order; a muscle left out had none.
    `loads`: hardest recent set of each exercise. `last_day`: of the last session done. `session_sets`: usual
    sets in a session. `day_loads`: rating x minutes of the seven days before today, oldest first, 0 on rest
    days, None where a session was not rated; `session_count`: sessions in them. `reports`: RIR of the latest
    sets, None for one ticked off as written. `technique_weeks`: weeks with advanced techniques done.
    `precautions`: codes of PRECAUTIONS. `limited`: muscles under a precaution. `alone`: sessions without
    spotter or safeties. `minutes`: there for a session; `minutes_ratio`: minutes taken / planned, as learned.
    `calibrated`: exercises whose repetition capacity is learned. `foreign`: planned exercises whose maximum
    comes from another place's machine. `exposures`: how often each exercise was done so far. `away`: (first,
    last) day of each holiday or illness; their weeks are no habit. `targets`: days to train towards.
    """

    today: int | None = None
    start_on: date | None = None
    weeks: tuple[tuple[int, Muscles], ...] | None = None
    loads: tuple[LoadDone, ...] = ()
    last_day: int | None = None
    session_sets: float | None = None
    day_loads: tuple[float | None, ...] = ()
    session_count: int = 0
    reports: tuple[float | None, ...] = ()
    technique_weeks: tuple[int, ...] = ()
    precautions: tuple[str, ...] = ()
    limited: tuple[str, ...] = ()
    alone: tuple[Key, ...] = ()
    minutes: float | None = None
    minutes_ratio: float = 1.0
    calibrated: tuple[Key, ...] = ()
    foreign: tuple[Key, ...] = ()
    exposures: tuple[tuple[Key, int], ...] | None = None
    away: tuple[tuple[int, int], ...] = ()
    targets: tuple[TargetDay, ...] = ()

    def __post_init__(self) -> None:
        for name in ("today", "last_day"):
            if getattr(self, name) is not None:
                whole(name, getattr(self, name), -MOST_DAYS_AWAY, MOST_DAYS_AWAY)
        if self.start_on is not None and (isinstance(self.start_on, datetime) or not isinstance(self.start_on, date)):
            raise EngineError("first day", self.start_on, "a date without a time of day")
        for field in fields(self):
            given = getattr(self, field.name)
            if field.name in _CHECKS and given is not None:
                _CHECKS[field.name](field.name, items(field.name, given))
                object.__setattr__(self, field.name, tuple(given))
        if self.session_sets is not None:
            number("usual sets in a session", self.session_sets, 0, 1000)
        whole("sessions", self.session_count, 0, 100)
        if self.minutes is not None:
            number("minutes", self.minutes, 1, 1000)
        number("minutes taken by minutes planned", self.minutes_ratio, 0.2, 5)

    @property
    def week_no(self) -> int | None:
        """The programme's week that holds today, when today is known; 0 or less before it began."""
        return None if self.today is None else self.today // 7 + 1

    @property
    def away_weeks(self) -> frozenset[int]:
        """The programme's weeks that hold a day of holiday or illness."""
        return frozenset(week for first, last in self.away for week in range(first // 7 + 1, last // 7 + 2))

    def has(self, code: str) -> bool:
        """Whether the precaution of that code is in force."""
        return precaution(code).code in self.precautions


def _weeks(name: str, given: Sequence[Any]) -> None:
    for row in given:
        week_no, muscles = items(name, row) if isinstance(row, (list, tuple)) and len(row) == 2 else (None, ())
        whole("week number", week_no, -MOST_DAYS_AWAY, MOST_DAYS_AWAY)
        for pair in items("sets per muscle", muscles):
            code, sets = items("sets", pair) if isinstance(pair, (list, tuple)) and len(pair) == 2 else (None, 0)
            muscle(code)
            number("sets", sets, 0, 1000)


def _optional_numbers(low: float, high: float) -> Any:
    def check(name: str, given: Sequence[Any]) -> None:
        for one in given:
            if one is not None:
                number(name, one, low, high)

    return check


def _each(kind: Any) -> Any:
    def check(name: str, given: Sequence[Any]) -> None:
        for one in given:
            kind(name, one)

    return check


def _away(name: str, given: Sequence[Any]) -> None:
    for row in given:
        first, last = items(name, row) if isinstance(row, (list, tuple)) and len(row) == 2 else (None, None)
        whole("first day away", first, -MOST_DAYS_AWAY, MOST_DAYS_AWAY)
        whole("last day away", last, first or 0, MOST_DAYS_AWAY)


def _exposures(name: str, given: Sequence[Any]) -> None:
    for row in given:
        key, times = items(name, row) if isinstance(row, (list, tuple)) and len(row) == 2 else (None, None)
        _key("exercise key", key)
        whole("times done", times, 0, 1_000_000)


_CHECKS: dict[str, Any] = {
    "weeks": _weeks,
    "loads": _each(lambda name, one: instance(name, one, LoadDone)),
    "day_loads": _optional_numbers(0, 1_000_000),
    "reports": _optional_numbers(0, 10),
    "technique_weeks": _each(lambda name, one: whole(name, one, -MOST_DAYS_AWAY, MOST_DAYS_AWAY)),
    "precautions": _each(lambda name, one: precaution(one)),
    "limited": _each(lambda name, one: muscle(one)),
    "alone": _each(_key),
    "calibrated": _each(_key),
    "foreign": _each(_key),
    "exposures": _exposures,
    "away": _away,
    "targets": _each(lambda name, one: instance(name, one, TargetDay)),
}

UNKNOWN = Context()
