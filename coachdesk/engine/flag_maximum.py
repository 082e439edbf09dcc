"""Flags on the maxima behind prescribed loads: old, hardly known, or from another place's machine."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from .because import Because
from .constants import source
from .context import Context
from .flag_tools import SLACK, ahead, weeks_words
from .flags import Edit, Flag, Remedy, Where
from .plans import ClientTraits, ExercisePlan, Key
from .rules import Rules
from .scheme import expand
from .scheme_edits import with_effort
from .summary import SessionSummary

Numbers = tuple[tuple[str, float | str], ...]
Check = Callable[[ExercisePlan, str, ClientTraits, Rules, Context], Numbers | None]
_RULES = {"percent": "percentage of 1RM", "rep_max": "rep maximum", "fixed": "fixed load"}
_MACHINES = "machines of different makes give different loads at the same number; common practice, no source"


def maximum_flags(
    sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context
) -> list[Flag]:
    """One flag a code and exercise over all coming weeks; loads that reps and RIR decide correct themselves."""
    groups: dict[tuple[str, Key], list[tuple[SessionSummary, ExercisePlan, Numbers]]] = {}
    for one in ahead(sessions, context):
        for plan in one.plan.exercises:
            kinds = {step.load.kind for steps in expand(plan.scheme) for step in steps}
            rule = next((kind for kind in ("percent", "rep_max") if kind in kinds), "fixed" if "fixed" in kinds else "")
            if not rule:
                continue
            for code, check in _CHECKS.items():
                numbers = check(plan, rule, client, rules, context)
                if numbers is not None:
                    groups.setdefault((code, plan.exercise.key), []).append((one, plan, numbers))
    return [_flag(code, found, client, rules) for (code, _), found in groups.items()]


def _flag(
    code: str, found: list[tuple[SessionSummary, ExercisePlan, Numbers]], client: ClientTraits, rules: Rules
) -> Flag:
    one, plan, numbers = found[0]
    weeks = tuple(sorted({s.plan.week_no for s, _, _ in found}))
    rir = rules.untrained_rir if client.is_careful(rules.older_age) else 2
    edits = tuple(
        Edit("exercise", p.key, "scheme", with_effort(p.scheme, rir, fixed_too=code == "other_machine"))
        for _, p, _ in found
    )
    tail = weeks_words(weeks) if len(weeks) > 1 else ""
    remedy = Remedy(f"Let reps and {rir:g} in reserve decide the load of {plan.exercise.name}{tail}", edits)
    where = Where(one.plan.week_no, one.plan.key, plan.key, None)
    severity = "note" if code == "maximum_guessed" else "check"
    return Flag(code, severity, where, numbers, Because(code, numbers), _source(code, client), (remedy,), weeks)


def _source(code: str, client: ClientTraits) -> str:
    if code == "other_machine":
        return _MACHINES
    return source("maximum_half_width" if code == "maximum_guessed" else "maximum_old_days")


def _old(plan: ExercisePlan, rule: str, client: ClientTraits, rules: Rules, context: Context) -> Numbers | None:
    known = plan.strength
    if rule == "fixed" or known is None or known.last_on is None or context.start_on is None or context.today is None:
        return None
    # as of today: what lies weeks ahead will have been seen again by then
    days = context.today - (known.last_on - context.start_on).days
    most = rules.maximum_old_days_novice if client.level == "novice" else rules.maximum_old_days
    if days <= most + SLACK:
        return None
    return (("exercise", plan.exercise.name), ("rule", _RULES[rule]), ("days", days), ("most", most))


def _guessed(plan: ExercisePlan, rule: str, client: ClientTraits, rules: Rules, context: Context) -> Numbers | None:
    known = plan.strength
    if rule == "fixed" or known is None:
        return None
    half = (known.high_kg - known.low_kg) / 2 / known.mean_kg
    if half <= rules.maximum_half_width + SLACK:
        return None
    if plan.key in context.foreign or _old(plan, rule, client, rules, context) is not None:
        return None  # one card a cause
    percent, most = round(100 * half, 1), round(100 * rules.maximum_half_width, 1)
    return (("exercise", plan.exercise.name), ("rule", _RULES[rule]), ("percent", percent), ("most", most))


def _foreign(plan: ExercisePlan, rule: str, client: ClientTraits, rules: Rules, context: Context) -> Numbers | None:
    return (("exercise", plan.exercise.name),) if plan.key in context.foreign else None


_CHECKS: dict[str, Check] = {"maximum_old": _old, "maximum_guessed": _guessed, "other_machine": _foreign}
