"""Flags on safety for this person: precautions, the bar over the body, the held breath."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from .because import Because
from .constants import HANDBOOK, source
from .context import PRECAUTIONS, Context
from .flag_limits import softened
from .flag_tools import SLACK, ahead, weekday, weeks_words
from .flags import Edit, Flag, Remedy, Where
from .muscles import muscle
from .plans import ClientTraits, ExercisePlan, Key, SessionPlan
from .prescribed import PrescribedExercise
from .rules import Rules
from .scheme import RepRule, Scheme, StepRule, map_steps
from .scheme_edits import with_effort
from .summary import SessionSummary, summary
from .technique_edits import with_straight_sets

_NEAR_FAILURE = 1.0
_LIGHT_REPS = 8
_SPOTTING = f"{HANDBOOK}: spot lifts over head, over face, bar on back and bar on front"
Found = list[tuple[SessionSummary, ExercisePlan, float]]
Numbers = tuple[tuple[str, float | str], ...]


def care_flags(sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context) -> list[Flag]:
    """One flag an exercise and cause over all coming weeks."""
    if not (context.precautions or context.limited or context.alone):
        return []
    coming = ahead(sessions, context)
    return (
        _precaution_flags(coming, context)
        + _limited_flags(coming, client, rules, context)
        + _unspotted_flags(coming, client, rules, context)
        + _breath_flags(coming, client, rules, context)
    )


def _by_exercise(found: Found) -> list[Found]:
    groups: dict[Key, Found] = {}
    for row in found:
        groups.setdefault(row[1].exercise.key, []).append(row)
    return list(groups.values())


def _made(
    code: str, severity: str, kind: str, found: Found, numbers: Numbers, basis: str, remedies: tuple[Remedy, ...],
    code_muscle: str | None = None,
) -> Flag:  # fmt: skip
    one, plan, _ = found[0]
    weeks = tuple(sorted({s.plan.week_no for s, _, _ in found}))
    where = Where(one.plan.week_no, one.plan.key, plan.key, code_muscle)
    return Flag(code, severity, where, numbers, Because(kind, numbers), basis, remedies, weeks)


def _tail(found: Found) -> str:
    weeks = {s.plan.week_no for s, _, _ in found}
    return weeks_words(weeks) if len(weeks) > 1 else ""


def _out(found: Found) -> Remedy:
    days = list(dict.fromkeys(weekday(one.plan.day) for one, _, _ in found))
    where = f", {days[0]}" if len(days) == 1 else ""
    edits = tuple(Edit("exercise", plan.key, "remove", None) for _, plan, _ in found)
    return Remedy(f"Take out {found[0][1].exercise.name}{where}{_tail(found)}", edits)


def _short_of_failure(found: Found, client: ClientTraits, rules: Rules) -> Remedy:
    edits = []
    for _, plan, _ in found:
        scheme = softened(plan, client, rules)
        edits.append(Edit("exercise", plan.key, "scheme" if scheme else "remove", scheme))
    label = f"Stop {found[0][1].exercise.name} {rules.untrained_rir:g} reps short of failure{_tail(found)}"
    return Remedy(label, tuple(edits))


def _precaution_flags(sessions: Sequence[SessionSummary], context: Context) -> list[Flag]:
    made = []
    for kind in (kind for kind in PRECAUTIONS if kind.code in context.precautions and kind.patterns):
        found = [(one, plan, 0.0) for one in sessions for plan in one.plan.exercises
                 if plan.exercise.pattern in kind.patterns]  # fmt: skip
        for rows in _by_exercise(found):
            name = kind.name[0].lower() + kind.name[1:]
            numbers = (("exercise", rows[0][1].exercise.name), ("precaution", name))
            basis = "the client's own precautions, as the coach entered them"
            made.append(_made("precaution", "check", "precaution", rows, numbers, basis, (_out(rows),)))
    return made


def _limited_flags(
    sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context
) -> list[Flag]:
    """Work near failure for a muscle under a precaution."""
    found: Found = []
    codes: dict[Key, str] = {}
    for one in sessions if context.limited else ():
        for plan, rir in one.limits:
            code = next((c for c, share in plan.exercise.muscles if share >= 1 and c in context.limited), None)
            if code is not None and rir <= _NEAR_FAILURE + SLACK:
                codes[plan.exercise.key] = code
                found.append((one, plan, rir))
    made = []
    for rows in _by_exercise(found):
        plan, code = rows[0][1], codes[rows[0][1].exercise.key]
        numbers = (("exercise", plan.exercise.name), ("muscle", muscle(code).name.lower()), ("rir", rows[0][2]))
        remedies = (_short_of_failure(rows, client, rules), _out(rows))
        basis = "the client's own precautions, as the coach entered them"
        made.append(_made("precaution", "check", "precaution_near_failure", rows, numbers, basis, remedies, code))
    return made


def _unspotted_flags(
    sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context
) -> list[Flag]:
    found = [
        (one, plan, rir)
        for one in sessions
        if one.plan.key in context.alone
        for plan, rir in one.limits
        if plan.exercise.spotter
        and plan.exercise.equipment_kind in ("barbell", "fixed_bar")
        and rir <= _NEAR_FAILURE + SLACK
    ]
    made = []
    for rows in _by_exercise(found):
        numbers = (("exercise", rows[0][1].exercise.name), ("rir", min(rir for _, _, rir in rows)))
        remedies = (_short_of_failure(rows, client, rules), _out(rows))
        made.append(_made("unspotted", "check", "unspotted", rows, numbers, _SPOTTING, remedies))
    return made


def _breath_flags(
    sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules, context: Context
) -> list[Flag]:
    if not context.has("high_blood_pressure"):
        return []
    found: Found = []
    how: dict[Key, str] = {}
    for one in sessions:
        heaviest = {made.key: _heaviest(made) for made in one.prescribed.exercises}
        for plan, rir in one.limits:
            words = _breath_words(heaviest[plan.key], rir, rules)
            if words:
                how.setdefault(plan.exercise.key, words)
                found.append((one, plan, rir))
    made = []
    for rows in _by_exercise(found):
        plan = rows[0][1]
        numbers = (("exercise", plan.exercise.name), ("how", how[plan.exercise.key]))
        edits = []
        for _, row, _ in rows:
            scheme = _easy_to_breathe(row, client, rules)
            edits.append(Edit("exercise", row.key, "scheme" if scheme else "remove", scheme))
        label = (
            f"{_LIGHT_REPS} reps or more of {plan.exercise.name} with {rules.untrained_rir:g} in reserve{_tail(rows)}"
        )
        remedies = (Remedy(label, tuple(edits)), _out(rows))
        made.append(_made("breath_hold", "check", "breath_hold", rows, numbers, source("heavy_breath"), remedies))
    return made


def _heaviest(made: PrescribedExercise) -> float:
    return max((step.fraction or 0.0 for steps in made.sets for step in steps), default=0.0)


def _breath_words(heaviest: float, rir: float, rules: Rules) -> str:
    if heaviest >= rules.heavy_breath - SLACK:
        return f"at {round(100 * heaviest)} % of 1RM"
    if rir <= SLACK:
        return "to failure"
    return f"with {rir:g} in reserve" if rir <= _NEAR_FAILURE + SLACK else ""


@lru_cache(maxsize=2048)
def _easy_to_breathe(plan: ExercisePlan, client: ClientTraits, rules: Rules) -> Scheme | None:
    """The scheme at eight reps or more and the untrained rule's reserve; None when that is still heavy."""
    eased = with_effort(with_straight_sets(plan.scheme), rules.untrained_rir, fixed_too=True)

    def longer(step: StepRule) -> StepRule:
        rule = step.reps
        if rule.kind not in ("reps", "range") or rule.high >= _LIGHT_REPS:
            return step
        return replace(step, reps=RepRule("reps", _LIGHT_REPS, _LIGHT_REPS))

    for scheme in (eased, map_steps(eased, longer)):
        made = summary(SessionPlan("", 0, "", (replace(plan, scheme=scheme),)), client, rules)
        if not _breath_words(_heaviest(made.prescribed.exercises[0]), made.limits[0][1], rules):
            return scheme
    return None
