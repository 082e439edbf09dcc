"""From rows to the engine's values and back: the only place of this app that knows both."""

from collections.abc import Iterable, Mapping
from typing import Any

from clients.mapping import place_equipment
from clients.models import Place
from coachdesk import engine
from programs.models import Exercise, PlannedExercise, PlannedSession, StrengthEstimate, StrengthObservation

Kit = Mapping[str, tuple[Any, ...]]
Sides = tuple[engine.Strength | None, engine.Strength | None]


def exercise_traits(row: Exercise) -> engine.ExerciseTraits:
    """What the engine needs to know of an exercise (muscles prefetched)."""
    muscles = tuple((m.muscle, m.share / 1000) for m in sorted(row.muscles.all(), key=lambda m: (-m.share, m.muscle)))
    return engine.ExerciseTraits(
        key=row.pk, name=row.name, muscles=muscles, equipment_kind=row.equipment_kind, implements=row.implements,
        limbs=row.limbs, endurance=row.endurance, pattern=row.pattern, spotter=row.spotter,
    )  # fmt: skip


def strength_of(row: StrengthEstimate) -> engine.Strength:
    """An estimate as the engine's value."""
    return engine.Strength(
        mean_kg=row.mean_kg, low_kg=row.low_kg, high_kg=row.high_kg, sd_log=row.sd_log,
        trend_per_week=row.trend_per_week, p_rising=row.p_rising, last_on=row.last_on, count=row.count,
    )  # fmt: skip


def observation_of(row: StrengthObservation) -> engine.Observation:
    """One piece of evidence as the engine's value."""
    return engine.Observation(
        on=row.on, load_kg=engine.to_kg(row.load, row.unit), reps=row.reps, rir=row.rir,
        lower_bound=row.lower_bound, test=row.is_test, strength_before=row.strength_before,
    )  # fmt: skip


def strengths_by_exercise(rows: Iterable[StrengthEstimate]) -> dict[int, engine.Strength]:
    """The estimate to prescribe from, by exercise: both sides together first, else the weaker side."""
    found: dict[int, engine.Strength] = {}
    for row in sorted(rows, key=lambda r: (r.side != "b", r.mean_kg, r.side, r.machine)):
        found.setdefault(row.exercise_id, strength_of(row))
    return found


def sides_by_exercise(rows: Iterable[StrengthEstimate]) -> dict[int, Sides]:
    """(left, right) estimates of exercises whose sides are known apart."""
    found: dict[int, Sides] = {}
    for row in rows:
        left, right = found.get(row.exercise_id, (None, None))
        if row.side == "l":
            found[row.exercise_id] = (strength_of(row), right)
        elif row.side == "r":
            found[row.exercise_id] = (left, strength_of(row))
    return found


class Kits:
    """The equipment of each place, looked up once per place."""

    def __init__(self) -> None:
        self._seen: dict[int | None, Kit] = {}

    def at(self, place: Place | None) -> Kit:
        key = place.pk if place else None
        if key not in self._seen:
            self._seen[key] = place_equipment(place)
        return self._seen[key]


def exercise_plan(
    row: PlannedExercise,
    *,
    traits: engine.ExerciseTraits,
    strength: engine.Strength | None,
    kit: Kit,
    sides: Sides = (None, None),
) -> engine.ExercisePlan:
    """One planned exercise with what it is loaded on at this place."""
    items = kit.get(traits.equipment_kind, ())
    return engine.ExercisePlan(
        key=row.pk, exercise=traits, scheme=engine.scheme_from_json(row.scheme), strength=strength,
        equipment=items[0] if items else None, group=row.group, strength_left=sides[0], strength_right=sides[1],
    )  # fmt: skip


def session_plan(
    row: PlannedSession, exercises: Iterable[PlannedExercise], *, traits: Mapping[int, engine.ExerciseTraits],
    strengths: Mapping[int, engine.Strength], kit: Kit, sides: Mapping[int, Sides] | None = None,
) -> engine.SessionPlan:  # fmt: skip
    """One planned session; its day counts from the programme's first Monday."""
    return engine.SessionPlan(
        key=row.pk, day=7 * (row.week_no - 1) + row.day, name=row.name,
        exercises=tuple(
            exercise_plan(
                e, traits=traits[e.exercise_id], strength=strengths.get(e.exercise_id), kit=kit,
                sides=(sides or {}).get(e.exercise_id, (None, None)),
            )
            for e in exercises
        ),
    )  # fmt: skip
