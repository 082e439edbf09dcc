"""What goes into the engine: exercises with their traits, planned sessions, the client's traits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from .equipment import KINDS, Equipment
from .errors import EngineError, instance, items, number, one_of, text, whole
from .frozen import hash_once
from .loads import MOST_THOUSANDTHS, UNITS
from .muscles import muscle
from .scheme import Scheme
from .strength import Strength

EQUIPMENT_KINDS = ("barbell", "dumbbell", "stack", "fixed_bar", "bodyweight", "band")
LEVELS = ("novice", "intermediate", "advanced")
GOALS = ("size", "strength", "health", "rehab")
SCREENING = ("ok", "missing", "expired")
MARKS = ("grow", "hold", "rehab")
MOST_DAYS = 104 * 7
Key = str | int


def _key(name: str, key: Any) -> None:
    if isinstance(key, bool) or not isinstance(key, (str, int)) or len(str(key)[:300]) > 200:
        raise EngineError(name, key, "a short text or a whole number")


def _shares(muscles: object) -> tuple[tuple[str, float], ...]:
    """Pairs of a muscle's code and what a set counts for it, 0 to 1."""
    pairs = []
    for pair in items("muscles", muscles, most=20):
        if not isinstance(pair, (list, tuple)) or len(pair) != 2:
            raise EngineError("muscle", pair, "a pair of code and share")
        muscle(pair[0])
        pairs.append((pair[0], number("share", pair[1], 0, 1)))
    return tuple(pairs)


@hash_once
@dataclass(frozen=True)
class ExerciseTraits:
    """A movement: muscles with shares (direct 1, indirect 0.5), loading, limbs, repetition capacity.

    `implements` 2 for a pair of dumbbells (the load is that of one). `limbs` 'one': each side in turn,
    left plus right is one set. `body_share`: part of the body mass that is moved (0 for none).
    """

    key: Key
    name: str
    muscles: tuple[tuple[str, float], ...]
    equipment_kind: str
    implements: int = 1
    limbs: str = "two"
    endurance: float = 1.0
    pattern: str = ""
    spotter: bool = False
    seconds_per_rep: float = 3.0
    body_share: float = 0.0

    def __post_init__(self) -> None:
        _key("exercise key", self.key)
        text("exercise name", self.name)
        object.__setattr__(self, "muscles", _shares(self.muscles))
        one_of("equipment kind", self.equipment_kind, EQUIPMENT_KINDS)
        whole("implements", self.implements, 1, 2)
        one_of("limbs", self.limbs, ("two", "one"))
        number("endurance", self.endurance, 0.2, 5)
        text("pattern", self.pattern)
        instance("spotter", self.spotter, bool)
        number("seconds per rep", self.seconds_per_rep, 0.1, 60)
        number("share of body mass", self.body_share, 0, 1)


@hash_once
@dataclass(frozen=True)
class BestTime:
    """The most seconds held or metres covered, fresh, at a load in thousandths of `unit` (0: body weight)."""

    amount: float
    kind: str = "seconds"
    load: int = 0
    unit: str = "kg"

    def __post_init__(self) -> None:
        number("best", self.amount, 0.1, 100_000)
        one_of("kind of best", self.kind, ("seconds", "metres"))
        whole("load", self.load, -MOST_THOUSANDTHS, MOST_THOUSANDTHS)
        one_of("unit", self.unit, UNITS)


@hash_once
@dataclass(frozen=True)
class PlaceDone:
    """The last time on equipment without units: the place (0-based, easiest first) and how its sets went.

    `reps`: of every set there. `rir`: the smallest typed, None when none was; `planned_rir`: what was asked.
    """

    place: int
    reps: tuple[int, ...]
    rir: float | None = None
    planned_rir: float | None = None

    def __post_init__(self) -> None:
        whole("place", self.place, 0, 499)
        reps = items("reps", self.reps, empty=False, most=500)
        object.__setattr__(self, "reps", tuple(whole("reps", one, 0, 1000) for one in reps))
        for name in ("rir", "planned_rir"):
            if getattr(self, name) is not None:
                number("RIR", getattr(self, name), 0, 20)


@hash_once
@dataclass(frozen=True)
class ExercisePlan:
    """One exercise of a session with its scheme; strength and equipment None when not known.

    Exercises of a session with the same `group` (not '') are done in rotation, a set of each in turn.
    `strength_left` or `strength_right` given, an exercise with `limbs` 'one' is loaded side by side, each
    from its own maximum (from `strength` where its own is None). `bests`: times and distances known.
    `place_done`: the last time on equipment without units, from which the next place follows.
    """

    key: Key
    exercise: ExerciseTraits
    scheme: Scheme
    strength: Strength | None = None
    equipment: Equipment | None = None
    group: str = ""
    strength_left: Strength | None = None
    strength_right: Strength | None = None
    bests: tuple[BestTime, ...] = ()
    place_done: PlaceDone | None = None

    def __post_init__(self) -> None:
        _key("key of the planned exercise", self.key)
        instance("exercise", self.exercise, ExerciseTraits)
        instance("scheme", self.scheme, Scheme)
        for name in ("strength", "strength_left", "strength_right"):
            if getattr(self, name) is not None:
                instance(name, getattr(self, name), Strength)
        if self.equipment is not None:
            instance("equipment", self.equipment, KINDS, "a piece of equipment")
        text("group", self.group, 20)
        for best in items("bests", self.bests, most=100):
            instance("best", best, BestTime)
        object.__setattr__(self, "bests", tuple(self.bests))
        if self.place_done is not None:
            instance("last place", self.place_done, PlaceDone)

    @property
    def by_side(self) -> bool:
        """Whether each side has a load of its own."""
        known = self.strength_left is not None or self.strength_right is not None
        return known and self.exercise.limbs == "one"


@hash_once
@dataclass(frozen=True)
class SessionPlan:
    """One visit: `day` counts days since the programme's first day (0-based), week_no = day // 7 + 1."""

    key: Key
    day: int
    name: str
    exercises: tuple[ExercisePlan, ...]

    def __post_init__(self) -> None:
        _key("session key", self.key)
        whole("day", self.day, 0, MOST_DAYS - 1)
        text("session name", self.name)
        for plan in items("exercises", self.exercises, most=40):
            instance("planned exercise", plan, ExercisePlan)
        object.__setattr__(self, "exercises", tuple(self.exercises))

    @property
    def week_no(self) -> int:
        """1-based week of the programme."""
        return self.day // 7 + 1


@hash_once
@dataclass(frozen=True)
class ClientTraits:
    """What the arithmetic needs to know of a person; marks are (muscle, grow | hold | rehab).

    `weeks_trained`: weeks of regular training so far when known. `body_kg`: body mass for body-weight work.
    `recovery`: how fast strength comes back between sets, against the default (a rest counts that many times).
    """

    level: str = "intermediate"
    age: int | None = None
    goal: str = "size"
    cautious: bool = False
    screening: str = "ok"
    marks: tuple[tuple[str, str], ...] = ()
    weeks_trained: int | None = None
    body_kg: float | None = None
    recovery: float = 1.0

    def __post_init__(self) -> None:
        number("recovery", self.recovery, 0.2, 5)
        one_of("level", self.level, LEVELS)
        one_of("goal", self.goal, GOALS)
        one_of("screening", self.screening, SCREENING)
        instance("cautious", self.cautious, bool)
        if self.age is not None:
            whole("age", self.age, 5, 120)
        if self.weeks_trained is not None:
            whole("weeks trained", self.weeks_trained, 0, 5000)
        if self.body_kg is not None:
            number("body mass", self.body_kg, 10, 400)
        for mark in items("marks", self.marks, most=60):
            if not isinstance(mark, (list, tuple)) or len(mark) != 2:
                raise EngineError("mark", mark, "a pair of muscle and grow, hold or rehab")
            muscle(mark[0])
            one_of("mark", mark[1], MARKS)
        object.__setattr__(self, "marks", tuple((code, mark) for code, mark in self.marks))

    def is_older(self, older_age: float) -> bool:
        """Whether the age is known and at least `older_age`."""
        return self.age is not None and self.age >= older_age

    def is_careful(self, older_age: float) -> bool:
        """Whether loads are rounded down and taken from the lower quarter."""
        return self.level == "novice" or self.cautious or self.is_older(older_age)
