"""Strength left inside a session: what a step costs, what a rest gives back, reps to expect."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from .constants import value
from .curves import Curve, checked_curve, curve_for
from .errors import MAX_REPS, EngineError, instance, items, non_negative_float, number, positive_float

TAU_FAST = value("tau_fast_s")
TAU_SLOW = value("tau_slow_s")
LEAST = value("least_strength")
LIGHTEST_FAILURE = value("lightest_failure")
_S0, _A, _B = value("slow_s0"), value("slow_a"), value("slow_b")
_RESERVE, _CAP = value("slow_reserve_reps"), value("slow_cap")
_GRID = 0.02
_TABLE_TO = 30.0


def _slow_share(reserve: float, s0: float, a: float, b: float) -> float:
    return min(_CAP, s0 * (a + b * math.exp(-reserve / _RESERVE)))


@lru_cache(maxsize=256)
def _table(curve: str, endurance: float, s0: float, a: float, b: float) -> tuple[float, ...]:
    """Q on a grid: the slow part of what is lost between k in reserve and failure, per unit of load."""
    phi = curve_for(curve, endurance).phi
    total, before, made = 0.0, 1 / phi(0.0), [0.0]
    for i in range(1, int(_TABLE_TO / _GRID) + 1):
        after = 1 / phi(i * _GRID)
        total += _slow_share((i - 0.5) * _GRID, s0, a, b) * (after - before)
        before = after
        made.append(total)
    return tuple(made)


class Model:
    """The state equations for one curve and endurance; internal, takes checked numbers."""

    def __init__(self, curve: Curve, s0: float = _S0, a: float = _A, b: float = _B) -> None:
        self.curve = curve
        self._q = _table(curve.name, curve.endurance, s0, a, b)
        self._tail = min(_CAP, s0 * a)
        self._inverse_at_end = 1 / curve.phi(_TABLE_TO)

    def slow_to(self, reserve: float) -> float:
        """Q(k): a table to 30 in reserve, beyond that the slow share no longer changes."""
        if reserve >= _TABLE_TO:
            return self._q[-1] + self._tail * (1 / self.curve.phi(reserve) - self._inverse_at_end)
        place = reserve / _GRID
        i = int(place)
        return self._q[i] + (place - i) * (self._q[min(i + 1, len(self._q) - 1)] - self._q[i])

    def reps_left(self, fraction: float, strength: float) -> float:
        """Reps to failure at `fraction` of the fresh 1RM with `strength` left; 0 when none."""
        return max(0.0, self.curve.reps_left(fraction / strength))

    def cost(self, fraction: float, strength: float, reps: float, left: float) -> tuple[float, float]:
        """(fast, slow) lost by `reps` of the `left` reps that `fraction` allowed."""
        if reps <= 0:
            return (0.0, 0.0)
        remaining = left - reps
        lost = max(0.0, strength - fraction / self.curve.phi(remaining))
        slow = min(lost, fraction * (self.slow_to(left) - self.slow_to(remaining)))
        return (lost - slow, slow)


@lru_cache(maxsize=256)
def model_for(curve: str, endurance: float, s0: float = _S0, a: float = _A, b: float = _B) -> Model:
    """The model of one curve, endurance and fitted slow share."""
    return Model(curve_for(curve, endurance), s0, a, b)


@dataclass(frozen=True)
class Step:
    """One bout at `fraction` of the fresh 1RM: `reps` done, or to failure (None), then `rest_s` of rest."""

    fraction: float
    reps: float | None = None
    rest_s: float = 0.0

    def __post_init__(self) -> None:
        positive_float("fraction of 1RM", self.fraction, 1)
        if self.reps is not None:
            positive_float("reps", self.reps, MAX_REPS)
        elif self.fraction < LIGHTEST_FAILURE - 1e-9:
            right = f"at least {LIGHTEST_FAILURE:g}: lighter steps to failure are not predicted"
            raise EngineError("fraction of 1RM of a step to failure", self.fraction, right)
        non_negative_float("rest_s", self.rest_s, 1_000_000)


@dataclass(frozen=True)
class StepResult:
    """Predicted: reps and RIR (real numbers, never floored), strength left before and after (0 to 1)."""

    reps: float
    rir: float
    strength_before: float
    strength_after: float


def run_steps(
    model: Model, steps: Sequence[Step], tau_fast: float = TAU_FAST, tau_slow: float = TAU_SLOW
) -> list[StepResult]:
    """The state equations over checked steps; the fit varies the time constants."""
    fast = slow = 0.0
    results = []
    for step in steps:
        before = max(LEAST, 1 - fast - slow)
        left = model.reps_left(step.fraction, before)
        reps = left if step.reps is None else min(float(step.reps), left)
        lost_fast, lost_slow = model.cost(step.fraction, before, reps, left)
        fast, slow = fast + lost_fast, slow + lost_slow
        after = min(1.0, max(LEAST, 1 - fast - slow))
        results.append(StepResult(reps, max(0.0, left - reps), before, after))
        fast, slow = fast * math.exp(-step.rest_s / tau_fast), slow * math.exp(-step.rest_s / tau_slow)
    return results


def predict_steps(
    steps: Sequence[Step],
    *,
    curve: str = "handbook",
    endurance: float = 1.0,
    s0: float = _S0,
    recovery: float = 1.0,
) -> list[StepResult]:
    """Reps to expect on each step of one exercise, done in order from fresh.

    A step with reps stops there, or at failure if sooner; rests in seconds; work takes no time. `recovery`
    (0.2 to 5): a lifter whose rests count that many times. EngineError for bad input and for steps to
    failure below 30 % of 1RM.
    """
    made = checked_curve(curve, endurance)
    model = model_for(made.name, made.endurance, number("s0", s0, 0, 1))
    pace = number("recovery", recovery, 0.2, 5)
    given = items("steps", steps, empty=False)
    for step in given:
        instance("step", step, Step)
    return run_steps(model, given, TAU_FAST / pace, TAU_SLOW / pace)


def session_seconds(
    steps: Sequence[Step], *, seconds_per_rep: float = 3.0, curve: str = "handbook", endurance: float = 1.0
) -> float:
    """Seconds of the steps and the rests between them; no set-up, no rest after the last step.

    Written reps count as written, steps to failure as predicted.
    """
    pace = positive_float("seconds_per_rep", seconds_per_rep, 60)
    predicted = predict_steps(steps, curve=curve, endurance=endurance)
    work = sum(r.reps if s.reps is None else s.reps for s, r in zip(steps, predicted, strict=True))
    return float(work * pace + sum(step.rest_s for step in steps[:-1]))
