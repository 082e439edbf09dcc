"""What flags and week totals need of one prescribed session, worked out once and kept."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from .curves import curve_for
from .errors import instance
from .loads import _KG
from .plans import ClientTraits, ExercisePlan, SessionPlan
from .prescribe import _prescribe
from .prescribed import PrescribedExercise, PrescribedSession, PrescribedStep
from .rules import Rules
from .scheme import StepRule, expand
from .technique_edits import advanced_sets
from .volume import MuscleWeek, _count_set, add_weeks, exercise_muscles

_LEAST_MISS = (1.0, 1.15)  # kept when missed by more than these reps and this ratio; house rules decide later


@dataclass(frozen=True)
class MuscleSession:
    """A muscle's part of a session: fatigue units, sets to failure or with drops."""

    units: float
    failure_sets: float


@dataclass(frozen=True)
class Technique:
    """An exercise with advanced techniques: sets that use one, how many of them are hard, straight work after it."""

    plan: ExercisePlan
    sets: int
    hard: float
    after: int


@dataclass(frozen=True)
class Demand:
    """The hardest set of an exercise by what it asks: load in thousandths, reps and reserve, the 1RM they imply."""

    plan: ExercisePlan
    step: PrescribedStep
    reps: float
    implied_kg: float


@dataclass(frozen=True)
class Miss:
    """The step of an exercise whose reps lie furthest above what can be expected."""

    plan: ExercisePlan
    set_no: int
    reps: int
    expected: float


@dataclass(frozen=True)
class SessionSummary:
    """One session: plan, prescription, sets per muscle, fatigue per muscle, nearness to failure, what stands out."""

    plan: SessionPlan
    prescribed: PrescribedSession
    muscles: tuple[tuple[str, MuscleWeek], ...]
    fatigue: tuple[tuple[str, MuscleSession], ...]
    limits: tuple[tuple[ExercisePlan, float], ...]
    noted: tuple[tuple[ExercisePlan, PrescribedExercise], ...]
    techniques: tuple[Technique, ...]
    demands: tuple[Demand, ...]
    misses: tuple[Miss, ...]

    @property
    def set_count(self) -> int:
        """Working sets of the session."""
        return sum(len(one.sets) for one in self.prescribed.exercises)


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
    demands = tuple(demand for plan, exercise in pairs if (demand := _demand(plan, exercise, rules)))
    misses = tuple(miss for plan, exercise in pairs if (miss := _miss(plan, exercise)))
    techniques, fatigue = _techniques(pairs, rules), muscle_sessions(made)
    return SessionSummary(session, made, muscles, fatigue, tuple(limits), noted, techniques, demands, misses)


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
    instance("session", session, PrescribedSession)
    units: dict[str, float] = {}
    failures: dict[str, float] = {}
    for exercise in session.exercises:
        hard = sum(1 for steps in exercise.sets if any(step.to_failure or step.step_no > 1 for step in steps))
        for code, share in exercise.exercise.muscles:
            units[code] = units.get(code, 0.0) + share * exercise.impulse
            if share >= 1:
                failures[code] = failures.get(code, 0.0) + hard
    return tuple((code, MuscleSession(units[code], failures.get(code, 0.0))) for code in units)


Pairs = tuple[tuple[ExercisePlan, PrescribedExercise], ...]


def _techniques(pairs: Pairs, rules: Rules) -> tuple[Technique, ...]:
    made: list[Technique] = []
    after = 0
    for plan, exercise in reversed(pairs):
        used = advanced_sets(plan.scheme)
        if not any(used):
            after += 1 if exercise.hard_sets.default > 0 else 0
            continue
        with_one = [steps for steps, one in zip(exercise.sets, used, strict=False) if one]
        hard = sum(_count_set(steps, rules).low for steps in with_one)
        made.insert(0, Technique(plan, len(with_one), hard, after))
    return tuple(made)


def _demand(plan: ExercisePlan, exercise: PrescribedExercise, rules: Rules) -> Demand | None:
    """Only first bouts of written reps: what failure leaves open asks for nothing."""
    if exercise.exercise.equipment_kind in ("bodyweight", "band"):
        return None
    phi = curve_for(rules.curve, plan.exercise.endurance).phi
    found = None
    for steps in exercise.sets:
        step = steps[0]
        if not step.load or step.load < 0 or step.to_failure or step.rep_kind in ("seconds", "metres"):
            continue
        reps = step.reps_low + (step.rir or 0.0)
        if not 1 <= reps <= 30:
            continue
        implied = step.load * _KG[step.unit] / phi(reps)
        if found is None or implied > found.implied_kg:
            found = Demand(plan, step, reps, implied)
    return found


def _miss(plan: ExercisePlan, exercise: PrescribedExercise) -> Miss | None:
    worst = None
    for steps in exercise.sets:
        for step in steps:
            expected = step.expected_reps
            if expected is None or step.to_failure or step.rep_kind in ("seconds", "metres"):
                continue
            if step.reps_low - expected < _LEAST_MISS[0] or step.reps_low < _LEAST_MISS[1] * expected:
                continue
            if worst is None or step.reps_low * worst.expected > worst.reps * expected:
                worst = Miss(plan, step.set_no, step.reps_low, expected)
    return worst
