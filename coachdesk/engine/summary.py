"""What flags and week totals need of one prescribed session, worked out once and kept."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from .plans import ClientTraits, ExercisePlan, SessionPlan
from .prescribe import _prescribe
from .prescribed import PrescribedExercise, PrescribedSession, PrescribedStep
from .rules import Rules
from .scheme import StepRule, expand
from .volume import MuscleWeek, add_weeks, exercise_muscles


@dataclass(frozen=True)
class MuscleSession:
    """A muscle's part of a session: fatigue units, sets to failure or with drops."""

    units: float
    failure_sets: float


@dataclass(frozen=True)
class SessionSummary:
    """One session: plan, prescription, sets per muscle, fatigue per muscle, nearness to failure."""

    plan: SessionPlan
    prescribed: PrescribedSession
    muscles: tuple[tuple[str, MuscleWeek], ...]
    fatigue: tuple[tuple[str, MuscleSession], ...]
    limits: tuple[tuple[ExercisePlan, float], ...]
    noted: tuple[tuple[ExercisePlan, PrescribedExercise], ...]


@lru_cache(maxsize=4096)
def summary(session: SessionPlan, client: ClientTraits, rules: Rules) -> SessionSummary:
    """The summary of a session; cached like the prescription itself."""
    made = _prescribe(session, client, rules)
    pairs = tuple(zip(session.exercises, made.exercises, strict=True))
    limits = []
    for plan, exercise in pairs:
        nearest = min((planned_rir(step, rules) for steps in exercise.sets for step in steps), default=10.0)
        written = min(_written_rir(rule) for steps in expand(plan.scheme) for rule in steps)
        limits.append((plan, min(nearest, written)))
    muscles = add_weeks(exercise_muscles(exercise).items() for exercise in made.exercises)
    noted = tuple((plan, exercise) for plan, exercise in pairs if exercise.notes)
    return SessionSummary(session, made, muscles, muscle_sessions(made), tuple(limits), noted)


def planned_rir(step: PrescribedStep, rules: Rules) -> float:
    """The reserve a step is planned with: 0 to failure or as a maximum, 10 when nothing is asked for."""
    if step.rep_kind in ("seconds", "metres"):
        return 10.0 if step.rir is None else step.rir
    if step.to_failure or (step.fraction is not None and step.fraction >= rules.maximum_work):
        return 0.0
    return 10.0 if step.rir is None else step.rir


def _written_rir(rule: StepRule) -> float:
    """The reserve a rep maximum leaves, known also while the 1RM is not: 1 rep at 1RM is a maximum test."""
    if rule.load.kind != "rep_max" or not rule.reps.counts_reps or rule.reps.kind == "failure":
        return 10.0
    return max(0.0, (rule.load.value or 0.0) - rule.reps.high)


def muscle_sessions(session: PrescribedSession) -> tuple[tuple[str, MuscleSession], ...]:
    """(muscle code, its fatigue units and its sets to failure or with drops) for each muscle a session trains."""
    units: dict[str, float] = {}
    failures: dict[str, float] = {}
    for exercise in session.exercises:
        hard = sum(1 for steps in exercise.sets if len(steps) > 1 or any(step.to_failure for step in steps))
        for code, share in exercise.exercise.muscles:
            units[code] = units.get(code, 0.0) + share * exercise.impulse
            if share >= 1:
                failures[code] = failures.get(code, 0.0) + hard
    return tuple((code, MuscleSession(units[code], failures.get(code, 0.0))) for code in units)
