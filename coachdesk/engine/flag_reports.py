"""Flags on what the logs say of the client's reports: RIR that tells nothing, days that are all alike."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import permutations

from .because import Because
from .constants import source
from .context import Context
from .flag_tools import SLACK, ahead, listed, name_of, weekday, weeks_words
from .flags import Edit, Flag, Remedy, Where
from .load_series import mean_and_sd
from .plans import ClientTraits, ExercisePlan, SessionPlan
from .rules import Rules
from .scheme import RepRule, Scheme, StepRule, map_steps
from .scheme_edits import set_count, with_sets
from .scheme_words import plain
from .summary import SessionSummary, summary

_INFORMATIVE_RIR = 1.0
_FORTNIGHT, _WEEK = 14, 7
_UNLIMITED, _SHOWN = 99.0, 10.0
_LEAST_FIRST = ((0, 1), (0, 2), (1, 0), (1, 1), (2, 0))  # (sessions taken out, sessions halved)


def report_flags(
    sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context
) -> list[Flag]:
    """At most one flag on RIR and one on monotony."""
    return _rir_flags(sessions, client, rules, context) + _monotony_flags(sessions, client, rules, context)


def _rir_flags(sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context) -> list[Flag]:
    """Nothing to learn from the latest sets, and nothing planned that would change that."""
    latest = context.reports[-int(rules.same_reports) :]
    typed = {rir for rir in latest if rir is not None}
    if len(latest) < rules.same_reports - SLACK or len(typed) > 1 or _is_untrained(client, rules):
        return []
    coming = _within(sessions, context, _FORTNIGHT)
    if not coming or any(_informs(one) for one in coming):
        return []
    target = _first_loaded(coming)
    if target is None:
        return []
    one, plan = target
    numbers = (("count", len(latest)), ("what", _report_words(latest)))
    last = "the last set" if set_count(plan.scheme) > 1 else "the set"
    label = f"Take {last} of {plan.exercise.name}, {weekday(one.plan.day)}, to {_INFORMATIVE_RIR:g} in reserve"
    edit = Edit("exercise", plan.key, "scheme", _open_last(plan.scheme))
    where = Where(one.plan.week_no, one.plan.key, None, None)
    weeks = tuple(sorted({s.plan.week_no for s in coming}))
    because, basis = Because("rir_uninformative", numbers), source("same_reports")
    remedies = (Remedy(label + weeks_words([one.plan.week_no]), (edit,)),)
    return [Flag("rir_uninformative", "note", where, numbers, because, basis, remedies, weeks)]


def _is_untrained(client: ClientTraits, rules: Rules) -> bool:
    """Nobody should go near failure yet, so nothing can be asked for."""
    return client.weeks_trained is not None and client.weeks_trained < rules.untrained_weeks


def _within(sessions: Sequence[SessionSummary], context: Context, days: int) -> list[SessionSummary]:
    coming = ahead(sessions, context)
    first = context.today if context.today is not None else (coming[0].plan.day if coming else 0)
    return [one for one in coming if one.plan.day < first + days]


def _informs(one: SessionSummary) -> bool:
    return any(rir <= _INFORMATIVE_RIR + SLACK and _is_loaded(plan) for plan, rir in one.limits)


def _is_loaded(plan: ExercisePlan) -> bool:
    return plan.exercise.equipment_kind not in ("bodyweight", "band")


def _first_loaded(sessions: Sequence[SessionSummary]) -> tuple[SessionSummary, ExercisePlan] | None:
    """The first planned exercise with a load of its own and plain repetitions."""
    for one in sessions:
        for plan in one.plan.exercises:
            step = plan.scheme.step
            if _is_loaded(plan) and step is not None and step.reps.kind in ("reps", "range") and not plan.scheme.drops:
                return one, plan
    return None


def _report_words(latest: Sequence[float | None]) -> str:
    rir = next((rir for rir in latest if rir is not None), None)
    ticked = sum(1 for one in latest if one is None)
    if rir is None:
        return "ticked off as written without a RIR"
    same = f"reported with {plain(round(rir, 1))} in reserve"
    return f"{same} or ticked off as written" if ticked else same


def _open_last(scheme: Scheme) -> Scheme:
    """The last set with one in reserve at the same reps; a single set becomes that set."""

    def nearer(step: StepRule) -> StepRule:
        rule = step.reps
        return replace(step, rir=_INFORMATIVE_RIR, reps=RepRule(rule.kind, rule.low, rule.high))

    last = map_steps(with_sets(scheme, 1), nearer)
    n = set_count(scheme)
    return last if n == 1 else Scheme("series", parts=(with_sets(scheme, n - 1), last), rest_s=scheme.rest_s)


def _monotony_of(loads: Sequence[float]) -> float:
    """Mean by sample SD; a number too big to matter when all days are alike."""
    mean, sd = mean_and_sd(list(loads))
    return _UNLIMITED if sd <= 1e-9 * max(mean, 1e-9) else min(_UNLIMITED, mean / sd)


def _monotony_flags(
    sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context
) -> list[Flag]:
    """Seven alike days behind, all rated, and seven alike days planned."""
    if context.today is None or len(context.day_loads) != _WEEK or context.session_count < rules.monotony_sessions:
        return []
    loads = [load for load in context.day_loads if load is not None]
    behind = _monotony_of(loads) if len(loads) == _WEEK else 0.0
    if not rules.monotony_from <= behind < _UNLIMITED:
        return []  # unrated days, or an SD of 0: monotony is not defined
    coming = _within(sessions, context, _WEEK)
    planned = _monotony_of(_planned_loads(coming, sessions, loads, context))
    found = _break_up(coming, sessions, loads, client, rules, context) if planned >= rules.monotony_from else None
    if found is None:
        return []
    numbers = (
        ("monotony", round(behind, 2)), ("count", context.session_count),
        ("planned", plain(round(planned, 1)) if planned < _SHOWN else f"{_SHOWN:g} or more"),
        ("most", rules.monotony_from),
    )  # fmt: skip
    weeks = tuple(sorted({one.plan.week_no for one in coming}))
    where = Where(coming[0].plan.week_no)
    because, basis = Because("monotony", numbers), source("monotony_from")
    return [Flag("monotony", "check", where, numbers, because, basis, (found,), weeks)]


def _planned_loads(
    coming: Sequence[SessionSummary], sessions: Sequence[SessionSummary], loads: Sequence[float], context: Context
) -> list[float]:
    """The seven days ahead: each day's load of last week, changed as its sessions' planned time changes.

    A week of which no session is known counts as planned like the one before.
    """
    assert context.today is not None
    made = list(loads)
    known = {one.plan.week_no for one in sessions}
    for day in range(context.today, context.today + _WEEK):
        then = sum(one.prescribed.seconds for one in sessions if one.plan.day == day - _WEEK)
        if then > 0 and day // _WEEK + 1 in known:
            now = sum(one.prescribed.seconds for one in coming if one.plan.day == day)
            made[day - context.today] *= now / then
    return made


def _break_up(
    coming: Sequence[SessionSummary], sessions: Sequence[SessionSummary], loads: Sequence[float],
    client: ClientTraits, rules: Rules, context: Context,
) -> Remedy | None:  # fmt: skip
    """The least that breaks the week up: sets halved in a session or two, or sessions out. None when nothing helps."""
    halved = [summary(_halved(one.plan), client, rules) for one in coming]
    for outs, halves in _LEAST_FIRST:
        for picked in permutations(range(len(coming)), outs + halves):
            gone, less = picked[:outs], picked[outs:]
            now = [halved[i] if i in less else one for i, one in enumerate(coming) if i not in gone]
            if _monotony_of(_planned_loads(now, sessions, loads, context)) < rules.monotony_from:
                return _lighter_week([coming[i].plan for i in gone], [coming[i].plan for i in less])
    return None


def _lighter_week(gone: list[SessionPlan], less: list[SessionPlan]) -> Remedy:
    parts = [f"halve the sets of {_names(less)}"] if less else []
    parts += [f"take out {_names(gone)}"] if gone else []
    label = " and ".join(parts)
    edits = [
        Edit("exercise", row.key, "scheme", with_sets(row.scheme, _half(row.scheme)))
        for plan in less
        for row in plan.exercises
        if set_count(row.scheme) > 1
    ]
    edits += [Edit("session", plan.key, "remove", None) for plan in gone]
    return Remedy(label[0].upper() + label[1:], tuple(edits))


def _names(plans: list[SessionPlan]) -> str:
    return listed([f"{name_of(plan)} ({weekday(plan.day)})" for plan in plans])


def _half(scheme: Scheme) -> int:
    return max(1, set_count(scheme) // 2)


def _halved(plan: SessionPlan) -> SessionPlan:
    rows = tuple(replace(row, scheme=with_sets(row.scheme, _half(row.scheme))) for row in plan.exercises)
    return replace(plan, exercises=rows)
