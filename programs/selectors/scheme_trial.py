"""One scheme tried on one lifter: prescribed as the editor prescribes it, with its numbers and a range."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from clients.starting_sets import starting_set
from coachdesk import engine
from programs.figures.fatigue_days import exercise_impulses
from programs.selectors.prescription import NOBODY

EXAMPLE = 100.0
ALONE = "alone"
_ONE_SET = engine.scheme_from_fields({"sets": "1", "load_kind": "percent", "load_value": "70", "reps": "8"}, "kg")
_SEEN = 0.05
_SPREAD = next(c for c in engine.CONSTANTS if c.name == "capacity_sd").value
Remade = Callable[[engine.ExercisePlan], engine.ExercisePlan]


@dataclass(frozen=True)
class Lifter:
    """Whom a scheme is tried on, on which exercise, and after what: `session` holds the exercise under `key`.

    `interval`: the maximum comes from this client's own evidence, so its 90 % interval is known.
    """

    session: engine.SessionPlan
    key: str | int
    traits: engine.ClientTraits
    rules: engine.Rules
    unit: str
    interval: bool

    @property
    def plan(self) -> engine.ExercisePlan:
        return next(plan for plan in self.session.exercises if plan.key == self.key)

    @property
    def change_s(self) -> float:
        """Seconds to change the load inside a set."""
        return self.rules.change_over_s(self.plan.exercise.equipment_kind)

    @property
    def before(self) -> tuple[str, ...]:
        """Names of the exercises that come before this one in its session."""
        names = [plan.exercise.name for plan in self.session.exercises]
        return tuple(names[: self.session.exercises.index(self.plan)])

    def prescribe(self, remade: Remade) -> engine.PrescribedExercise:
        """The exercise as prescribed within its session once `remade` has changed its plan."""
        plans = tuple(remade(p) if p.key == self.key else p for p in self.session.exercises)
        made = engine.prescribe_session(replace(self.session, exercises=plans), self.traits, self.rules)
        return next(one for one in made.exercises if one.key == self.key)


def alone(exercise: engine.ExerciseTraits, strength: engine.Strength | None, equipment: Any) -> engine.ExercisePlan:
    """The exercise done first and fresh; its scheme is only there until one is tried."""
    return engine.ExercisePlan(ALONE, exercise, _ONE_SET, strength, equipment)


def example_kit(unit: str) -> dict[str, Any]:
    """The first piece of each kind in the desk's starting set of that unit."""
    found: dict[str, Any] = {}
    for piece in starting_set(f"{unit}_gym"):
        found.setdefault(piece.kind, piece)
    return found


def stated_strength(kg: float) -> engine.Strength:
    """A maximum somebody typed: no doubt is known, so none is shown."""
    return engine.Strength(kg, kg, kg, 0.0)


def example_lifter(unit: str) -> Lifter:
    """The stated example: trained, 1RM 100 on a barbell press, a bar with plates in the desk's unit."""
    press = engine.ExerciseTraits(
        "example", "Bench press", (("chest", 1.0), ("triceps", 0.5), ("front_delts", 0.5)), "barbell"
    )
    strength = stated_strength(engine.to_kg(int(EXAMPLE * 1000), unit))
    plan = alone(press, strength, example_kit(unit)["barbell"])
    return Lifter(engine.SessionPlan(ALONE, 0, "", (plan,)), ALONE, NOBODY, engine.DEFAULT, unit, False)


@dataclass(frozen=True)
class StepRange:
    """One step as prescribed, with the reps and the reserve to expect at the low and at the high end."""

    step: engine.PrescribedStep
    reps_low: float | None
    reps_high: float | None
    rir_low: float | None
    rir_high: float | None

    @property
    def left(self) -> float:
        """Strength left after the step, in percent."""
        return 100 * self.step.strength_after

    @property
    def percent(self) -> float | None:
        """The load in percent of the 1RM."""
        return None if self.step.fraction is None else 100 * self.step.fraction

    @property
    def range_words(self) -> str:
        """'6.2-9.8' reps, or 'RIR 1.2-3.4' where the reps are written and the reserve moves."""
        if self.reps_low is None or self.reps_high is None:
            return ""
        if self.reps_high - self.reps_low >= _SEEN or self.rir_low is None or self.rir_high is None:
            return f"{self.reps_low:.1f}-{self.reps_high:.1f}"
        return f"RIR {self.rir_low:.1f}-{self.rir_high:.1f}"


@dataclass(frozen=True)
class Trial:
    """What one scheme comes to for one lifter."""

    lifter: Lifter
    scheme: engine.Scheme
    made: engine.PrescribedExercise

    @cached_property
    def steps(self) -> tuple[StepRange, ...]:
        """Every step; the range moves the maximum or the repetition capacity, never the loads."""
        steps = [step for one in self.made.sets for step in one]
        unknown: list[engine.PrescribedStep | None] = [None] * len(steps)
        low, high = self._ends()
        return tuple(
            StepRange(step, *_ends_of(a, b, "expected_reps"), *_ends_of(a, b, "rir_expected"))
            for step, a, b in zip(steps, low or unknown, high or unknown, strict=True)
        )

    def _ends(self) -> tuple[list[engine.PrescribedStep] | None, list[engine.PrescribedStep] | None]:
        strength = self.lifter.plan.strength
        if strength is None:
            return None, None
        if self.lifter.interval:
            ends = [_with_strength(strength, kg) for kg in (strength.low_kg, strength.high_kg)]
        else:
            ends = [_with_capacity(math.exp(sign * _SPREAD)) for sign in (-1, 1)]
        return (self._again(ends[0]), self._again(ends[1]))

    def _again(self, other: Remade) -> list[engine.PrescribedStep] | None:
        """The same loads in other hands; None when the scheme cannot be written with loads as made."""
        try:
            scheme = as_made(self.made)
            made = self.lifter.prescribe(lambda plan: other(replace(plan, scheme=scheme)))
        except engine.EngineError:
            return None
        steps = [step for one in made.sets for step in one]
        same = [s.load for s in steps] == [s.load for one in self.made.sets for s in one]
        return steps if same else None

    @property
    def reps(self) -> float:
        """Reps in all, as expected; timed and measured steps left out."""
        return sum(s.step.counted_reps for s in self.steps if s.step.rep_kind not in ("seconds", "metres"))

    @property
    def volume_load(self) -> float:
        """Load x reps in the lifter's unit."""
        return engine.from_kg(engine.volume_load_kg(self.made), self.lifter.unit) / 1000

    @property
    def minutes(self) -> float:
        """Minutes of the working sets with rests and change-overs."""
        return engine.sets_seconds(self.made.sets, self.made.exercise, self.lifter.rules) / 60

    @property
    def all_minutes(self) -> float:
        """With set-up and warm-ups."""
        return self.made.seconds / 60

    def fatigue(self, hours: float) -> float:
        """Units left on a muscle that the exercise trains directly, so many hours later."""
        impulses = exercise_impulses(self.made, 1.0, 0.0, self.lifter.traits, self.lifter.rules)
        return engine.fatigue_on(impulses, hours) if impulses else 0.0


def try_scheme(lifter: Lifter, scheme: engine.Scheme) -> Trial:
    """Prescribe the scheme for the lifter."""
    return Trial(lifter, scheme, lifter.prescribe(lambda plan: replace(plan, scheme=scheme)))


def _ends_of(
    low: engine.PrescribedStep | None, high: engine.PrescribedStep | None, name: str
) -> tuple[float | None, float | None]:
    return (getattr(low, name) if low else None, getattr(high, name) if high else None)


def _with_strength(strength: engine.Strength, kg: float) -> Remade:
    other = replace(strength, mean_kg=kg, low_kg=min(strength.low_kg, kg), high_kg=max(strength.high_kg, kg))
    return lambda plan: replace(plan, strength=other)


def _with_capacity(times: float) -> Remade:
    return lambda plan: replace(
        plan, exercise=replace(plan.exercise, endurance=min(5.0, max(0.2, plan.exercise.endurance * times)))
    )


def as_made(made: engine.PrescribedExercise) -> engine.Scheme:
    """The prescription as a scheme of fixed loads, set by set; EngineError when a load is not known.

    Rests between sets become the usual one of them: the scheme of schemes knows only one.
    """
    rests = [steps[-1].rest_s for steps in made.sets]
    rest = max(set(rests), key=rests.count)
    parts = tuple(_set_as_made(steps) for steps in made.sets)
    return parts[0] if len(parts) == 1 else engine.Scheme("series", rest_s=rest, parts=parts)


def _set_as_made(steps: tuple[engine.PrescribedStep, ...]) -> engine.Scheme:
    rules = [_rule_as_made(step, steps[i - 1] if i else None) for i, step in enumerate(steps)]
    loads = [step.load or 0 for step in steps]
    if len(steps) == 1:
        kind = "straight"
    elif len(set(loads)) == 1:
        kind = "rest_pause"
    else:
        kind = "drop_set" if loads[0] > loads[-1] else "light_to_heavy"
    return engine.Scheme(kind, step=rules[0], drops=tuple(rules[1:]), rest_s=steps[-1].rest_s)


def _rule_as_made(step: engine.PrescribedStep, before: engine.PrescribedStep | None) -> engine.StepRule:
    if before is not None and before.load == step.load:
        load = engine.LoadRule("same")
    else:
        load = engine.LoadRule("fixed", step.load, step.unit)
    reps = engine.RepRule(step.rep_kind, step.reps_low, step.reps_high)
    return engine.StepRule(load, reps, None if step.to_failure else step.rir, step.rest_s, step.side)
