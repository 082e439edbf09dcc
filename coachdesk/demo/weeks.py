"""From one week's plan to a programme of many weeks, relative to a given today."""

from collections.abc import Callable
from datetime import date, timedelta

from coachdesk.demo.schemes import SchemeFields
from coachdesk.demo.shapes import DemoBlock, DemoExercise, DemoProgram, DemoScreening, DemoSession

Day = tuple[int, str, tuple[DemoExercise, ...]] | tuple[int, str, tuple[DemoExercise, ...], str]


def ex(code: str, scheme: SchemeFields, cue: str = "") -> DemoExercise:
    """A planned exercise, short to write."""
    return DemoExercise(code, scheme, cue)


def monday_before(today: date, weeks: int) -> date:
    """The Monday of today's week, `weeks` weeks earlier."""
    return today - timedelta(days=today.weekday(), weeks=weeks)


def years_before(today: date, years: float) -> date:
    """The date about this many years before today (365.25 days each)."""
    return today - timedelta(days=round(years * 365.25))


def clear_screening(
    today: date, days_ago: int = 90, outcome: str = "clear", note: str = "", yes: tuple[str, ...] = ()
) -> DemoScreening:
    """A screening that holds for a year from when it was asked; `yes` are the questions answered yes."""
    asked = today - timedelta(days=days_ago)
    return DemoScreening(asked, outcome, asked + timedelta(days=365), note, yes)


def program(
    name: str,
    today: date,
    past: int,
    blocks: tuple[tuple[str, int], ...],
    week: Callable[[int], tuple[Day, ...]],
    template: str = "",
) -> DemoProgram:
    """A programme that began `past` weeks before this week; `blocks` are (name, weeks) in order.

    `week(n)` gives the days of week n (from 1) as (day, name, exercises[, place]).
    """
    made: list[DemoBlock] = []
    first = 1
    for title, weeks in blocks:
        if weeks > 0:
            made.append(DemoBlock(title, first, weeks))
            first += weeks
    sessions = tuple(DemoSession(n, *day) for n in range(1, first) for day in week(n))
    return DemoProgram(name, monday_before(today, past), tuple(made), sessions, template)


def wave(n: int, *values: float) -> float:
    """The value of week n when the values repeat from week 1 on."""
    return values[(n - 1) % len(values)]
