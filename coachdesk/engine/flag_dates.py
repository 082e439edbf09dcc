"""Flags on days to train towards: tests without screening or right after hard work, peaks without lighter days."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean

from .because import Because
from .constants import source
from .context import Context, TargetDay
from .fatigue import hard_from
from .flag_layoff import down_to
from .flag_limits import SCREENING
from .flag_recovery import lighten, move_label, moves_of
from .flag_tools import SLACK, difference, name_of, weekday, weeks_words
from .flags import Edit, Flag, Remedy, Where
from .muscles import muscle
from .plans import ClientTraits, Key
from .rules import Rules
from .summary import MuscleSession, SessionSummary

# The days before a peak are measured against so many times as many days before them.
_REFERENCE = 2
Numbers = tuple[tuple[str, float | str], ...]


def date_flags(sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context) -> list[Flag]:
    """One flag for each day and cause; days that are over raise nothing."""
    if context.today is None:
        return []
    made: list[Flag] = []
    for target in (one for one in context.targets if one.day >= context.today):
        if target.kind == "test":
            made += _screening_flags(target, sessions, client)
            made += _hard_before_flags(target, sessions, client, rules, context)
        else:
            made += _peak_flags(target, sessions, rules, context)
    return made


def day_name(target: TargetDay) -> str:
    """'Test of Squat, Friday of week 4,' as the beginning of a sentence."""
    return f"{target.name}, {weekday(target.day)} of week {target.day // 7 + 1},"


def _screening_flags(target: TargetDay, sessions: Sequence[SessionSummary], client: ClientTraits) -> list[Flag]:
    """A stop that holds back the sheets of that day only: a maximum test needs a screening like any maximum."""
    if client.screening == "ok":
        return []
    expired = client.screening == "expired"
    numbers: Numbers = (("test", day_name(target)),)
    because = Because("test_expired" if expired else "test_unscreened", numbers)
    there: Key = next((one.plan.key for one in sessions if one.plan.day == target.day), f"date-{target.key}")
    where = Where(target.day // 7 + 1, there, None, None)
    out = Remedy(f"Take {target.name}, {weekday(target.day)}, out of the calendar", (_gone(target),))
    code = "clearance_expired" if expired else "screening_missing"
    return [Flag(code, "stop", where, numbers, because, SCREENING, (out,), (target.day // 7 + 1,))]


def _gone(target: TargetDay) -> Edit:
    return Edit("date", target.key, "remove", None)


def _hard_before_flags(
    target: TargetDay, sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context
) -> list[Flag]:
    """Hard work of the tested muscles (of any, for a test of several lifts) within the days before a test."""
    limit = hard_from(client, rules)
    hard: dict[Key, tuple[SessionSummary, list[tuple[str, MuscleSession]]]] = {}
    for one in sessions:
        if not 0 < target.day - one.plan.day <= rules.test_days + SLACK or one.plan.day < (context.today or 0):
            continue
        works = [(code, work) for code, work in one.fatigue if work.units >= limit - SLACK]
        works = [(code, work) for code, work in works if not target.muscles or code in target.muscles]
        if works:
            hard[one.plan.key] = (one, works)
    return [_hard_before_flag(target, one, works, sessions, client, rules) for one, works in hard.values()]


def _hard_before_flag(
    target: TargetDay, one: SessionSummary, works: list[tuple[str, MuscleSession]],
    sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules,
) -> Flag:  # fmt: skip
    code, work = max(works, key=lambda row: row[1].units)
    plan = one.plan
    numbers: Numbers = (
        ("test", day_name(target)), ("days", target.day - plan.day), ("session", name_of(plan)),
        ("muscle", muscle(code).name.lower()), ("units", work.units), ("most", rules.test_days),
    )  # fmt: skip
    codes = tuple(code for code, _ in works)
    edits = lighten(plan, codes, hard_from(client, rules), client, rules)
    label = f"{name_of(plan)}, {weekday(plan.day)}: {rules.untrained_rir:g} in reserve, sets off until it is not hard"
    remedies = [Remedy(label, edits)]
    moves = moves_of([plan.key], sessions, client, rules)
    if moves and all(_clear(edit, target, rules) for edit in moves):
        remedies.insert(0, Remedy(move_label(name_of(plan), moves), moves))
    where = Where(plan.week_no, plan.key, None, code)
    because = Because("test_after_hard", numbers)
    return Flag("test_after_hard", "check", where, numbers, because, source("test_days"), tuple(remedies),
                (plan.week_no,))  # fmt: skip


def _clear(edit: Edit, target: TargetDay, rules: Rules) -> bool:
    """Whether a move puts a session neither on the test day nor within the days before it."""
    return isinstance(edit.value, int) and not 0 <= target.day - edit.value <= rules.test_days + SLACK


def _usual(target: TargetDay, sessions: Sequence[SessionSummary], days: int) -> float:
    """Mean sets of the spans of so many days before the last one; spans not wholly known, or empty, are left out."""
    known_from = min((one.plan.day - one.plan.day % 7 for one in sessions), default=0)
    sums = []
    for n in range(1, 1 + _REFERENCE):
        last = target.day - n * days
        if last - days >= known_from:
            sums.append(sum(one.set_count for one in sessions if last - days <= one.plan.day < last))
    return fmean(found) if (found := [one for one in sums if one]) else 0.0


def _peak_flags(target: TargetDay, sessions: Sequence[SessionSummary], rules: Rules, context: Context) -> list[Flag]:
    """A note when the days before a peak hold about as many sets as the days before them."""
    days = int(rules.peak_days)
    near = [one for one in sessions if 0 < target.day - one.plan.day <= days]
    coming = [one for one in near if one.plan.day >= (context.today or 0)]
    usual = _usual(target, sessions, days)
    most = (1 - rules.lighter_week) * usual
    sets = sum(one.set_count for one in near)
    if not usual or not coming or sets <= most + SLACK:
        return []
    numbers: Numbers = (
        ("peak", day_name(target)), ("days", days), ("sets", sets), ("usual", round(usual, 1)),
        ("percent", round(100 * rules.lighter_week)),
    )  # fmt: skip
    done = sets - sum(one.set_count for one in coming)
    share = max(0.0, most - done) / (sets - done)
    edits = tuple(
        edit for one in coming for edit in difference(one.plan, down_to(one.plan, int(share * one.set_count + SLACK)))
    )
    weeks = tuple(sorted({one.plan.week_no for one in coming}))
    label = f"A lighter week before it: down to {int(most + SLACK)} sets in {days} days{weeks_words(weeks)}"
    where = Where(target.day // 7 + 1, None, None, None)
    because = Because("peak_not_lighter", numbers)
    return [Flag("peak_not_lighter", "note", where, numbers, because, source("peak_days"), (Remedy(label, edits),),
                 weeks)]  # fmt: skip
