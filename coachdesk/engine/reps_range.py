"""How far from the expected reps a lifter may well be: two of three lie within the range."""

from __future__ import annotations

import math

from .constants import value
from .errors import instance
from .prescribed import PrescribedStep

_PERSON, _SETS, _BOUTS = value("reps_person_sd"), value("reps_sets_error"), value("reps_bouts_error")
_FRESH = 0.995
_SLACK = 1e-6


def expected_range(step: PrescribedStep) -> tuple[float, float] | None:
    """(low, high) reps of a step; None when none are predicted.

    One SD each way of the reps that can be done: people differ at a percentage even when fresh, the model
    misses later sets by more, and bouts after drops and short pauses are extrapolation. A step with a
    number of reps never has more than is written, nor fewer than can be done.
    """
    instance("step", step, PrescribedStep)
    if step.expected_reps is None:
        return None
    left = step.expected_reps + (step.rir_expected or 0.0)
    tired = step.strength_before < _FRESH
    error = _BOUTS if step.step_no > 1 else _SETS if tired else 0.0
    sd = left * math.hypot(_PERSON, error)
    low, high = max(0.0, left - sd), left + sd
    if step.to_failure or step.rep_kind == "at_least":
        reserve = 0.0 if step.to_failure else step.rir or 0.0
        least = 0.0 if step.to_failure else float(step.reps_low)
        low, high = (max(0.0, min(n, max(least, n - reserve))) for n in (low, high))
        most = step.expected_reps if step.expected_reps < left - reserve - _SLACK else high  # a total was reached
    else:
        most = float(step.reps_high)
    return (min(step.expected_reps, low), max(step.expected_reps, min(most, high)))
