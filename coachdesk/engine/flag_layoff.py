"""Flags on coming back after a layoff with too much at once."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from statistics import fmean

from .because import Because
from .constants import source
from .context import Context
from .flag_tools import SLACK, ahead, cut_sets, difference, name_of, weekday, weeks_words
from .flags import Edit, Flag, Remedy, Where
from .plans import ClientTraits, SessionPlan
from .rules import Rules
from .scheme_edits import set_count
from .summary import SessionSummary

_WEEK = 7
_ROUNDING = 0.5  # whole sets cannot meet a share exactly


def return_cuts(days_away: float, rules: Rules) -> tuple[float, ...]:
    """What to take off each week's sets after so many days away: nothing, one lighter week, or four weeks."""
    if days_away >= rules.layoff_long_days:
        return (rules.return_cut_1, rules.return_cut_2, rules.return_cut_3, rules.return_cut_4)
    return (rules.lighter_week,) if days_away >= rules.layoff_days else ()


def layoff_flags(
    sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context
) -> list[Flag]:
    """One flag for each way back whose first weeks hold more sets a session than the return allows."""
    coming = ahead(sessions, context)
    if context.last_day is None or context.today is None or not context.session_sets or not coming:
        return []
    found = []
    for last, first in _gaps(coming, context.last_day, context):
        over = _over(coming, first, first - last, context.session_sets, rules)
        if over:
            found.append(_flag(first - last, over, context.session_sets, rules))
    return found


def _gaps(coming: Sequence[SessionSummary], last_day: int, context: Context) -> list[tuple[int, int]]:
    """(last day trained, first day back): before the first coming session, and over days away entered ahead.

    Other gaps in a plan are how it is written; only days that somebody will be away are a layoff to come.
    """
    days = sorted({one.plan.day for one in coming})
    gaps = [(last_day, days[0])]
    for before, after in pairwise(days):
        if any(before < last and first < after for first, last in context.away):
            gaps.append((before, after))
    return gaps


def _over(
    coming: Sequence[SessionSummary], first: int, days: int, usual: float, rules: Rules
) -> list[tuple[int, float, list[SessionSummary]]]:
    """(week back, most sets a session, sessions) of the weeks back that hold more than the return allows."""
    over = []
    for week, cut in enumerate(return_cuts(days, rules)):
        inside = [one for one in coming if first + _WEEK * week <= one.plan.day < first + _WEEK * (week + 1)]
        most = (1 - cut) * usual + _ROUNDING
        if inside and fmean(one.set_count for one in inside) > most + SLACK:
            over.append((week, most, inside))
    return over


def _flag(days: int, over: list[tuple[int, float, list[SessionSummary]]], usual: float, rules: Rules) -> Flag:
    week, _, inside = over[0]
    long = days >= rules.layoff_long_days
    cuts = ", ".join(f"{100 * cut:g}" for cut in return_cuts(days, rules))
    words = (
        f"take {cuts} % off the sets of the first weeks" if long else f"take {cuts} % off the sets of the first week"
    )
    first = inside[0].plan
    numbers = (
        ("days", days), ("session", f"{name_of(first)}, {weekday(first.day)}"), ("words", words),
        ("sets", round(fmean(one.set_count for one in inside), 1)),
        ("which", "the first week" if week == 0 else f"week {week + 1} back"), ("usual", round(usual, 1)),
    )  # fmt: skip
    edits: list[Edit] = []
    for _, most, sessions in over:
        for one in sessions:
            edits += difference(one.plan, down_to(one.plan, most))
    back = [one.plan for _, _, sessions in over for one in sessions]
    sets = [str(int(most + SLACK)) for _, most, _ in over]
    label = f"Take sets off down to {', then '.join(sets)} a session{weeks_words(plan.week_no for plan in back)}"
    where = Where(first.week_no, first.key, None, None)
    weeks = tuple(sorted({plan.week_no for plan in back}))
    because = Because("layoff", numbers)
    basis = source("layoff_long_days" if long else "layoff_days")
    return Flag("layoff", "check", where, numbers, because, basis, (Remedy(label, tuple(edits)),), weeks)


def down_to(plan: SessionPlan, most: float) -> SessionPlan:
    """The session with sets off until it holds at most so many."""

    def too_many(tried: SessionPlan) -> bool:
        return sum(set_count(one.scheme) for one in tried.exercises) > most + SLACK

    return cut_sets(plan, too_many, lambda one: 1.0)
