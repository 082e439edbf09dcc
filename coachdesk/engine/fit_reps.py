"""Reps that fit a load after rounding: the planned reserve is kept, the reps follow."""

from __future__ import annotations

import math

from .because import Because, reason
from .constants import value
from .curves import curve_for
from .scheme_rules import StepRule
from .setting import Scale, Setting

_SLACK = 1e-9
_LIGHTEST = value("lightest_failure")
MOST_RESERVE = 100.0  # beyond it a reserve is a figure of speech
Fit = tuple[int, int, float | None, tuple[Because, ...]]


def fit_reps(setting: Setting, scale: Scale, step: StepRule, load: int, target: float, base: float | None) -> Fit:
    """(reps low, reps high, planned reserve, reasons) for `load` made where `target` was wanted.

    `base` is the maximum the target was taken from; None without one, and for the later steps of a set,
    whose reserve is set against the strength left. Re-solved only when the load is further off than the
    house rule; whole reps, rounded down, so that the reserve is kept or grows.
    """
    low, high = step.reps.low, step.reps.high
    if step.reps.kind in ("failure", "at_least"):
        return (low, high, step.rir or 0.0, ())
    if not step.reps.counts_reps or not base:
        # a drop's reserve is set against the strength left, not against a fresh maximum
        return (low, high, step.rir, ())
    curve = curve_for(setting.rules.curve, setting.exercise.endurance)
    wanted, made = max(target + scale.offset, 1.0), max(load + scale.offset, 1.0)
    fresh = curve.reps_left(wanted / base) - high
    planned = step.rir if step.rir is not None else min(MOST_RESERVE, max(0.0, fresh))
    off = made / wanted - 1
    if step.load.kind == "fixed" or abs(off) <= setting.rules.resolve_above:
        return (low, high, planned, ())
    if made / base < _LIGHTEST:
        # so light that the curve says nothing of the reps
        return (low, high, planned, (reason("too_light", percent=100 * made / base),))
    fits = curve.reps_left(made / base) - planned
    return _whole_reps(setting, scale, step, load, target, off, fits, planned)


def _whole_reps(
    setting: Setting,
    scale: Scale,
    step: StepRule,
    load: int,
    target: float,
    off: float,
    fits: float,
    planned: float,
) -> Fit:
    low, high = step.reps.low, step.reps.high
    whole = max(1, min(1000, math.floor(fits + _SLACK)))
    numbers: dict[str, float | str] = {"made": scale.told(load), "unit": setting.unit, "rir": planned}
    if step.reps.kind == "range":
        kept = max(low, min(high, whole))
        if _out_of_range(setting, off, fits - kept):
            why = reason("reps_out_of_range", **numbers, low=low, high=high, missed=abs(fits - kept))
            return (kept, kept, planned, (why,))
        return (low, kept, planned, ())
    if whole == high:
        return (low, high, planned, ())
    gap = 100 * abs(off)
    why = reason("resolved", **numbers, off=gap, target=scale.told(target), before=high, reps=whole)
    return (whole, whole, planned, (why,))


def _out_of_range(setting: Setting, off: float, missed: float) -> bool:
    """Whether a range misses its reserve by more than the house rule allows."""
    # too light is harmless and often meant (rounding down), so only a wide gap counts there
    counts = missed < 0 or (not setting.careful and abs(off) > setting.rules.far_off_above)
    return counts and abs(missed) > setting.rules.rir_missed
