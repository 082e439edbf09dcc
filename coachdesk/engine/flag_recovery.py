"""Flags on hard sessions of one muscle that are too close together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from statistics import median

from .because import Because
from .constants import source
from .context import Context
from .fatigue import exposure_factor, half_life_hours, hard_from, needed_days
from .flag_tools import count_words, difference, name_of, weekday, weeks_words
from .flags import Edit, Flag, Remedy, Where
from .muscles import muscle
from .plans import ClientTraits, Key, SessionPlan
from .rules import Rules
from .scheme import Scheme
from .scheme_edits import set_count, with_rir, with_sets
from .summary import MuscleSession, SessionSummary, muscle_sessions, summary


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


def recovery_flags(
    sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context
) -> list[Flag]:
    """One flag for each pair of sessions (by name and days apart), one for each session (by name) begun unrecovered."""
    sessions = _exposed(sessions, rules, context)
    first_week = context.week_no if context.week_no is not None else 1
    groups: dict[tuple[str, str, int], list[_Pair]] = {}
    for pair in _pairs(sessions, client, rules):
        if pair.second.session.plan.week_no < first_week:
            continue
        first, second = pair.first.session.plan, pair.second.session.plan
        groups.setdefault((first.name, second.name, second.day - first.day), []).append(pair)
    close = {pair.second.session.plan.key for pairs in groups.values() for pair in pairs}
    made = [_flag(pairs, sessions, client, rules) for pairs in groups.values()]
    return made + _unrecovered_flags(sessions, close, first_week, client, rules)


def _exposed(sessions: Sequence[SessionSummary], rules: Rules, context: Context) -> Sequence[SessionSummary]:
    """With more fatigue from exercises that were done only a few times; as they are when that is not known."""
    if context.exposures is None:
        return sessions
    done = dict(context.exposures)
    made = []
    for one in sessions:
        factors = [exposure_factor(done.get(e.exercise.key, 0), rules) for e in one.prescribed.exercises]
        for key in {exercise.exercise.key for exercise in one.prescribed.exercises}:
            done[key] = done.get(key, 0) + 1
        if max(factors, default=1.0) > 1:
            exercises = tuple(
                replace(e, impulse=factor * e.impulse)
                for e, factor in zip(one.prescribed.exercises, factors, strict=True)
            )
            one = replace(one, fatigue=muscle_sessions(replace(one.prescribed, exercises=exercises)))
        made.append(one)
    return made


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
        remedies.insert(0, Remedy(move_label(name_of(second), moves), moves))
    basis = source("hours_apart_long" if worst.needed_days > 2 else "hours_apart")
    where = Where(second.week_no, second.key, None, worst.first.code)
    weeks = tuple(sorted({pair.second.session.plan.week_no for pair in pairs}))
    because = Because("sessions_too_close", numbers)
    return Flag("sessions_too_close", "check", where, numbers, because, basis, tuple(remedies), weeks)


def move_label(name: str, moves: Sequence[Edit]) -> str:
    """'Move Chest and arms to Thu', with the weeks when there are several."""
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
    keys = list(dict.fromkeys(pair.second.session.plan.key for pair in pairs))
    return moves_of(keys, sessions, client, rules)


def moves_of(
    keys: Sequence[Key], sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules
) -> tuple[Edit, ...]:
    """New days for these sessions, each in its own week on a free day; empty when one has no place."""
    moved = list(sessions)
    edits = []
    for key in keys:
        i = next(n for n, one in enumerate(moved) if one.plan.key == key)
        found = _free_day(moved, i, client, rules)
        if found is None:
            return ()
        moved[i] = replace(moved[i], plan=replace(moved[i].plan, day=found))
        edits.append(Edit("session", key, "day", found))
    return tuple(edits)


def _free_day(sessions: list[SessionSummary], i: int, client: ClientTraits, rules: Rules) -> int | None:
    """A day of the same week on which it is in no flagged pair and nobody begins unrecovered because of it."""
    plan = sessions[i].plan
    near = [one for one in sessions if abs(one.plan.day - plan.day) <= 14]
    taken = {one.plan.day for one in sessions}
    before = len(_unrecovered(near, client, rules))
    start = plan.day - plan.day % 7
    for day in sorted(range(start, start + 7), key=lambda day: (abs(day - plan.day), day)):
        if day in taken:
            continue
        tried = [replace(one, plan=replace(plan, day=day)) if one is sessions[i] else one for one in near]
        tried.sort(key=lambda one: one.plan.day)
        pairs = _pairs(tried, client, rules)
        keys = {p.first.session.plan.key for p in pairs} | {p.second.session.plan.key for p in pairs}
        starts = _unrecovered(tried, client, rules)
        keys |= {start.session.plan.key for start in starts if start.session.plan.key == plan.key}
        if plan.key not in keys and len(starts) <= before:
            return day
    return None


def _lighter(pairs: list[_Pair], client: ClientTraits, rules: Rules) -> tuple[Edit, ...]:
    codes: dict[SessionPlan, list[str]] = {}
    for pair in pairs:
        codes.setdefault(pair.second.session.plan, []).append(pair.second.code)
    limits = {pair.second.session.plan: _limit(pair.second.session, client, rules) for pair in pairs}
    return tuple(
        edit for plan, named in codes.items() for edit in lighten(plan, tuple(named), limits[plan], client, rules)
    )


def _limit(one: SessionSummary, client: ClientTraits, rules: Rules) -> float:
    """Units of the plain session that stay under the limit even where exercises are new."""
    plain = dict(muscle_sessions(one.prescribed))
    more = max((work.units / plain[code].units for code, work in one.fatigue if plain[code].units > 0), default=1.0)
    return hard_from(client, rules) / (1.0 if more <= 1 else 1.0 + rules.exposure_extra)


@lru_cache(maxsize=2048)
def lighten(
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


@dataclass(frozen=True)
class _Start:
    """A session that a muscle begins with fatigue left."""

    session: SessionSummary
    code: str
    left: float
    usual: float


def _unrecovered(sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules) -> list[_Start]:
    """Sessions that give a muscle about its usual work while too much of the work before is left.

    'Too much' is also measured against a hard session, so that light daily work raises nothing.
    """
    units: dict[str, list[float]] = {}
    for one in sessions:
        for code, work in one.fatigue:
            units.setdefault(code, []).append(work.units)
    usual = {code: median(found) for code, found in units.items()}
    halves = (half_life_hours(client, False, rules), half_life_hours(client, True, rules))
    least = rules.unrecovered * hard_from(client, rules)
    left: dict[str, tuple[int, list[float]]] = {}
    found = []
    for one in sessions:
        for code, work in one.fatigue:
            day, rest = left.get(code, (one.plan.day, [0.0, 0.0]))
            hours = 24.0 * (one.plan.day - day)
            rest = [kept * 0.5 ** (hours / half) for kept, half in zip(rest, halves, strict=True)]
            remains = sum(rest)
            much = remains > max(rules.unrecovered * usual[code], least) + 1e-9
            if much and hours > 0 and work.units >= 0.5 * usual[code]:
                found.append(_Start(one, code, remains, usual[code]))
            rest[1 if work.failure_sets > 0 else 0] += work.units
            left[code] = (one.plan.day, rest)
    return found


def _unrecovered_flags(
    sessions: Sequence[SessionSummary], close: set[Key], first_week: int, client: ClientTraits, rules: Rules
) -> list[Flag]:
    """One flag a session by name, with the muscle that has most left; not where two hard sessions are flagged."""
    groups: dict[tuple[str, int], list[_Start]] = {}
    for start in _unrecovered(sessions, client, rules):
        plan = start.session.plan
        if plan.key not in close and plan.week_no >= first_week:
            groups.setdefault((plan.name, plan.day % 7), []).append(start)
    return [_unrecovered_flag(found, sessions, client, rules) for found in groups.values()]


def _unrecovered_flag(
    found: list[_Start], sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules
) -> Flag:
    worst = max(found, key=lambda start: start.left / start.usual)
    plan = worst.session.plan
    numbers = (
        ("muscle", muscle(worst.code).name), ("session", f"{name_of(plan)}, {weekday(plan.day)},"),
        ("left", worst.left), ("percent", round(100 * worst.left / worst.usual)), ("usual", worst.usual),
        ("most", 100 * rules.unrecovered),
    )  # fmt: skip
    keys = list(dict.fromkeys(start.session.plan.key for start in found))
    out = tuple(Edit("session", key, "remove", None) for key in keys)
    weeks = tuple(sorted({start.session.plan.week_no for start in found}))
    tail = weeks_words(weeks) if len(weeks) > 1 else ""
    remedies = [Remedy(f"Take out {name_of(plan)}, {weekday(plan.day)}{tail}", out)]
    moves = moves_of(keys, sessions, client, rules)
    if moves:
        remedies.insert(0, Remedy(move_label(name_of(plan), moves), moves))
    where = Where(found[0].session.plan.week_no, found[0].session.plan.key, None, worst.code)
    because = Because("unrecovered", numbers)
    return Flag("unrecovered", "check", where, numbers, because, source("unrecovered"), tuple(remedies), weeks)
