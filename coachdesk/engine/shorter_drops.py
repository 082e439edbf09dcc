"""Straight sets of the last exercise as one set with drops, where nothing of the client's rules stands against it."""

# The bouts are prescribed and counted by the engine itself, and its flags are asked: a drop set that raises one is not
# offered. No bout comes nearer to failure than the straight sets were planned to.

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from .context import UNKNOWN, Context
from .errors import EngineError, instance, items, whole
from .flag_session import is_careful_level
from .plans import ClientTraits, ExercisePlan, Key, SessionPlan
from .prescribe import prescribe_session
from .prescribed import PrescribedStep
from .programme import find_flags
from .rules import DEFAULT, Rules
from .scheme import Scheme
from .scheme_rules import LoadRule, RepRule, StepRule
from .shorter import InDrops
from .timing import sets_seconds
from .volume import count_set

_DROP_PERCENT, _MOST_DROPS = 20.0, 3
_SLACK = 0.05
# Flags that a set with drops may raise: what asks for screening, for reserve, for care, and how often techniques come.
_ASKED = {
    "screening_missing", "clearance_expired", "failure_for_untrained", "precaution", "precaution_near_failure",
    "unspotted", "breath_hold", "techniques_share", "techniques_per_exercise", "techniques_sessions",
    "techniques_too_long", "techniques_not_last", "unaccustomed_volume", "sessions_too_close", "unrecovered",
    "drop_removed", "load_not_makeable", "target_impossible",
}  # fmt: skip


# Of these the exercise must have none, whether or not it is dropped.
_CARE = {"precaution", "precaution_near_failure", "pain_rule"}


@dataclass(frozen=True)
class DropSet:
    """One set with its drops: what it takes and counts for, and its bouts in order."""

    left: InDrops
    bouts: tuple[PrescribedStep, ...]

    def __post_init__(self) -> None:
        instance("drop set", self.left, InDrops)
        object.__setattr__(self, "bouts", items("bouts", self.bouts, most=_MOST_DROPS + 1))
        for bout in self.bouts:
            instance("bout", bout, PrescribedStep)


def drop_sets(
    plans: Sequence[SessionPlan], session: Key, sets: int, client: ClientTraits, rules: Rules = DEFAULT,
    context: Context = UNKNOWN,
) -> tuple[DropSet, ...]:  # fmt: skip
    """What may stand for the `sets` left of a session's last exercise, most drops first; () where nothing may.

    Only straight sets counted in reps, of an exercise that trains one muscle directly and needs no spotter, and only
    where the drop set counts for more than one set and for no more than those it stands for.
    """
    given = items("sessions", plans)
    for one in given:
        instance("session", one, SessionPlan)
    whole("sets left", sets, 0, 100)
    here = next((one for one in given if one.key == session), None)
    if here is None or sets < 2 or not here.exercises or not _suits(here.exercises[-1]) or _is_spared(client, rules):
        return ()
    reserve = _reserve(here, client, rules)
    if reserve is None or reserve > rules.drop_rir + _SLACK:
        return ()
    made = [_made(given, here, count, reserve, client, rules, context) for count in range(_MOST_DROPS, 0, -1)]
    return tuple(one for one in made if one is not None and 1 < one.left.counts <= sets)


def _is_spared(client: ClientTraits, rules: Rules) -> bool:
    """Whom the rules keep from failure and from advanced techniques, or of whom too little is known."""
    untrained = client.weeks_trained is not None and client.weeks_trained < rules.untrained_weeks
    return untrained or client.cautious or client.screening != "ok" or is_careful_level(client, rules)


def _suits(plan: ExercisePlan) -> bool:
    direct = [code for code, share in plan.exercise.muscles if share >= 1]
    step = plan.scheme.step
    straight = plan.scheme.kind == "straight" and step is not None and step.reps.kind in ("reps", "range")
    return straight and len(direct) == 1 and not plan.exercise.spotter and not plan.group and not plan.by_side


def _reserve(session: SessionPlan, client: ClientTraits, rules: Rules) -> float | None:
    """The least reserve of the straight sets as planned, None where one is not known."""
    made = prescribe_session(session, client, rules).exercises[-1]
    known = [step.effort_rir for steps in made.sets for step in steps]
    told = [rir for rir in known if rir is not None]
    return min(told) if told and len(told) == len(known) else None


def _made(
    plans: Sequence[SessionPlan], session: SessionPlan, count: int, reserve: float, client: ClientTraits,
    rules: Rules, context: Context,
) -> DropSet | None:  # fmt: skip
    last = session.exercises[-1]
    dropped = replace(session, exercises=(*session.exercises[:-1], replace(last, scheme=_scheme(last, count, reserve))))
    made = prescribe_session(dropped, client, rules).exercises[-1]
    bouts = made.sets[0]
    reserves = [step.effort_rir for step in bouts]
    if len(bouts) != count + 1 or any(rir is None or rir < reserve - _SLACK for rir in reserves):
        return None
    if _raised(plans, session, dropped, client, rules, context):
        return None
    seconds = sets_seconds((bouts,), last.exercise, rules)
    return DropSet(InDrops(seconds, count_set(bouts, rules).default), bouts)


def _scheme(plan: ExercisePlan, count: int, reserve: float) -> Scheme:
    """The first set as planned, then lighter bouts that go on until the reserve is reached."""
    if plan.scheme.step is None:
        raise EngineError("scheme", plan.scheme.kind, "straight sets")
    drop = StepRule(LoadRule("drop_percent", _DROP_PERCENT), RepRule("at_least", 1, 1), reserve)
    return replace(plan.scheme, kind="drop_set", sets=1, drops=(drop,) * count)


def _raised(
    plans: Sequence[SessionPlan], before: SessionPlan, after: SessionPlan, client: ClientTraits, rules: Rules,
    context: Context,
) -> bool:  # fmt: skip
    """Whether a flag that asks about drops is raised which was not there, or grows, or asks for care anyway."""
    known = {flag.id for flag in find_flags(plans, client, rules, context)}
    changed = tuple(after if one.key == before.key else one for one in plans)
    last = after.exercises[-1]
    cared = {last.key, last.exercise.key}
    return any(
        (f.code in _ASKED and f.id not in known) or (f.code in _CARE and f.where.exercise_key in cared)
        for f in find_flags(changed, client, rules, context)
    )
