"""What comes out of the engine for one session: steps with loads, reps, rest and reasons."""

from __future__ import annotations

from dataclasses import dataclass

from .because import Because
from .plans import ExerciseTraits, Key


@dataclass(frozen=True)
class Count:
    """A count of sets with what a stricter (low) and a more generous rule (high) would give."""

    low: float
    default: float
    high: float


@dataclass(frozen=True)
class PrescribedStep:
    """One bout. Loads in thousandths of `unit`, None when not known; reps_low..reps_high as to be written.

    `expected_reps` and `rir_expected` are predictions (real numbers, None when not predictable), `rir` is
    what was planned. `strength_before/after`: strength left, 0 to 1. `fraction`: of the mean 1RM.
    `rest_s`: rest after it in s. `places`: 0-based place among the loads that can be made, or of a band.
    `set_kind`: the kind of scheme its set comes from (straight, drop_set, rest_pause, cluster, ...).
    `system_load`: what is moved, with the share of the body mass; None when that is not known.
    `expected_amount`: seconds or metres to expect of a timed step when a best is known. Loads below 0 are
    assistance. A set done side by side holds the left side's steps, then the right side's.
    """

    set_no: int
    step_no: int
    side: str
    load: int | None
    unit: str
    setup: str
    plates: tuple[int, ...]
    places: int | None
    fraction: float | None
    reps_low: int
    reps_high: int
    to_failure: bool
    rep_kind: str
    expected_reps: float | None
    rir: float | None
    rir_expected: float | None
    rest_s: float
    strength_before: float
    strength_after: float
    impulse: float
    because: tuple[Because, ...] = ()
    set_kind: str = "straight"
    system_load: int | None = None
    expected_amount: float | None = None

    @property
    def effort_rir(self) -> float | None:
        """The reserve that counting goes by: what was planned, else what is predicted."""
        return self.rir if self.rir is not None else self.rir_expected

    @property
    def counted_reps(self) -> float:
        """Reps for volume and time: as predicted, else the top of what is written (10 when open)."""
        if self.expected_reps is not None:
            return self.expected_reps
        return float(self.reps_high or 10)


@dataclass(frozen=True)
class PrescribedExercise:
    """One exercise: warm-ups, sets of steps, remarks, hard sets, fatigue impulse and seconds."""

    key: Key
    exercise: ExerciseTraits
    warmups: tuple[PrescribedStep, ...]
    sets: tuple[tuple[PrescribedStep, ...], ...]
    notes: tuple[Because, ...]
    hard_sets: Count
    impulse: float
    seconds: float


@dataclass(frozen=True)
class PrescribedSession:
    """One session ready for a sheet; `seconds` with set-up, warm-ups, rests and change-overs."""

    key: Key
    day: int
    name: str
    exercises: tuple[PrescribedExercise, ...]
    seconds: float

    @property
    def week_no(self) -> int:
        """1-based week of the programme."""
        return self.day // 7 + 1
