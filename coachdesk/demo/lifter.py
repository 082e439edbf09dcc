"""The true abilities of a simulated person, and how they tire and recover inside one visit.

Deliberately not the engine's model of strength left: the desk must cope with people who do not obey it.
"""

import math
from dataclasses import dataclass, field
from datetime import date
from random import Random

from coachdesk.demo.capacity import CARRY_METRES, MAXIMUM, REPS, SECONDS
from coachdesk.demo.shapes import DemoClient
from coachdesk.engine import fraction_for_reps, reps_for_fraction
from programs.library.entry import MULTI_JOINT_LOWER, LibraryExercise
from programs.library.exercises import library_exercise

FAST_S, SLOW_S = 60.0, 1500.0
LOWER_BODY = (
    *MULTI_JOINT_LOWER,
    "hip_extension",
    "knee_extension",
    "knee_flexion",
    "calf_raise",
    "hip_abduction",
)
MOST_REPS = 120.0


def is_one_sided_lower(exercise: LibraryExercise) -> bool:
    """Whether a weak leg shows in it."""
    return exercise.limbs == "one" and exercise.pattern in LOWER_BODY


@dataclass
class Lifter:
    """One person on one day. Maxima in kg of one implement; capacity in reps, seconds or metres."""

    client: DemoClient
    on: date
    day: float
    lost: dict[tuple[str, str], list[float]] = field(default_factory=dict)

    @classmethod
    def today(cls, client: DemoClient, on: date, rng: Random) -> "Lifter":
        """The person with this day's good or bad form."""
        return cls(client, on, math.exp(rng.gauss(0, client.quirks.day_sd)))

    @property
    def weeks(self) -> float:
        """Weeks since the programme began, never negative."""
        start = self.client.program.start_on if self.client.program else self.on
        return max(0.0, (self.on - start).days / 7)

    def form(self, exercise: LibraryExercise, side: str) -> float:
        """Strength today as a share of the starting maximum, before any fatigue."""
        form = self.day * (1 + self.client.quirks.gain_per_week * self.weeks)
        weak = self.client.quirks.weak_side
        if weak and side == weak[0] and is_one_sided_lower(exercise):
            form *= weak[1]
        return form

    def maximum(self, code: str, side: str = "b") -> float | None:
        """True 1RM today in kg, None for exercises without a load of their own."""
        base = dict(self.client.maxima).get(code)
        if base is None:
            share = MAXIMUM.get(code)
            base = None if share is None else share * self.client.body_kg * self.client.strength
        return None if base is None else base * self.form(library_exercise(code), side)

    def endurance(self, exercise: LibraryExercise) -> float:
        """True repetition capacity of this person in this exercise."""
        return dict(self.client.quirks.endurance).get(exercise.code, exercise.endurance)

    def strength_left(self, exercise: LibraryExercise, side: str) -> float:
        """Share of today's strength that is left for this exercise and side, 0.3 to 1."""
        pairs = [(muscle, at) for muscle in exercise.direct for at in ("b", "l", "r") if side in (at, "b") or at == "b"]
        return max(0.3, 1 - max((sum(self.lost.get(pair, (0.0, 0.0))) for pair in pairs), default=0.0))

    def capacity(self, exercise: LibraryExercise, load_kg: float | None, side: str) -> float:
        """How many reps, seconds or metres there are now; below 1 when not even one."""
        left = self.strength_left(exercise, side)
        maximum = self.maximum(exercise.code, side)
        if exercise.rep_kind == "metres":
            share = (load_kg or 0.0) / (maximum or 1.0)
            return CARRY_METRES * min(4.0, 0.5 / max(share, 0.05)) * left
        if exercise.rep_kind == "seconds" or maximum is None or not load_kg:
            return self._unloaded(exercise, load_kg, side) * left**2
        share = load_kg / (maximum * left)
        if share > 1:
            return 0.0
        return min(MOST_REPS, reps_for_fraction(share, endurance=self.endurance(exercise)))

    def _unloaded(self, exercise: LibraryExercise, added_kg: float | None, side: str) -> float:
        base = SECONDS.get(exercise.code) or REPS.get(exercise.code) or 20
        harder = max(0.1, 1 - 2.5 * (added_kg or 0.0) / self.client.body_kg)
        return base * (0.5 + 0.5 * self.client.strength) * self.form(exercise, side) * harder

    def load_for(self, exercise: LibraryExercise, reps: float, side: str) -> float | None:
        """The kg that would leave exactly `reps` to failure now; None without a load of its own."""
        maximum = self.maximum(exercise.code, side)
        if maximum is None:
            return None
        left = self.strength_left(exercise, side)
        if exercise.rep_kind == "metres":
            return maximum * 0.5 * left
        return maximum * left * fraction_for_reps(max(reps, 1.0), endurance=self.endurance(exercise))

    def did(self, exercise: LibraryExercise, side: str, capacity: float, reserve: float) -> None:
        """Book what a bout cost that had `capacity` in it and ended with `reserve` left."""
        left = self.strength_left(exercise, side)
        endurance = self.endurance(exercise)
        began = fraction_for_reps(min(60.0, max(1.0, capacity)), endurance=endurance)
        ended = left * began / fraction_for_reps(min(60.0, reserve + 1), endurance=endurance)
        lost = max(0.0, left - ended)
        slow = lost * (0.04 + 0.09 * math.exp(-reserve / 2))
        for muscles, share in ((exercise.direct, 1.0), (exercise.indirect, 0.4)):
            for muscle in muscles:
                kept = self.lost.setdefault((muscle, side), [0.0, 0.0])
                kept[0] += share * (lost - slow)
                kept[1] += share * slow

    def rest(self, seconds: float) -> None:
        """Recover for this many seconds."""
        fast, slow = math.exp(-seconds / FAST_S), math.exp(-seconds / SLOW_S)
        for kept in self.lost.values():
            kept[0] *= fast
            kept[1] *= slow
