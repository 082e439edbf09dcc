"""Flags on one session at a time: too many sets for a muscle, and more time than there is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from .because import Because
from .constants import source
from .context import Context
from .flag_tools import SLACK, ahead, cut_sets, difference, edited, name_of, sets_label, weekday, weeks_words
from .flags import Edit, Flag, Remedy, Where
from .muscles import muscle
from .plans import ClientTraits, ExercisePlan, SessionPlan
from .rules import Rules
from .scheme import Scheme
from .summary import SessionSummary, summary

_SHORTEST_REST = 60.0
Found = list[tuple[SessionSummary, float]]


def session_flags(
    sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context
) -> list[Flag]:
    """One flag a session (by name and weekday) and muscle with too many sets; one a session that takes too long."""
    return _set_flags(sessions, client, rules) + _time_flags(ahead(sessions, context), client, rules, context)


def is_careful_level(client: ClientTraits, rules: Rules) -> bool:
    """Novices, and people from the age of the house rule."""
    return client.level == "novice" or client.is_older(rules.older_age)


def _most_sets(client: ClientTraits, rules: Rules) -> float:
    return rules.session_sets_careful if is_careful_level(client, rules) else rules.session_sets


def _set_flags(sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules) -> list[Flag]:
    most = _most_sets(client, rules)
    marks = dict(client.marks)
    groups: dict[tuple[str, int, str], Found] = {}
    for one in sessions:
        for code, week in one.muscles:
            if week.low > most + SLACK and marks.get(code) != "rehab":
                groups.setdefault((one.plan.name, one.plan.day % 7, code), []).append((one, week.low))
    return [_set_flag(code, found, client, rules) for (_, _, code), found in groups.items()]


def _set_flag(code: str, found: Found, client: ClientTraits, rules: Rules) -> Flag:
    most, careful = _most_sets(client, rules), is_careful_level(client, rules)
    one, sets = max(found, key=lambda pair: pair[1])
    kind = "session_sets_careful" if careful else "session_sets"
    numbers: tuple[tuple[str, float | str], ...] = (
        ("muscle", muscle(code).name), ("sets", sets), ("session", name_of(one.plan)), ("most", most),
    )  # fmt: skip
    if careful:
        numbers += (("age", rules.older_age),)
    edits = tuple(edit for s, _ in found for edit in _fewer_sets(s.plan, code, most, client, rules))
    remedy = Remedy(sets_label([s.plan for s, _ in found], edits), edits)
    where = Where(found[0][0].plan.week_no, found[0][0].plan.key, None, code)
    return Flag("session_sets", "check", where, numbers, Because(kind, numbers), source(kind), (remedy,), _weeks(found))


def _weeks(found: Found) -> tuple[int, ...]:
    return tuple(sorted({one.plan.week_no for one, _ in found}))


def _fewer_sets(plan: SessionPlan, code: str, most: float, client: ClientTraits, rules: Rules) -> tuple[Edit, ...]:
    def too_much(tried: SessionPlan) -> bool:
        week = dict(summary(tried, client, rules).muscles).get(code)
        return week is not None and week.low > most + SLACK

    def share(one: ExercisePlan) -> float:
        return dict(one.exercise.muscles).get(code, 0.0)

    return difference(plan, cut_sets(plan, too_much, share))


def _most_minutes(rules: Rules, context: Context) -> float:
    there = context.minutes or 0.0
    return there + max(rules.over_time_share * there, rules.over_time_min)


def _time_flags(sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context) -> list[Flag]:
    if context.minutes is None:
        return []
    most = _most_minutes(rules, context)
    groups: dict[tuple[str, int], Found] = {}
    for one in sessions:
        minutes = one.prescribed.seconds / 60 * context.minutes_ratio
        if minutes > most + SLACK:
            groups.setdefault((one.plan.name, one.plan.day % 7), []).append((one, minutes))
    return [_time_flag(found, client, rules, context) for found in groups.values()]


def _time_flag(found: Found, client: ClientTraits, rules: Rules, context: Context) -> Flag:
    there = context.minutes or 0.0
    one, minutes = max(found, key=lambda pair: pair[1])
    severe = minutes > there * (1 + rules.over_time_severe)
    name = f"{name_of(one.plan)}, {weekday(one.plan.day)},"
    numbers = (
        ("session", name), ("minutes", round(minutes)), ("available", round(there)),
        ("over", round(minutes) - round(there)), ("severe", ", far over" if severe else ""),
    )  # fmt: skip
    remedies = [_shorter_by_sets(found, client, rules, context)]
    rests = _shorter_by_rests(found, client, rules, context)
    if rests is not None:
        remedies.append(rests)
    where = Where(found[0][0].plan.week_no, found[0][0].plan.key, None, None)
    basis = source("over_time_share")
    because = Because("over_time", numbers)
    return Flag("over_time", "check", where, numbers, because, basis, tuple(remedies), _weeks(found))


@lru_cache(maxsize=4096)
def _within(plan: SessionPlan, seconds: float, client: ClientTraits, rules: Rules) -> SessionPlan:
    """The session with sets taken off until it takes no more seconds; the last exercises give first."""

    def too_long(tried: SessionPlan) -> bool:
        return summary(tried, client, rules).prescribed.seconds > seconds

    return cut_sets(plan, too_long, lambda one: 1.0)


def _shorter_by_sets(found: Found, client: ClientTraits, rules: Rules, context: Context) -> Remedy:
    # as near to the time there is as whole sets come
    seconds = (context.minutes or 0.0) * 60 / context.minutes_ratio
    plans = [one.plan for one, _ in found]
    edits = tuple(edit for plan in plans for edit in difference(plan, _within(plan, seconds, client, rules)))
    return Remedy(sets_label(plans, edits), edits)


def _shorter_by_rests(found: Found, client: ClientTraits, rules: Rules, context: Context) -> Remedy | None:
    """Rests a quarter shorter, none under a minute; None when that is not enough."""
    most = _most_minutes(rules, context) * 60 / context.minutes_ratio
    edits: list[Edit] = []
    for one, _ in found:
        edits += [
            Edit("exercise", row.key, "scheme", _brisk(row.scheme))
            for row in one.plan.exercises
            if _brisk(row.scheme) != row.scheme
        ]
    shorter = edited([one.plan for one, _ in found], edits)
    if any(summary(plan, client, rules).prescribed.seconds > most for plan in shorter):
        return None
    name = f"{name_of(found[0][0].plan)}, {weekday(found[0][0].plan.day)}"
    return Remedy(f"Rest a quarter less in {name}{weeks_words(_weeks(found))}", tuple(edits))


def _brisk(scheme: Scheme) -> Scheme:
    rest = scheme.rest_s
    if rest > _SHORTEST_REST:
        rest = max(_SHORTEST_REST, 15.0 * round(rest * 0.75 / 15))
    return replace(scheme, rest_s=rest, parts=tuple(_brisk(part) for part in scheme.parts))
