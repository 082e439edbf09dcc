"""Flags on work to the limit: screening first, and not for the untrained."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from .because import Because
from .constants import source
from .flag_tools import count_words, listed, weeks_words
from .flags import Edit, Flag, Remedy, Where
from .plans import ClientTraits, ExercisePlan, SessionPlan
from .rules import Rules
from .scheme import Scheme
from .scheme_edits import with_effort, with_rir
from .summary import SessionSummary, summary

_AT_LIMIT = 0.5 + 1e-6  # a single at 97.5 % of 1RM has half a rep left by the chart
_NEAR_FAILURE = 1.0
SCREENING = "Riebe D et al 2015 MSSE 47:2473-2479 (screening by activity, signs, known disease and desired intensity)"
Found = tuple[SessionSummary, ExercisePlan, float]


def limit_flags(sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules) -> list[Flag]:
    """A stop for work to the limit without screening; a check when the untrained go near failure."""
    made = []
    at_limit = [(one, plan, rir) for one in sessions for plan, rir in one.limits if rir <= _AT_LIMIT]
    if at_limit and client.screening != "ok":
        made.append(_screening_flag(at_limit, client, rules))
    if client.level != "novice" and (client.weeks_trained is None or client.weeks_trained >= rules.untrained_weeks):
        return made
    groups: dict[object, list[Found]] = {}
    for one in sessions:
        for plan, rir in one.limits:
            if rir < _needed(one, client, rules) - 1e-6:
                groups.setdefault(plan.exercise.key, []).append((one, plan, rir))
    return made + [_untrained_flag(found, client, rules) for found in groups.values()]


def _needed(one: SessionSummary, client: ClientTraits, rules: Rules) -> float:
    """Reserve asked for: the house rule in the first weeks, later one rep; unknown weeks count as later."""
    weeks = client.weeks_trained
    if weeks is not None and weeks + one.plan.week_no - 1 < rules.untrained_weeks:
        return rules.untrained_rir
    return _NEAR_FAILURE if client.level == "novice" else 0.0


@lru_cache(maxsize=4096)
def softened(plan: ExercisePlan, client: ClientTraits, rules: Rules) -> Scheme | None:
    """The plan's scheme with the untrained rule's reserve: reps cut, or the load left to reps and RIR.

    None when even the lightest load is too heavy for that.
    """
    rir = rules.untrained_rir
    alone = summary(SessionPlan("", 0, "", (plan,)), client, rules).prescribed.exercises[0]
    expected = alone.sets[0][0].expected_reps
    reps = None if expected is None else max(1, min(1000, int(expected - rir)))
    for scheme in (with_rir(plan.scheme, rir, reps), with_effort(plan.scheme, rir, fixed_too=True)):
        tried = SessionPlan("", 0, "", (replace(plan, scheme=scheme),))
        if summary(tried, client, rules).limits[0][1] >= rir - 1e-6:
            return scheme
    return None


def _edits(found: Sequence[Found], client: ClientTraits, rules: Rules) -> tuple[Edit, ...]:
    made = []
    for _, plan, _ in found:
        scheme = softened(plan, client, rules)
        made.append(Edit("exercise", plan.key, "scheme" if scheme else "remove", scheme))
    return tuple(made)


def _weeks(found: Sequence[Found]) -> tuple[int, ...]:
    return tuple(sorted({one.plan.week_no for one, _, _ in found}))


def _tail(found: Sequence[Found]) -> str:
    weeks = _weeks(found)
    return weeks_words(weeks) if len(weeks) > 1 else ""


def _screening_flag(found: Sequence[Found], client: ClientTraits, rules: Rules) -> Flag:
    code = "screening_missing" if client.screening == "missing" else "clearance_expired"
    one, plan, _ = found[0]
    numbers = (("count", len({p.exercise.key for _, p, _ in found})), ("exercise", plan.exercise.name))
    names = list(dict.fromkeys(p.exercise.name for _, p, _ in found))
    every = listed(names) if len(names) <= 3 else count_words(len(names), "exercise")
    remedy = Remedy(
        f"Stop {every} {rules.untrained_rir:g} reps short of failure{_tail(found)}", _edits(found, client, rules)
    )
    where = Where(one.plan.week_no, one.plan.key, plan.key, None)
    return Flag(code, "stop", where, numbers, Because(code, numbers), SCREENING, (remedy,), _weeks(found))


def _untrained_flag(found: Sequence[Found], client: ClientTraits, rules: Rules) -> Flag:
    one, plan, rir = found[0]
    needed = _needed(one, client, rules)
    numbers = (("exercise", plan.exercise.name), ("rir", rir), ("needed", needed))
    label = f"Stop {plan.exercise.name} {rules.untrained_rir:g} reps short of failure{_tail(found)}"
    remedy = Remedy(label, _edits(found, client, rules))
    where = Where(one.plan.week_no, one.plan.key, plan.key, None)
    because = Because("failure_for_untrained", numbers)
    basis = source("untrained_rir")
    return Flag("failure_for_untrained", "check", where, numbers, because, basis, (remedy,), _weeks(found))
