"""From rows to the engine's values and back: the only place of this app that knows both."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import lru_cache
from typing import Any, NamedTuple
from uuid import UUID

from clients.mapping import place_equipment
from clients.models import Equipment, Place
from coachdesk import engine
from coachdesk.engine.frozen import same
from coachdesk.practice.text import fold
from programs.models import (
    Exercise,
    PlannedExercise,
    PlannedSession,
    StrengthEstimate,
    StrengthObservation,
    TimedBest,
)

Kit = Mapping[str, tuple[Any, ...]]
# Coarse, so that tables of the engine are shared between clients.
CAPACITY_STEP = 0.05
Sides = tuple[engine.Strength | None, engine.Strength | None]


def muscle_shares(row: Exercise) -> tuple[tuple[str, float], ...]:
    """(muscle, share of a set that counts for it), the most first (muscles prefetched)."""
    return tuple((m.muscle, m.share / 1000) for m in sorted(row.muscles.all(), key=lambda m: (-m.share, m.muscle)))


def exercise_traits(row: Exercise) -> engine.ExerciseTraits:
    """What the engine needs to know of an exercise (muscles prefetched)."""
    made = engine.ExerciseTraits(
        key=row.pk, name=row.name, muscles=muscle_shares(row), equipment_kind=row.equipment_kind,
        implements=row.implements, limbs=row.limbs, endurance=row.endurance, pattern=row.pattern,
        spotter=row.spotter, body_share=row.body_share / 1000,
    )  # fmt: skip
    return same(made)


def strength_of(row: StrengthEstimate) -> engine.Strength:
    """An estimate as the engine's value."""
    made = engine.Strength(
        mean_kg=row.mean_kg, low_kg=row.low_kg, high_kg=row.high_kg, sd_log=row.sd_log,
        trend_per_week=row.trend_per_week, p_rising=row.p_rising, last_on=row.last_on, count=row.count,
        endurance=row.endurance, endurance_sd=row.endurance_sd,
    )  # fmt: skip
    return same(made)


# The columns of `Seen`, those of its exercise last.
SEEN = (
    "client_id", "exercise_id", "side", "machine", "on", "load", "body_load", "unit", "reps", "rir", "lower_bound",
    "is_test", "to_failure", "strength_before", "source_uid", "hurts",
    "exercise__name", "exercise__folded", "exercise__endurance", "exercise__equipment_kind",
)  # fmt: skip


class SeenExercise(NamedTuple):
    """What evidence needs of its exercise."""

    name: str
    folded: str
    endurance: float
    equipment_kind: str


class Seen(NamedTuple):
    """One row of evidence as read for an estimate: a year has hundreds, and a model of each costs five times as much.

    As `StrengthObservation`; `hurts`: the set ended in pain that does not let it raise the estimate.
    """

    client_id: int
    exercise_id: int
    side: str
    machine: str
    on: date
    load: int
    body_load: int | None
    unit: str
    reps: int
    rir: float | None
    lower_bound: bool
    is_test: bool
    to_failure: bool
    strength_before: float
    source_uid: UUID | None
    hurts: bool
    exercise: SeenExercise

    @property
    def moved(self) -> int:
        """What was moved, in thousandths of the unit, the body's share included."""
        return self.load + (self.body_load or 0)


def seen_from(row: tuple[Any, ...]) -> Seen:
    """The values of `SEEN`, in that order."""
    return Seen._make((*row[:16], SeenExercise._make(row[16:])))


# An exercise's second and third session: what is gained there is skill. The first is what there is to begin with.
NOT_RAISING = slice(1, 3)


def evidence_values(rows: Sequence[Seen], *, is_all: bool = True) -> list[engine.Observation]:
    """The evidence of one exercise, side and machine (oldest first) as the engine's values.

    `is_all`: whether it goes back to the first session.

    Not raising the estimate: what hurt and an exercise's second and third session.
    """
    days = list(dict.fromkeys(row.on for row in rows))
    early = set(days[NOT_RAISING]) if is_all else set()
    return [observation_of(row, may_raise=row.is_test or not (row.on in early or row.hurts)) for row in rows]


def strength_from(values: Sequence[engine.Observation], endurance: float, as_of: date) -> engine.Strength | None:
    """The estimate of one exercise on a day, from all its evidence up to then."""
    return _strength_from(tuple(values), endurance, as_of)


@lru_cache(maxsize=1024)
def _strength_from(values: tuple[engine.Observation, ...], endurance: float, as_of: date) -> engine.Strength | None:
    # One set that is logged moves one exercise; the session's others, and each before the session, stay as they were.
    return engine.estimate_strength(values, as_of, prior=engine.prior_from_log(values, endurance))


def observation_of(row: StrengthObservation | Seen, *, may_raise: bool = True) -> engine.Observation:
    """One piece of evidence as the engine's value; its load is what was moved, the body's share included."""
    return engine.Observation(
        on=row.on, load_kg=engine.to_kg(row.moved or 0, row.unit), reps=row.reps, rir=row.rir,
        lower_bound=row.lower_bound, test=row.is_test, strength_before=row.strength_before,
        may_raise=may_raise, to_failure=row.to_failure,
    )  # fmt: skip


def body_load(exercise: Exercise, body_kg: float | None, unit: str) -> int | None:
    """What a body of this mass adds to every load of an exercise, in thousandths of `unit`; None when not known.

    0 where no body mass is moved; body-weight work without a share of its own is not known either.
    """
    if not exercise.body_share:
        return None if exercise.equipment_kind == Equipment.Kind.BODYWEIGHT else 0
    if body_kg is None:
        return None
    return round(engine.from_kg(body_kg * exercise.body_share / 1000, unit))


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


class SchemeJson(dict[str, Any]):
    """A scheme's JSON together with what the engine read from it."""

    read: engine.Scheme


@lru_cache(maxsize=4096)
def read_scheme(text: str) -> SchemeJson:
    """A stored scheme by its text, read once however many rows hold it; shared, so never change it in place."""
    found = SchemeJson(json.loads(text))
    found.read = engine.scheme_from_json(found)
    return found


def scheme_of(row: PlannedExercise) -> engine.Scheme:
    """The scheme of a planned exercise as the engine's value."""
    return row.scheme.read if isinstance(row.scheme, SchemeJson) else engine.scheme_from_json(row.scheme)


def exercises_in(session: PlannedSession) -> list[PlannedExercise]:
    """A session's planned exercises; what was fetched with it is taken without asking its manager, which is slow."""
    kept = session.__dict__.get("_prefetched_objects_cache", {}).get("exercises")
    return list(session.exercises.all() if kept is None else kept)


# What may stand at a place without units; a machine without them stands for a stack.
NAMED_SETTINGS = (Equipment.Kind.BAND, Equipment.Kind.MACHINE, Equipment.Kind.STACK)


class Kits:
    """The equipment of each place, looked up once per place."""

    def __init__(self) -> None:
        self._seen: dict[int | None, Kit] = {}

    def at(self, place: Place | None) -> Kit:
        key = place.pk if place else None
        if key not in self._seen:
            self._seen[key] = {kind: tuple(map(same, items)) for kind, items in place_equipment(place).items()}
        return self._seen[key]

    def settings(self, place: Place | None, exercise: Exercise) -> tuple[str, ...]:
        """What may be chosen where an exercise is done on bands or a machine without units, easiest first; else ()."""
        if exercise.equipment_kind not in NAMED_SETTINGS:
            return ()
        piece = piece_for(self.at(place), exercise)
        return piece.steps if isinstance(piece, engine.Ordinal) else ()


def piece_for(kit: Kit, traits: engine.ExerciseTraits | Exercise) -> Any:
    """What an exercise is loaded on: the piece named as the exercise is, else the first of its kind, else None.

    A machine without units stands for a stack where the place has no stack.
    """
    kinds = ("stack", "machine") if traits.equipment_kind == "stack" else (traits.equipment_kind,)
    items = [item for kind in kinds for item in kit.get(kind, ())]
    if len(items) > 1:
        named = fold(traits.name)
        return next((item for item in items if fold(item.name) == named), items[0])
    return items[0] if items else None


def exercise_plan(
    row: PlannedExercise,
    *,
    traits: engine.ExerciseTraits,
    strength: engine.Strength | None,
    kit: Kit,
    sides: Sides = (None, None),
    bests: tuple[engine.BestTime, ...] = (),
    last: Mapping[str, Any] | None = None,
) -> engine.ExercisePlan:
    """One planned exercise with what it is loaded on at this place; a learned capacity replaces the usual one.

    `last`: how it went last time on equipment without units, as the client's facts tell it.
    """
    if strength is not None and strength.endurance is not None:
        traits = _with_capacity(traits, round(strength.endurance / CAPACITY_STEP) * CAPACITY_STEP)
    piece, scheme = piece_for(kit, traits), scheme_of(row)
    return _exercise_plan(
        row.pk, traits, scheme, strength, piece, row.group, *sides, bests, place_done(piece, last)
    )  # fmt: skip


# A programme's plans are asked for with every edit, and all but one are as they were: made and checked once.
_exercise_plan = lru_cache(maxsize=16384)(engine.ExercisePlan)
_session_plan = lru_cache(maxsize=4096)(engine.SessionPlan)


@lru_cache(maxsize=2048)
def _with_capacity(traits: engine.ExerciseTraits, endurance: float) -> engine.ExerciseTraits:
    return replace(traits, endurance=endurance)


def forget_plans() -> None:
    """Let go of every plan and scheme kept in memory."""
    for kept in (read_scheme, _exercise_plan, _session_plan, _with_capacity):
        kept.cache_clear()


def place_done(piece: Any, last: Mapping[str, Any] | None) -> engine.PlaceDone | None:
    """The last time as the engine's value, where its setting is one that this piece has."""
    if last is None or not isinstance(piece, engine.Ordinal) or last["setting"] not in piece.steps:
        return None
    return engine.PlaceDone(
        piece.steps.index(last["setting"]), tuple(last["reps"]), last["rir"], last["planned_rir"]
    )  # fmt: skip


def bests_by_exercise(rows: Iterable[TimedBest]) -> dict[int, tuple[engine.BestTime, ...]]:
    """Best times and distances by exercise, the newest of each load; of two sides the weaker counts."""
    newest: dict[tuple[int, int, str, str], TimedBest] = {}
    for row in sorted(rows, key=lambda r: (r.on, r.pk)):
        newest[(row.exercise_id, row.load, row.unit, row.side)] = row
    weaker: dict[tuple[int, int, str], TimedBest] = {}
    for (exercise, load, unit, _), row in newest.items():
        known = weaker.get((exercise, load, unit))
        if known is None or row.amount < known.amount:
            weaker[(exercise, load, unit)] = row
    found: dict[int, tuple[engine.BestTime, ...]] = {}
    for (exercise, load, unit), row in sorted(weaker.items()):
        best = engine.BestTime(float(row.amount), row.kind, load, unit)
        found[exercise] = (*found.get(exercise, ()), best)
    return found


@dataclass(frozen=True)
class Known:
    """What is known of a client that loads follow from: estimates, best times, and facts from the log."""

    estimates: Sequence[StrengthEstimate] = ()
    bests: Sequence[TimedBest] = ()
    facts: Mapping[str, Any] = field(default_factory=dict)

    def at(self, place: Place | None) -> "Here":
        """The same as it counts at one place."""
        rows = estimates_at(self.estimates, place.pk if place else None)
        return Here(
            strengths_by_exercise(rows), sides_by_exercise(rows), bests_by_exercise(self.bests),
            self.facts.get("settings", {}),
        )  # fmt: skip


@dataclass(frozen=True)
class Here:
    """Strengths, sides, bests and last settings by exercise, for one place."""

    strengths: Mapping[int, engine.Strength]
    sides: Mapping[int, Sides] = field(default_factory=dict)
    bests: Mapping[int, tuple[engine.BestTime, ...]] = field(default_factory=dict)
    settings: Mapping[str, Any] = field(default_factory=dict)


def machine_key(exercise: Exercise, place_id: int | None) -> str:
    """What evidence about an exercise stays apart by: on stacks the place, because machines differ; else ''."""
    return f"place:{place_id}" if place_id and exercise.equipment_kind == Equipment.Kind.STACK else ""


def estimates_at(rows: Sequence[StrengthEstimate], place_id: int | None) -> Sequence[StrengthEstimate]:
    """Of each exercise the estimates of this place's machine, else of no known one, else of one other, the newest."""
    if not any(row.machine for row in rows):
        return rows
    here = f"place:{place_id}"
    by_machine: dict[int, dict[str, list[StrengthEstimate]]] = {}
    for row in rows:
        by_machine.setdefault(row.exercise_id, {}).setdefault(row.machine, []).append(row)
    found: list[StrengthEstimate] = []
    for machines in by_machine.values():
        newest = max(machines, key=lambda name: (max(row.last_on for row in machines[name]), name))
        found += machines[next((name for name in (here, "") if name in machines), newest)]
    return found


def session_plan(
    row: PlannedSession, exercises: Iterable[PlannedExercise], *, traits: Mapping[int, engine.ExerciseTraits],
    here: Here, kit: Kit,
) -> engine.SessionPlan:  # fmt: skip
    """One planned session; its day counts from the programme's first Monday."""
    plans = tuple(
        exercise_plan(
            e, traits=traits[e.exercise_id], strength=here.strengths.get(e.exercise_id), kit=kit,
            sides=here.sides.get(e.exercise_id, (None, None)), bests=here.bests.get(e.exercise_id, ()),
            last=here.settings.get(str(e.exercise_id)),
        )
        for e in exercises
    )  # fmt: skip
    return _session_plan(row.pk, 7 * (row.week_no - 1) + row.day, row.name, plans)
