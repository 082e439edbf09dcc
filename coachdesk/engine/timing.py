"""How long things take: reps, rests, change-overs, set-up and warm-ups."""

from __future__ import annotations

from collections.abc import Sequence

from .errors import instance, items
from .plans import ExerciseTraits
from .prescribed import PrescribedExercise, PrescribedSession, PrescribedStep
from .rules import DEFAULT, Rules


def step_seconds(step: PrescribedStep, exercise: ExerciseTraits, rules: Rules = DEFAULT) -> float:
    """Seconds of work: counted reps x seconds a rep, twice for one limb after the other."""
    instance("step", step, PrescribedStep)
    instance("exercise", exercise, ExerciseTraits)
    instance("rules", rules, Rules)
    return _step_seconds(step, exercise, rules)


def _step_seconds(step: PrescribedStep, exercise: ExerciseTraits, rules: Rules) -> float:
    if step.rep_kind == "seconds":
        work = float(step.reps_high)
    elif step.rep_kind == "metres":
        work = step.reps_high * rules.seconds_per_metre
    else:
        work = step.counted_reps * exercise.seconds_per_rep
    return work * (2 if exercise.limbs == "one" and step.side == "b" else 1)


def gap_seconds(step: PrescribedStep, last_of_set: bool, change_s: float) -> float:
    """Rest after a step: as written after a set, inside a set at least the change of load."""
    return step.rest_s if last_of_set else max(step.rest_s, change_s)


def change_within(set_kind: str, change_s: float) -> float:
    """Seconds to change the load between two bouts of a set of this kind: none where the load stays."""
    return 0.0 if set_kind in ("rest_pause", "cluster") else change_s


def sets_seconds(sets: Sequence[Sequence[PrescribedStep]], exercise: ExerciseTraits, rules: Rules = DEFAULT) -> float:
    """Seconds of the working sets with rests between and change-overs inside; nothing after the last step."""
    instance("exercise", exercise, ExerciseTraits)
    instance("rules", rules, Rules)
    change, total, rest = rules.change_over_s(exercise.equipment_kind), 0.0, 0.0
    for steps in items("sets", sets):
        members = items("set", steps, empty=False)
        for i, step in enumerate(members):
            instance("step", step, PrescribedStep)
            total += rest + _step_seconds(step, exercise, rules)
            rest = gap_seconds(step, i == len(members) - 1, change_within(step.set_kind, change))
    return total


def lead_in_seconds(warmups: Sequence[PrescribedStep], exercise: ExerciseTraits, rules: Rules = DEFAULT) -> float:
    """Set-up plus warm-ups with the rest after each: what passes before the first working set."""
    instance("exercise", exercise, ExerciseTraits)
    instance("rules", rules, Rules)
    steps: tuple[PrescribedStep, ...] = items("warm-ups", warmups)
    for step in steps:
        instance("warm-up", step, PrescribedStep)
    return rules.setup_s + sum(_step_seconds(step, exercise, rules) + step.rest_s for step in steps)


def planned_seconds(session: PrescribedSession) -> float:
    """Seconds of a whole session: each exercise's lead-in and sets."""
    exercises: tuple[PrescribedExercise, ...] = instance("session", session, PrescribedSession).exercises
    return sum(exercise.seconds for exercise in exercises)
