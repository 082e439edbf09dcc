"""The load of one step: from its rule to a load that can be made, and the reps that then fit."""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from .because import Because
from .constants import value
from .curves import Curve, curve_for
from .equipment import Barbell, Equipment, Ordinal, _makeable, _setup_text, plates_per_side, rounded
from .frozen import hash_once
from .loads import MOST_THOUSANDTHS, convert, from_kg
from .plans import ClientTraits, ExerciseTraits
from .rules import Rules
from .scheme import StepRule
from .strength import Strength

_HALF_UNIT = 500
_QUARTER = value("lower_quarter")
_SLACK = 1e-9


@hash_once
@dataclass(frozen=True)
class Setting:
    """What the loads of one exercise depend on, besides the step; a cache key."""

    exercise: ExerciseTraits
    equipment: Equipment | None
    strength: Strength | None
    careful: bool
    body_kg: float | None
    rules: Rules


@dataclass(frozen=True)
class Choice:
    """A step's load in thousandths (None: not known), fraction of the mean 1RM, reps and reserve to plan."""

    load: int | None
    unit: str
    fraction: float | None
    reps_low: int
    reps_high: int
    rir: float | None
    setup: str = ""
    plates: tuple[int, ...] = ()
    place: int | None = None
    removed: bool = False
    because: tuple[Because, ...] = ()
    notes: tuple[Because, ...] = ()


class _Scale:
    """Maxima, offset (moved body mass) and loads of a setting, in thousandths of its unit."""

    def __init__(self, setting: Setting) -> None:
        eq = setting.equipment
        self.unit = (eq.unit if eq else "kg") or "kg"
        self.loads = _makeable(eq) if eq else ()
        body = setting.exercise.body_share * (setting.body_kg or 0.0)
        self.offset = from_kg(body, self.unit) if body else 0.0
        self.no_mass = setting.exercise.body_share > 0 and setting.body_kg is None
        known = setting.strength
        self.mean = from_kg(known.mean_kg, self.unit) if known and not self.no_mass else None
        self.low = from_kg(known.lower_quarter_kg(_QUARTER), self.unit) if known and self.mean else None

    def fraction(self, load: int) -> float | None:
        """Load as a fraction of the mean 1RM, body mass included."""
        return (load + self.offset) / self.mean if self.mean else None


@lru_cache(maxsize=4096)
def _scale(setting: Setting) -> _Scale:
    return _Scale(setting)


def thousandths(number: float) -> float:
    """For a sentence: thousandths as units."""
    return round(number / 1000, 3)


@lru_cache(maxsize=65536)
def choose(
    setting: Setting, step: StepRule, previous: int | None, position: int, strength_left: float
) -> Choice:
    """The load of `step`; `previous` is the load of the step before it in the set.

    Loads round to the nearest that can be made (down for careful clients); drops always go down.
    `strength_left` counts only when the step holds its reserve or range instead of its load.
    """
    scale = _scale(setting)
    if isinstance(setting.equipment, Ordinal):
        return _unknown(step, scale.unit, Because("no_units"))
    if scale.no_mass and step.load.kind != "fixed":
        return _unknown(step, scale.unit, Because("no_body_mass"))
    aim = _aim(setting, scale, step, previous, strength_left)
    if isinstance(aim, Because):
        return _unknown(step, scale.unit, aim)
    target, base, why = aim
    return _made(setting, scale, step, previous if position else None, target, base, why)


def _unknown(step: StepRule, unit: str, why: Because) -> Choice:
    rir = 0.0 if step.reps.kind == "failure" else step.rir
    notes = (why,) if why.kind != "ramp" else ()
    return Choice(None, unit, None, step.reps.low, step.reps.high, rir, because=(why,), notes=notes)


Aim = tuple[float, float | None, tuple[Because, ...]]


def _aim(setting: Setting, scale: _Scale, step: StepRule, previous: int | None, left: float) -> Aim | Because:
    """(target in thousandths, maximum it was taken from, reasons), or the reason why there is none."""
    load, unit = step.load, scale.unit
    if load.kind == "fixed":
        target = float(convert(int(load.value or 0), load.unit, unit))
        return (target, scale.mean, (Because("fixed", (("target", thousandths(target)), ("unit", unit))),))
    if load.is_drop:
        return _drop_aim(scale, step, previous)
    if scale.mean is None or scale.low is None:
        if load.kind != "effort":
            rule = {"percent": "percent of 1RM", "rep_max": "rep maximum"}[load.kind]
            return Because("no_maximum", (("rule", rule),))
        return Because("ramp", (("reps", step.reps.high), ("rir", step.rir or 0.0)))
    curve = curve_for(setting.rules.curve, setting.exercise.endurance)
    if load.kind == "effort" and not step.reps.counts_reps:
        return Because("no_units")
    fraction = _planned_fraction(curve, step)
    heavy = fraction >= curve.phi(setting.rules.heavy_reps) - _SLACK
    base = scale.low if setting.careful or heavy else scale.mean
    strength = left if step.hold != "load" else 1.0
    target = max(0.0, fraction * base * strength - scale.offset)
    why = (_rule_because(step, fraction, base, target, unit),)
    if base is not scale.mean:
        reason = "heavy work" if not setting.careful else "a beginner, an older or a cautioned client"
        numbers = (
            ("maximum", thousandths(base)),
            ("mean", thousandths(scale.mean)),
            ("unit", unit),
            ("why", reason),
        )
        why += (Because("lower_quarter", numbers),)
    if strength < 1:
        why += (Because("held_rir", (("strength", 100 * strength),)),)
    return (target, base, why)


def _planned_fraction(curve: Curve, step: StepRule) -> float:
    if step.load.kind == "percent":
        return (step.load.value or 0) / 100
    if step.load.kind == "rep_max":
        return curve.phi(step.load.value or 1)
    # the top of a range: fatigue then lowers the reps of later sets within it
    return min(1.0, curve.phi(step.reps.high + (step.rir or 0)))


def _rule_because(step: StepRule, fraction: float, base: float, target: float, unit: str) -> Because:
    common = (
        ("percent", 100 * fraction),
        ("maximum", thousandths(base)),
        ("target", thousandths(target)),
        ("unit", unit),
    )
    if step.load.kind == "effort":
        rir = step.rir or 0.0
        total = step.reps.high + rir
        return Because("effort", (("reps", step.reps.high), ("rir", rir), ("total", total), *common))
    if step.load.kind == "rep_max":
        return Because("rep_max", (("reps", step.load.value or 1), *common))
    return Because("percent", common)


def _drop_aim(scale: _Scale, step: StepRule, previous: int | None) -> Aim | Because:
    if previous is None:
        return Because("drop_unknown")
    unit, by = scale.unit, step.load.value or 0
    if step.load.kind == "drop_percent":
        target = (previous + scale.offset) * (1 - by / 100) - scale.offset
        numbers = (
            ("percent", by),
            ("before", thousandths(previous)),
            ("target", thousandths(max(0.0, target))),
        )
        return (target, scale.mean, (Because("drop_percent", (*numbers, ("unit", unit))),))
    i = bisect_left(scale.loads, previous) - int(by) if scale.loads else -1
    target = float(scale.loads[i]) if i >= 0 else -1.0
    numbers = (("places", by), ("before", thousandths(previous)), ("made", thousandths(max(0.0, target))))
    return (target, scale.mean, (Because("drop_places", (*numbers, ("unit", unit))),))


def _made(
    setting: Setting,
    scale: _Scale,
    step: StepRule,
    previous: int | None,
    target: float,
    base: float | None,
    why: tuple[Because, ...],
) -> Choice:
    rules, unit = setting.rules, scale.unit
    down = setting.careful and step.load.kind != "fixed"
    load, notes = _round(scale, max(0.0, target), "down" if down else "nearest")
    if previous is not None and load is not None:
        lighter, more = _lighter(scale, load, previous, target, rules)
        if lighter is None:
            return Choice(None, unit, None, 0, 0, None, removed=True, because=(*why, *more), notes=more)
        load, why = lighter, (*why, *more)
    if load is None:
        return _unknown(step, unit, Because("no_units"))
    if notes:
        why += notes
    elif abs(load - target) > 0.5:
        numbers = (("target", thousandths(max(0.0, target))), ("made", thousandths(load)), ("unit", unit))
        why += (Because("rounded", (*numbers, ("direction", "nearest below" if down else "nearest"))),)
    low, high, rir, more = _resolve(setting, scale, step, load, target, base)
    notes += _far_off(setting, scale, step, load, target, previous) + tuple(
        b for b in more if b.kind != "resolved"
    )
    eq = setting.equipment
    return Choice(
        load,
        unit,
        scale.fraction(load),
        low,
        high,
        rir,
        _setup_text(eq, load) if eq else "",
        plates_per_side(eq, load) if isinstance(eq, Barbell) else (),
        bisect_left(scale.loads, load) if scale.loads else None,
        because=(*why, *more),
        notes=notes,
    )


def _round(scale: _Scale, target: float, direction: str) -> tuple[int | None, tuple[Because, ...]]:
    target = min(target, float(MOST_THOUSANDTHS))
    if scale.loads:
        made = rounded(scale.loads, target, direction)
        return (scale.loads[0] if made is None else made, ())
    steps = target / _HALF_UNIT
    made = _HALF_UNIT * max(1, math.floor(steps) if direction == "down" else math.floor(steps + 0.5))
    return (made, (Because("no_equipment", (("made", thousandths(made)), ("unit", scale.unit))),))


def _lighter(
    scale: _Scale, load: int, previous: int, target: float, rules: Rules
) -> tuple[int | None, tuple[Because, ...]]:
    """A drop's load, moved to the next one down when rounding undid the drop; None when there is none."""
    lightest = scale.loads[0] if scale.loads else _HALF_UNIT
    if target >= lightest * (1 - rules.resolve_above) and load < previous:
        return (load, ())
    i = bisect_left(scale.loads, previous) - 1
    if target >= lightest * (1 - rules.resolve_above) and i >= 0:
        made = scale.loads[i]
        return (made, (Because("next_down", (("made", thousandths(made)), ("unit", scale.unit))),))
    numbers = (
        ("target", thousandths(max(0.0, target))),
        ("lightest", thousandths(lightest)),
        ("unit", scale.unit),
    )
    return (None, (Because("drop_removed", numbers),))


def _resolve(
    setting: Setting, scale: _Scale, step: StepRule, load: int, target: float, base: float | None
) -> tuple[int, int, float | None, tuple[Because, ...]]:
    """(reps low, reps high, planned reserve, reasons): reps follow when rounding moved the load too far."""
    low, high = step.reps.low, step.reps.high
    if step.reps.kind == "failure" or not step.reps.counts_reps or not base:
        return (low, high, 0.0 if step.reps.kind == "failure" else step.rir, ())
    curve = curve_for(setting.rules.curve, setting.exercise.endurance)
    wanted = max(target + scale.offset, 1e-6)
    # a drop's reserve is set against strength left, not against a fresh maximum
    planned = step.rir
    if planned is None:
        planned = max(0.0, curve.reps_left(wanted / base) - high) if not step.load.is_drop else None
    off = (load + scale.offset) / wanted - 1
    if (
        planned is None
        or step.load.is_drop
        or step.load.kind == "fixed"
        or abs(off) <= setting.rules.resolve_above
    ):
        return (low, high, planned, ())
    fits = curve.reps_left(max(1e-6, (load + scale.offset) / base)) - planned
    return _fit_reps(setting, step, load, target, off, fits, planned, scale.unit)


def _fit_reps(
    setting: Setting,
    step: StepRule,
    load: int,
    target: float,
    off: float,
    fits: float,
    planned: float,
    unit: str,
) -> tuple[int, int, float | None, tuple[Because, ...]]:
    low, high = step.reps.low, step.reps.high
    # reps asked for are whole and rounded down: the reserve is kept or grows
    whole = max(1, min(1000, math.floor(fits + _SLACK)))
    kept = max(low, min(high, whole)) if step.reps.kind == "range" else whole
    missed = fits - kept
    # too light is harmless and often meant (rounding down), so only a wide gap counts there
    wide = missed < 0 or (not setting.careful and abs(off) > setting.rules.far_off_above)
    if step.reps.kind == "range" and abs(missed) > setting.rules.rir_missed and wide:
        numbers = (
            ("made", thousandths(load)),
            ("unit", unit),
            ("low", low),
            ("high", high),
            ("rir", planned),
        )
        return (kept, kept, planned, (Because("reps_out_of_range", (*numbers, ("missed", abs(missed)))),))
    if step.reps.kind == "range":
        return (low, kept if kept > low else low, planned, ())
    if kept == high:
        return (low, high, planned, ())
    numbers = (
        ("made", thousandths(load)),
        ("unit", unit),
        ("off", 100 * abs(off)),
        ("target", thousandths(target)),
    )
    return (
        kept,
        kept,
        planned,
        (Because("resolved", (*numbers, ("before", high), ("reps", kept), ("rir", planned))),),
    )


def _far_off(
    setting: Setting, scale: _Scale, step: StepRule, load: int, target: float, previous: int | None
) -> tuple[Because, ...]:
    """A note when the load misses what was asked: any gap for a fixed load, else beyond the house rule."""
    if previous is not None or not scale.loads or step.load.kind == "effort":
        return ()
    # rounding down is what careful clients ask for, so only a gap on both sides counts
    nearest = rounded(scale.loads, max(0.0, target), "nearest") or load
    off = abs(nearest + scale.offset - target - scale.offset) / max(target + scale.offset, 1.0)
    limit = 0.0005 if step.load.kind == "fixed" else setting.rules.far_off_above
    if off <= limit:
        return ()
    numbers = (("target", thousandths(max(0.0, target))), ("made", thousandths(load)), ("unit", scale.unit))
    return (Because("not_makeable", (*numbers, ("off", 100 * off))),)


def setting_of(exercise: Any, client: ClientTraits, rules: Rules) -> Setting:
    """The setting of a planned exercise for a client."""
    careful = client.is_careful(rules.older_age)
    return Setting(exercise.exercise, exercise.equipment, exercise.strength, careful, client.body_kg, rules)
