"""Flags on what is asked for: reps the model thinks impossible, and loads that jump."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from .because import Because
from .constants import source
from .context import Context, LoadDone
from .curves import curve_for
from .equipment import _makeable
from .errors import EngineError
from .flag_tools import SLACK, ahead, edited, weekday, weeks_words
from .flags import Edit, Flag, Remedy, Where
from .loads import _KG, format_load
from .plans import ClientTraits, ExercisePlan, Key, SessionPlan
from .rules import Rules
from .scheme import RepRule, Scheme, StepRule, map_steps
from .scheme_edits import with_effort, with_loads_as_made
from .summary import Demand, Miss, SessionSummary, summary

_WINDOW = 28
_EASY_RIR = 3.0
_MOST_CUTS = 4
Changes = Callable[[ExercisePlan, Miss, Rules], Iterator[Scheme]]
Jump = tuple[SessionSummary, Demand, float]


def target_flags(
    sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context
) -> list[Flag]:
    """One flag an exercise whose reps cannot be expected, one an exercise whose load jumps, over all weeks."""
    coming = ahead(sessions, context)
    return _impossible_flags(coming, client, rules, context) + _jump_flags(sessions, client, rules, context)


def _is_impossible(miss: Miss, rules: Rules, context: Context) -> bool:
    calibrated = miss.plan.exercise.key in context.calibrated
    ratio = rules.impossible_calibrated if calibrated else rules.impossible_ratio
    return miss.reps - miss.expected >= rules.impossible_reps - SLACK and miss.reps > ratio * miss.expected + SLACK


def _impossible_flags(
    sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context
) -> list[Flag]:
    groups: dict[Key, list[tuple[SessionSummary, Miss]]] = {}
    for one in sessions:
        for miss in one.misses:
            if _is_impossible(miss, rules, context):
                groups.setdefault(miss.plan.exercise.key, []).append((one, miss))
    return [_impossible_flag(found, client, rules, context) for found in groups.values()]


def _impossible_flag(
    found: list[tuple[SessionSummary, Miss]], client: ClientTraits, rules: Rules, context: Context
) -> Flag:
    one, miss = found[0]
    name, day = miss.plan.exercise.name, weekday(one.plan.day)
    numbers = (("exercise", name), ("set", miss.set_no), ("reps", miss.reps), ("expected", round(miss.expected, 1)))
    weeks = tuple(sorted({s.plan.week_no for s, _ in found}))
    tail = weeks_words(weeks) if len(weeks) > 1 else ""
    remedies = []
    for label, changes in (
        (f"Let the load of {name} fall with the strength left{tail}", _follow),
        (f"Ask for no more reps of {name} than can be expected{tail}", _fewer_reps),
        (f"Let reps and RIR decide the load of {name}{tail}", _by_effort),
    ):
        edits = []
        for s, m in found:
            scheme = _first_that_fits(s.plan, m.plan.key, changes, client, rules, context)
            if scheme is not None:
                edits.append(Edit("exercise", m.plan.key, "scheme", scheme))
        if len(edits) == len(found):
            remedies.append(Remedy(label, tuple(edits)))
    if not remedies:
        gone = tuple(Edit("exercise", m.plan.key, "remove", None) for _, m in found)
        remedies = [Remedy(f"Take out {name}, {day}{tail}", gone)]
    where = Where(one.plan.week_no, one.plan.key, miss.plan.key, None)
    because = Because("target_impossible", numbers)
    basis = source("impossible_ratio")
    return Flag("target_impossible", "check", where, numbers, because, basis, tuple(remedies[:2]), weeks)


@lru_cache(maxsize=4096)
def _first_that_fits(
    plan: SessionPlan, key: Key, changes: Changes, client: ClientTraits, rules: Rules, context: Context
) -> Scheme | None:
    """The first scheme of `changes` whose reps can be expected in this session; None when there is none."""
    planned = next(row for row in plan.exercises if row.key == key)
    made = summary(plan, client, rules)
    misses = {miss.plan.key: miss for miss in made.misses}
    for scheme in changes(planned, misses[key], rules):
        (tried,) = edited([plan], [Edit("exercise", key, "scheme", scheme)])
        if not any(
            m.plan.key == key and _is_impossible(m, rules, context) for m in summary(tried, client, rules).misses
        ):
            return scheme
    return None


def _follow(plan: ExercisePlan, miss: Miss, rules: Rules) -> Iterator[Scheme]:
    """The load follows the strength left, so that the reserve is kept; a step without a reserve keeps one."""

    def follow(step: StepRule) -> StepRule:
        counted = step.reps.counts_reps and step.reps.kind != "failure"
        return replace(step, hold="rir", rir=step.rir or 0.0) if counted else step

    try:
        yield map_steps(plan.scheme, follow)
    except EngineError:
        return


def _fewer_reps(plan: ExercisePlan, miss: Miss, rules: Rules) -> Iterator[Scheme]:
    most = max(1, math.floor(miss.expected))
    for reps in range(most, max(0, most - _MOST_CUTS), -1):
        yield map_steps(plan.scheme, lambda step, reps=reps: _at_most(step, reps))  # type: ignore[misc]


def _at_most(step: StepRule, reps: int) -> StepRule:
    rule = step.reps
    if rule.kind not in ("reps", "range", "at_least") or rule.low <= reps:
        return step
    high = min(rule.high, reps)
    kind = rule.kind if rule.kind == "at_least" else "reps"
    return replace(step, reps=RepRule(kind, high, high))


def _by_effort(plan: ExercisePlan, miss: Miss, rules: Rules) -> Iterator[Scheme]:
    for rir in (2.0, rules.untrained_rir):
        scheme = with_effort(plan.scheme, rir, fixed_too=True)
        yield scheme
        yield from _follow(replace(plan, scheme=scheme), miss, rules)


def _jump_flags(sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context) -> list[Flag]:
    groups: dict[Key, list[Jump]] = {}
    for jump in _jumps(sessions, rules, context):
        groups.setdefault(jump[1].plan.exercise.key, []).append(jump)
    return [_jump_flag(found, sessions, client, rules, context) for found in groups.values()]


def _jumps(sessions: Sequence[SessionSummary], rules: Rules, context: Context) -> list[Jump]:
    """Loads above the hardest of the last four weeks by more than the house rule and more than one place up."""
    first = context.today if context.today is not None else -(10**9)
    known = {done.exercise: done for done in context.loads}
    before: dict[Key, list[tuple[int, float]]] = {}
    found = []
    for one in sessions:
        for demand in one.demands:
            key, day = demand.plan.exercise.key, one.plan.day
            if day >= first and key in known:
                before.setdefault(key, []).append((day, _done_kg(known.pop(key), demand, rules)))
            recent = [kg for seen, kg in before.get(key, []) if day - seen <= _WINDOW]
            if recent and day >= first and _is_jump(demand, max(recent), rules):
                found.append((one, demand, max(recent)))
            before.setdefault(key, []).append((day, demand.implied_kg))
    return found


def _done_kg(done: LoadDone, demand: Demand, rules: Rules) -> float:
    """The maximum that the hardest recent set implies."""
    phi = curve_for(rules.curve, demand.plan.exercise.endurance).phi
    return done.kg / phi(min(30.0, done.reps + (done.rir or 0.0)))


def _is_jump(demand: Demand, before_kg: float, rules: Rules) -> bool:
    if demand.implied_kg <= (1 + rules.load_jump) * before_kg * (1 + 1e-6):
        return False
    reserve = demand.step.rir_expected
    if reserve is not None and reserve >= _EASY_RIR - 0.05:
        return False  # still easy by the estimate: the load before was far too light
    return _places_up(demand, before_kg) > 1


def _places_up(demand: Demand, before_kg: float) -> int:
    """How many makeable loads further up than the one that asks the same as before; 2 when nothing is known."""
    loads = _makeable(demand.plan.equipment) if demand.plan.equipment else ()
    same = _same_demand(demand, before_kg)
    if not loads or demand.step.load is None:
        return 2
    return bisect_right(loads, demand.step.load) - bisect_right(loads, same * (1 + 1e-6))


def _same_demand(demand: Demand, kg: float) -> float:
    """The load in thousandths that asks for an implied maximum of `kg` at the reps of this set."""
    assert demand.step.load is not None
    return demand.step.load * kg / demand.implied_kg


def _jump_flag(
    found: list[Jump], sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context
) -> Flag:
    one, demand, before = found[0]
    load, unit = demand.step.load or 0, demand.step.unit
    numbers = (
        ("exercise", demand.plan.exercise.name), ("load", format_load(load)), ("unit", unit),
        ("reps", demand.step.reps_low), ("percent", round(100 * (demand.implied_kg / before - 1))),
        ("before", format_load(round(_same_demand(demand, before) / 250) * 250)), ("most", 100 * rules.load_jump),
    )  # fmt: skip
    edits = _lower(demand.plan.exercise.key, sessions, client, rules, context)
    weeks = tuple(sorted({s.plan.week_no for s, _, _ in found}))
    tail = weeks_words(weeks) if len(weeks) > 1 else ""
    label = f"Write a load of {demand.plan.exercise.name} that asks at most {100 * rules.load_jump:g} % more{tail}"
    where = Where(one.plan.week_no, one.plan.key, demand.plan.key, None)
    because = Because("load_jump", numbers)
    return Flag("load_jump", "check", where, numbers, because, source("load_jump"), (Remedy(label, edits),), weeks)


def _lower(
    key: Key, sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context
) -> tuple[Edit, ...]:
    """Loads capped session after session: each capped one is what the next is measured against."""
    now = list(sessions)
    edits: dict[Key, Edit] = {}
    for _ in range(len(sessions) + 1):
        jump = next((j for j in _jumps(now, rules, context) if j[1].plan.exercise.key == key), None)
        if jump is None:
            break
        one, demand, before = jump
        edit = Edit("exercise", demand.plan.key, "scheme", _capped(one, demand, before, rules))
        if edits.get(demand.plan.key) == edit:
            edit = Edit("exercise", demand.plan.key, "remove", None)
        edits[demand.plan.key] = edit
        (plan,) = edited([one.plan], [edit])
        now[now.index(one)] = summary(plan, client, rules)
    return tuple(edits.values())


def _capped(one: SessionSummary, demand: Demand, before_kg: float, rules: Rules) -> Scheme:
    made = next(e for e in one.prescribed.exercises if e.key == demand.plan.key)
    phi = curve_for(rules.curve, demand.plan.exercise.endurance).phi
    most_kg = (1 + rules.load_jump) * before_kg
    loads = _makeable(demand.plan.equipment) if demand.plan.equipment else ()
    caps: list[int | None] = []
    for steps in made.sets:
        step = steps[0]
        if step.load is None or step.to_failure:
            caps.append(step.load)
            continue
        cap = most_kg * phi(min(30.0, max(1.0, step.reps_low + (step.rir or 0.0)))) / _KG[step.unit]
        place = bisect_right(loads, cap * (1 + 1e-9))
        under = loads[place - 1] if place else loads[0] if loads else math.floor(cap / 500) * 500
        caps.append(min(step.load, under))
    return with_loads_as_made(demand.plan.scheme, tuple(caps), made.sets[0][0].unit)
