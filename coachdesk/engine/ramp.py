"""A test of a maximum step by step: warm-ups that rise to a first attempt, and what a success or a failure asks for."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from .curves import reps_for_fraction
from .equipment import BodyWeight, Equipment, Ordinal, _makeable, _setup_text, checked_equipment, rounded
from .errors import EngineError, instance, number
from .loads import from_kg
from .plans import ExerciseTraits
from .progress import body_area
from .strength import Strength

# Rise from step to step, and the way back after a miss, as shares of the load (least, most).
_RISE = {"upper": (0.05, 0.10), "lower": (0.10, 0.20)}
_BACK = {"upper": (0.025, 0.05), "lower": (0.05, 0.10)}
# Reps (least, most) and rest in s (least, most) of each step up to the attempt.
_REPS = {"light": (5, 10), "warm-up": (3, 5), "near-maximal": (2, 3), "attempt": (1, 1)}
_RESTS = {"light": (60, 60), "warm-up": (120, 120), "near-maximal": (120, 240), "attempt": (120, 240)}
# The first step is to be easy, for which the table gives no number.
_EASY_RIR = 5
_NAMES = ("light", "warm-up", "near-maximal", "attempt")


@dataclass(frozen=True)
class RampStep:
    """One step: load in thousandths of the equipment's unit, reps and rest in s from .. to."""

    name: str
    load: int
    setup: str
    reps: tuple[int, int]
    rest_s: tuple[int, int]


@dataclass(frozen=True)
class Ramp:
    """The steps up to the first attempt; loads to choose from after a success, and after a failure."""

    steps: tuple[RampStep, ...]
    up: tuple[int, ...]
    down: tuple[int, ...]
    unit: str


def maximum_ramp(
    exercise: ExerciseTraits, strength: Strength, equipment: Equipment, body_kg: float | None = None
) -> Ramp | None:
    """Steps of a 1RM test that end in an attempt at the estimate, on loads that can be made.

    The steps rise by the most that is published for the body's area, so that the first ones are light; rounded
    down, and a step no lighter than the one after it is left out. None on equipment without units, and where the
    body mass that is moved is not known. Haff & Triplett 2016.
    """
    instance("exercise", exercise, ExerciseTraits)
    instance("strength", strength, Strength)
    checked_equipment(equipment)
    if body_kg is not None:
        number("body mass", body_kg, 10, 400)
    if isinstance(equipment, Ordinal) or (exercise.body_share and body_kg is None):
        return None
    if isinstance(equipment, BodyWeight) and not exercise.body_share:
        return None
    offset = from_kg(exercise.body_share * (body_kg or 0.0), equipment.unit) if exercise.body_share else 0.0
    area, loads = body_area(exercise), _makeable(equipment)
    rise = 1 + max(_RISE[area])
    total = from_kg(strength.mean_kg, equipment.unit)
    made = []
    for n, name in enumerate(_NAMES):
        load = rounded(loads, total / rise ** (len(_NAMES) - 1 - n) - offset, "down")
        if load is not None:
            reps = _easy_reps((load + offset) / total) if name == "light" else _REPS[name]
            made.append(RampStep(name, load, _setup_text(equipment, load), reps, _RESTS[name]))
    if not made or made[-1].name != "attempt":
        raise EngineError("equipment", equipment, "one with a load at or below the estimate")
    kept = [one for one, after in pairwise(made) if one.load < after.load]
    attempt = made[-1].load
    up = _between(loads, attempt, offset, [1 + share for share in _RISE[area]])
    down = _between(loads, attempt, offset, [1 - share for share in _BACK[area]])
    return Ramp((*kept, made[-1]), up, down, equipment.unit)


def _easy_reps(fraction: float) -> tuple[int, int]:
    """The published reps of the light step, as far as they leave the house's reserve for being easy."""
    low, high = _REPS["light"]
    return low, max(low, min(high, int(reps_for_fraction(min(1.0, fraction)) - _EASY_RIR)))


def _between(loads: tuple[int, ...], attempt: int, offset: float, shares: list[float]) -> tuple[int, ...]:
    """Loads that lie within the shares of what the attempt moves; the nearest one beyond it when none does."""
    low, high = sorted(share * (attempt + offset) - offset for share in shares)
    within = tuple(load for load in loads if low - 1 <= load <= high + 1 and load != attempt)
    if within:
        return within
    beyond = [load for load in loads if (load > attempt if low >= attempt else load < attempt)]
    return ((min(beyond) if low >= attempt else max(beyond)),) if beyond else ()
