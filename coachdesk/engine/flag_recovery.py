"""Flags on hard sessions of one muscle that are too close together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

from .because import Because
from .constants import source
from .errors import instance, number
from .flag_tools import count_words, difference, name_of, weekday, weeks_words
from .flags import Edit, Flag, Remedy, Where
from .muscles import muscle
from .plans import ClientTraits, SessionPlan
from .rules import Rules
from .scheme import Scheme
from .scheme_edits import set_count, with_rir, with_sets
from .summary import MuscleSession, SessionSummary, summary


@dataclass(frozen=True)
class _Hard:
    """A session that is hard for a muscle."""

    session: SessionSummary
    code: str
    work: MuscleSession

    @property
    def day(self) -> int:
        return self.session.plan.day


@dataclass(frozen=True)
class _Pair:
    first: _Hard
    second: _Hard
    needed_days: int


def _slow(client: ClientTraits, rules: Rules) -> bool:
    return client.level == "novice" or client.is_older(rules.older_age)


def hard_from(client: ClientTraits, rules: Rules) -> float:
    """Units from which a session is a high-fatigue session for a muscle."""
    instance("client", client, ClientTraits)
    instance("rules", rules, Rules)
    return rules.high_fatigue_careful if _slow(client, rules) else rules.high_fatigue


def needed_days(failure_sets: float, client: ClientTraits, rules: Rules) -> int:
    """Calendar days to the next hard session after one with this many sets to failure or with drops."""
    instance("client", client, ClientTraits)
    instance("rules", rules, Rules)
    number("sets to failure", failure_sets, 0, 1000)
    long = failure_sets >= rules.long_gap_failure_sets or _slow(client, rules)
    hours = rules.hours_apart_long if long else rules.hours_apart
    return int(-(-hours // 24))


def _hard_sessions(sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules) -> dict[str, list[_Hard]]:
    limit = hard_from(client, rules)
    by_muscle: dict[str, list[_Hard]] = {}
    for one in sorted(sessions, key=lambda one: one.plan.day):
        for code, work in one.fatigue:
            if work.units >= limit:
                by_muscle.setdefault(code, []).append(_Hard(one, code, work))
    return by_muscle


def _pairs(sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules) -> list[_Pair]:
    made = []
    for hard in _hard_sessions(sessions, client, rules).values():
        for first, second in pairwise(hard):
            needed = needed_days(first.work.failure_sets, client, rules)
            if second.day - first.day < needed:
                made.append(_Pair(first, second, needed))
    return made


def recovery_flags(sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules) -> list[Flag]:
    """One flag for each pair of sessions (by name and days apart), over all weeks and muscles."""
    groups: dict[tuple[str, str, int], list[_Pair]] = {}
    for pair in _pairs(sessions, client, rules):
        first, second = pair.first.session.plan, pair.second.session.plan
        groups.setdefault((first.name, second.name, second.day - first.day), []).append(pair)
    return [_flag(pairs, sessions, client, rules) for pairs in groups.values()]


def _flag(pairs: list[_Pair], sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules) -> Flag:
    earliest = min(pair.second.day for pair in pairs)
    worst = max((p for p in pairs if p.second.day == earliest), key=lambda p: p.first.work.units + p.second.work.units)
    first, second = worst.first.session.plan, worst.second.session.plan
    numbers = (
        ("muscle", muscle(worst.first.code).name),
        ("first", first.name or "a session"),
        ("first_units", worst.first.work.units),
        ("second", second.name or "a session"),
        ("second_units", worst.second.work.units),
        ("days", second.day - first.day),
        ("needed", worst.needed_days),
    )
    lighter = _lighter(pairs, client, rules)
    remedies = [Remedy(_lighter_label(pairs, lighter, rules), lighter)]
    moves = _moves(pairs, sessions, client, rules)
    if moves:
        remedies.insert(0, Remedy(move_label(name_of(second), pairs, moves), moves))
    basis = source("hours_apart_long" if worst.needed_days > 2 else "hours_apart")
    where = Where(second.week_no, second.key, None, worst.first.code)
    weeks = tuple(sorted({pair.second.session.plan.week_no for pair in pairs}))
    because = Because("sessions_too_close", numbers)
    return Flag("sessions_too_close", "check", where, numbers, because, basis, tuple(remedies), weeks)


def move_label(name: str, pairs: Sequence[object], moves: Sequence[Edit]) -> str:
    """'Move Chest and arms to Thursday', with the weeks when there are several."""
    days = [edit.value for edit in moves if isinstance(edit.value, int)]
    weeks = weeks_words(day // 7 + 1 for day in days) if len(days) > 1 else ""
    return f"Move {name} to {' or '.join(dict.fromkeys(weekday(day)[:3] for day in sorted(days)))}{weeks}"


def _lighter_label(pairs: list[_Pair], edits: tuple[Edit, ...], rules: Rules) -> str:
    plans = {pair.second.session.plan.key: pair.second.session.plan for pair in pairs}
    rows = {one.key: one for plan in plans.values() for one in plan.exercises}
    off = sum(set_count(rows[e.key].scheme) - (set_count(e.value) if isinstance(e.value, Scheme) else 0) for e in edits)
    first = next(iter(plans.values()))
    weeks = {plan.week_no for plan in plans.values()}
    tail = weeks_words(weeks) if len(weeks) > 1 else ""
    fewer = f" and {count_words(off, 'set')} fewer" if off else ""
    return f"{name_of(first)}, {weekday(first.day)}: {rules.untrained_rir:g} in reserve{fewer}{tail}"


def _moves(
    pairs: list[_Pair], sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules
) -> tuple[Edit, ...]:
    """New days for the second sessions, each in its own week on a free day; empty when one has no place."""
    moved = list(sessions)
    edits = []
    for key in dict.fromkeys(pair.second.session.plan.key for pair in pairs):
        i = next(n for n, one in enumerate(moved) if one.plan.key == key)
        found = _free_day(moved, i, client, rules)
        if found is None:
            return ()
        moved[i] = replace(moved[i], plan=replace(moved[i].plan, day=found))
        edits.append(Edit("session", key, "day", found))
    return tuple(edits)


def _free_day(sessions: list[SessionSummary], i: int, client: ClientTraits, rules: Rules) -> int | None:
    plan = sessions[i].plan
    near = [one for one in sessions if abs(one.plan.day - plan.day) <= 14]
    taken = {one.plan.day for one in sessions}
    start = plan.day - plan.day % 7
    for day in sorted(range(start, start + 7), key=lambda day: (abs(day - plan.day), day)):
        if day in taken:
            continue
        tried = [replace(one, plan=replace(plan, day=day)) if one is sessions[i] else one for one in near]
        keys = {p.first.session.plan.key for p in _pairs(tried, client, rules)}
        keys |= {p.second.session.plan.key for p in _pairs(tried, client, rules)}
        if plan.key not in keys:
            return day
    return None


def _lighter(pairs: list[_Pair], client: ClientTraits, rules: Rules) -> tuple[Edit, ...]:
    limit = hard_from(client, rules)
    codes: dict[SessionPlan, list[str]] = {}
    for pair in pairs:
        codes.setdefault(pair.second.session.plan, []).append(pair.second.code)
    return tuple(edit for plan, named in codes.items() for edit in _lighten(plan, tuple(named), limit, client, rules))


@lru_cache(maxsize=2048)
def _lighten(
    plan: SessionPlan, codes: tuple[str, ...], limit: float, client: ClientTraits, rules: Rules
) -> tuple[Edit, ...]:
    """Edits that bring a session under `limit` units for the muscles: RIR 3 first, then fewer sets."""
    shares = {one.key: max((s for c, s in one.exercise.muscles if c in codes), default=0.0) for one in plan.exercises}
    made = replace(plan, exercises=tuple(
        replace(one, scheme=with_rir(one.scheme, rules.untrained_rir)) if shares[one.key] else one
        for one in plan.exercises
    ))  # fmt: skip
    while _too_hard(made, codes, limit, client, rules):
        rows = [one for one in made.exercises if shares[one.key]]
        most = max(rows, key=lambda one: (set_count(one.scheme), shares[one.key]))
        n = set_count(most.scheme) - 1
        kept = [one for one in made.exercises if one is not most or n]
        less = [replace(one, scheme=with_sets(one.scheme, n)) if one is most else one for one in kept]
        made = replace(made, exercises=tuple(less))
    return difference(plan, made)


def _too_hard(plan: SessionPlan, codes: tuple[str, ...], limit: float, client: ClientTraits, rules: Rules) -> bool:
    fatigue = dict(summary(plan, client, rules).fatigue)
    return any(code in fatigue and fatigue[code].units >= limit for code in codes)
