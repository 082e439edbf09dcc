"""The roster that prescribing by column is measured with: a thousand clients, twelve weeks, 1.15 million steps."""

from dataclasses import replace
from itertools import cycle, islice
from typing import TypeVar

import numpy as np

from coachdesk.engine import (
    Barbell,
    ClientTraits,
    Dumbbells,
    Equipment,
    ExercisePlan,
    ExerciseTraits,
    Scheme,
    SessionPlan,
    Stack,
    Strength,
    scheme_from_fields,
)
from coachdesk.engine.columns_of import roster_of
from coachdesk.engine.columns_plan import Roster, Table

T = TypeVar("T", bound=Table)
CLIENTS, WEEKS, DAYS, EXERCISES, STEPS = 1000, 12, (0, 1, 3, 5), 6, 4
TEMPLATES = 20  # written out as objects; the others are copies with maxima of their own
PLATES = ((25000, 4), (20000, 4), (15000, 2), (10000, 4), (5000, 4), (2500, 4), (1250, 4))
POUNDS = tuple((int(1000 * p), 8) for p in (45, 35, 25, 10, 5, 2.5))
BARS = (
    Barbell("bar", "kg", 20000, PLATES),
    Barbell("lb bar", "lb", 45000, POUNDS),
    Barbell("light", "kg", 15000, PLATES),
)
DUMBBELLS = (
    Dumbbells("a", "kg", tuple(range(2000, 52000, 2000))),
    Dumbbells("b", "kg", tuple(range(2500, 42500, 2500))),
)
STACKS = (
    Stack("a", "kg", tuple(range(5000, 125000, 5000)), (1250, 2500)),
    Stack("b", "lb", tuple(range(10000, 260000, 10000)), (5000,)),
)
_MOVES: tuple[tuple[str, str, tuple[tuple[str, float], ...], float], ...] = (
    ("Squat", "barbell", (("quads", 1), ("glutes", 1), ("lower_back", 0.5)), 130),
    ("Bench press", "barbell", (("chest", 1), ("triceps", 0.5), ("front_delts", 0.5)), 95),
    ("Row", "barbell", (("lats", 1), ("upper_back", 1), ("biceps", 0.5)), 85),
    ("Deadlift", "barbell", (("hamstrings", 1), ("glutes", 1), ("lower_back", 1)), 150),
    ("Press", "barbell", (("front_delts", 1), ("triceps", 0.5)), 55),
    ("Hip thrust", "barbell", (("glutes", 1), ("hamstrings", 0.5)), 150),
    ("Curl", "dumbbell", (("biceps", 1),), 22),
    ("Lateral raise", "dumbbell", (("side_delts", 1),), 16),
    ("Incline press", "dumbbell", (("chest", 1), ("front_delts", 1), ("triceps", 0.5)), 40),
    ("Split squat", "dumbbell", (("quads", 1), ("glutes", 1)), 40),
    ("Pulldown", "stack", (("lats", 1), ("biceps", 0.5)), 90),
    ("Leg curl", "stack", (("hamstrings", 1),), 70),
    ("Leg extension", "stack", (("quads", 1),), 90),
    ("Triceps pushdown", "stack", (("triceps", 1),), 50),
    ("Face pull", "stack", (("rear_delts", 1), ("upper_back", 0.5)), 45),
    ("Calf raise", "stack", (("calves", 1),), 110),
)
_RACKS: dict[str, tuple[Equipment, ...]] = {"barbell": BARS, "dumbbell": DUMBBELLS, "stack": STACKS}
_ENDURANCE = {"Squat": 1.3, "Split squat": 1.3, "Hip thrust": 1.3}
# four steps each: straight sets, a pyramid, drop sets
_FIELDS: tuple[dict[str, str], ...] = (
    {"kind": "straight", "sets": "4", "load_kind": "effort", "reps": "8-10", "rir": "2", "rest": "120"},
    {"kind": "straight", "sets": "4", "load_kind": "percent", "load_value": "72.5", "reps": "8", "rest": "120"},
    {"kind": "straight", "sets": "4", "load_kind": "rep_max", "load_value": "12", "reps": "failure", "rest": "90"},
    {"kind": "descending_pyramid", "ladder": "85x4, 80x6, 75x8, 70x10", "rest": "150"},
    {"kind": "drop_set", "sets": "1", "ladder": "80/65/50/40", "rest": "120"},
    {
        "kind": "drop_set",
        "sets": "2",
        "load_kind": "effort",
        "reps": "10",
        "rir": "1",
        "ladder": "-20% x 1",
        "rest": "120",
    },
)


def make_roster() -> Roster:
    """1,000 x 12 x 4 x 6 x 4 steps: twenty programmes as objects, copied to all with maxima of their own."""
    few = roster_of([template_of(number) for number in range(TEMPLATES)])
    copies, people = CLIENTS // TEMPLATES, vars(few.people).items()
    client = np.concatenate([few.visits.client + TEMPLATES * n for n in range(copies)])
    rows = _tiled(few.rows, copies)
    spread = np.random.default_rng(1).normal(0, 0.25, (CLIENTS, len(few.movements.curve)))
    own = np.exp(spread)[client[None], rows.movement]
    return replace(
        few,
        visits=replace(few.visits, client=client, day=np.tile(few.visits.day, copies)),
        people=replace(few.people, **{name: np.concatenate([column] * copies) for name, column in people}),
        rows=replace(rows, mean=rows.mean * own, low=rows.low * own),
        ledgers=_tiled(few.ledgers, copies),
        steps=_tiled(few.steps, copies),
    )


def _tiled(table: T, copies: int) -> T:
    return replace(table, **{name: np.tile(column, (1, copies)) for name, column in vars(table).items()})


def template_of(number: int) -> tuple[list[SessionPlan], ClientTraits]:
    """One client's twelve weeks: four sessions a week of six exercises of four steps."""
    levels = ("novice", "intermediate", "intermediate", "advanced")
    client = ClientTraits(levels[number % 4], 30 + 2 * number, screening="missing" if number % 10 == 9 else "ok",
                          marks=(("chest", "grow"), ("calves", "hold")))  # fmt: skip
    moves = cycle(range(len(_MOVES)))
    made: list[SessionPlan] = []
    for week in range(WEEKS):
        for n, day in enumerate(DAYS):
            keys = islice(moves, EXERCISES)
            plans = [_plan(100 * len(made) + k, move, number, week + k + n) for k, move in enumerate(keys)]
            made.append(SessionPlan(len(made), 7 * week + day, f"Session {n + 1}", tuple(plans)))
    return made, client


def _plan(key: int, move: int, number: int, turn: int) -> ExercisePlan:
    name, kind, muscles, kg = _MOVES[move]
    traits = ExerciseTraits(move, name, muscles, kind, 2 if kind == "dumbbell" else 1,
                            endurance=_ENDURANCE.get(name, 1.0), pattern=kind if move % 3 else name)  # fmt: skip
    racks = _RACKS[kind]
    maximum = Strength(kg, kg * 0.93, kg * 1.07, 0.045)
    return ExercisePlan(key, traits, _scheme(turn), maximum, racks[number % len(racks)])


def _scheme(turn: int) -> Scheme:
    return scheme_from_fields(_FIELDS[turn % len(_FIELDS)], "kg")
