"""A small cast of exercises, equipment and plans for the engine's tests."""

from __future__ import annotations

from coachdesk.engine import (
    Barbell,
    Dumbbells,
    ExercisePlan,
    ExerciseTraits,
    Scheme,
    SessionPlan,
    Stack,
    Strength,
    scheme_from_fields,
)

KG_PLATES = ((25000, 4), (20000, 4), (15000, 2), (10000, 4), (5000, 4), (2500, 4), (1250, 4))
BAR = Barbell("rack bar", "kg", 20000, KG_PLATES)
DUMBBELLS = Dumbbells("rack", "kg", tuple(range(2500, 42500, 2500)))
STACK = Stack("pulldown", "kg", tuple(range(5000, 105000, 5000)), (2500,))

SQUAT = ExerciseTraits(
    "squat", "Squat", (("quads", 1.0), ("glutes", 1.0), ("lower_back", 0.5)), "barbell", pattern="squat"
)
BENCH = ExerciseTraits(
    "bench", "Bench press", (("chest", 1.0), ("triceps", 0.5), ("front_delts", 0.5)), "barbell", pattern="push"
)
ROW = ExerciseTraits("row", "Row", (("lats", 1.0), ("upper_back", 1.0), ("biceps", 0.5)), "barbell", pattern="pull")
PULLDOWN = ExerciseTraits("pulldown", "Pulldown", (("lats", 1.0), ("biceps", 0.5)), "stack", pattern="pull")
DEADLIFT = ExerciseTraits(
    "deadlift", "Deadlift", (("hamstrings", 1.0), ("glutes", 1.0), ("lower_back", 1.0)), "barbell", pattern="hinge"
)
PRESS = ExerciseTraits("press", "Press", (("front_delts", 1.0), ("triceps", 0.5)), "barbell", pattern="press")
CURL = ExerciseTraits("curl", "Curl", (("biceps", 1.0),), "dumbbell", implements=2)


def strength(kg: float, sd: float = 0.04) -> Strength:
    """A 1RM with a 90 % interval."""
    return Strength(kg, kg * (1 - 1.645 * sd), kg * (1 + 1.645 * sd), sd)


def scheme(kind: str = "straight", sets: str = "3", **fields: str) -> Scheme:
    """A scheme from form fields."""
    return scheme_from_fields({"kind": kind, "sets": sets, **fields}, "kg")


def effort(sets: int = 3, reps: str = "8-10", rir: str = "2", rest: str = "120") -> Scheme:
    """Straight sets by reps and RIR."""
    return scheme(sets=str(sets), load_kind="effort", reps=reps, rir=rir, rest=rest)


def percent(value: str, reps: str, sets: int = 3, rest: str = "120", rir: str = "") -> Scheme:
    """Straight sets at a percentage of 1RM."""
    return scheme(sets=str(sets), load_kind="percent", load_value=value, reps=reps, rest=rest, rir=rir)


def plan(key, exercise, made, kg=100.0, equipment=BAR) -> ExercisePlan:
    """A planned exercise; kg=None for an unknown maximum."""
    return ExercisePlan(key, exercise, made, None if kg is None else strength(kg), equipment)


def session(*plans: ExercisePlan, day: int = 0, key: str = "s1", name: str = "Day A") -> SessionPlan:
    """One session."""
    return SessionPlan(key, day, name, plans)
