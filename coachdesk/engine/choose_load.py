"""The load of one step: from its rule to a target, from the target to a load that can be made."""

from __future__ import annotations

import math
from bisect import bisect_left
from dataclasses import dataclass, replace
from functools import lru_cache

from .because import Because, reason
from .curves import Curve, curve_for
from .equipment import Barbell, Ordinal, _setup_text, plates_per_side, rounded
from .fit_reps import fit_reps
from .loads import MOST_THOUSANDTHS, convert
from .rules import Rules
from .scheme import StepRule
from .setting import Scale, Setting, in_units, scale_of

_HALF_UNIT = 500
_SLACK = 1e-9
_FIXED_TOLERANCE = 0.0005


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


@dataclass(frozen=True)
class _Aim:
    """A target in thousandths, the maximum it was taken from, and why."""

    target: float
    base: float | None
    why: tuple[Because, ...]


@lru_cache(maxsize=65536)
def choose(setting: Setting, step: StepRule, previous: int | None, position: int, strength_left: float) -> Choice:
    """The load of `step`; `previous` is the load of the step before it, `position` its place in the set.

    Loads round to the nearest that can be made (down for careful clients); drops always go down.
    `strength_left` counts only when the step holds its reserve or range instead of its load.
    """
    scale = scale_of(setting)
    if isinstance(setting.equipment, Ordinal):
        return _unknown(scale, step, reason("no_units"))
    if scale.no_mass and step.load.kind != "fixed":
        return _unknown(scale, step, reason("no_body_mass"))
    aim = _aim(setting, scale, step, previous, strength_left)
    if isinstance(aim, Because):
        return _unknown(scale, step, aim)
    return _made(setting, scale, step, previous, position, aim)


def _unknown(scale: Scale, step: StepRule, why: Because) -> Choice:
    rir = 0.0 if step.reps.kind == "failure" else step.rir
    notes = () if why.kind == "ramp" else (why,)
    made = Choice(None, scale.unit, None, step.reps.low, step.reps.high, rir, because=(why,), notes=notes)
    if scale.loads != (0,):
        return made
    # with nothing to add, the load is plain body weight whatever is not known
    if why.kind == "no_body_mass":
        why = reason("as_written")
        notes = (why,) if step.load.kind in ("percent", "rep_max") else ()
    return replace(made, load=0, setup="body weight", place=0, because=(why,), notes=notes)


def _aim(setting: Setting, scale: Scale, step: StepRule, previous: int | None, left: float) -> _Aim | Because:
    """The target of a step, or the reason why there is none."""
    load, unit = step.load, scale.unit
    if load.kind == "fixed":
        target = float(convert(int(load.value or 0), load.unit, unit))
        return _Aim(target, scale.mean, (reason("fixed", target=in_units(target), unit=unit),))
    if load.is_drop:
        return _drop_aim(scale, step, previous)
    if scale.mean is None or scale.low is None:
        if load.kind == "effort":
            return reason("ramp", reps=step.reps.high, rir=step.rir or 0.0)
        return reason("no_maximum", rule={"percent": "percent of 1RM", "rep_max": "rep maximum"}[load.kind])
    if load.kind == "effort" and not step.reps.counts_reps:
        return reason("by_effort")
    return _aim_from_maximum(setting, scale, step, scale.mean, scale.low, left)


def _aim_from_maximum(setting: Setting, scale: Scale, step: StepRule, mean: float, low: float, left: float) -> _Aim:
    curve = curve_for(setting.rules.curve, setting.exercise.endurance)
    fraction = _planned_fraction(curve, step)
    heavy = fraction >= curve.phi(setting.rules.heavy_reps) - _SLACK
    base = low if setting.careful or heavy else mean
    strength = left if step.hold != "load" else 1.0
    target = max(0.0, fraction * base * strength - scale.offset)
    why = [_rule_because(step, fraction, base, target, scale.unit)]
    if base != mean:
        who = "a beginner, an older or a cautioned client" if setting.careful else "heavy work"
        why.append(reason("lower_quarter", maximum=in_units(base), mean=in_units(mean), unit=scale.unit, why=who))
    if strength < 1:
        why.append(reason("held_rir", strength=100 * strength))
    return _Aim(target, base, tuple(why))


def _planned_fraction(curve: Curve, step: StepRule) -> float:
    if step.load.kind == "percent":
        return (step.load.value or 0) / 100
    if step.load.kind == "rep_max":
        return curve.phi(step.load.value or 1)
    # the top of a range: fatigue then lowers the reps of later sets within it
    return min(1.0, curve.phi(step.reps.high + (step.rir or 0)))


def _rule_because(step: StepRule, fraction: float, base: float, target: float, unit: str) -> Because:
    common: dict[str, float | str] = {
        "percent": 100 * fraction,
        "maximum": in_units(base),
        "target": in_units(target),
        "unit": unit,
    }
    if step.load.kind == "effort":
        rir = step.rir or 0.0
        return reason("effort", reps=step.reps.high, rir=rir, total=step.reps.high + rir, **common)
    if step.load.kind == "rep_max":
        return reason("rep_max", reps=step.load.value or 1, **common)
    return reason("percent", **common)


def _drop_aim(scale: Scale, step: StepRule, previous: int | None) -> _Aim | Because:
    if previous is None:
        return reason("drop_unknown")
    unit, by = scale.unit, step.load.value or 0
    if step.load.kind == "drop_percent":
        target = (previous + scale.offset) * (1 - by / 100) - scale.offset
        why = reason("drop_percent", percent=by, before=in_units(previous), target=in_units(target), unit=unit)
        return _Aim(target, scale.mean, (why,))
    i = bisect_left(scale.loads, previous) - int(by) if scale.loads else -1
    target = float(scale.loads[i]) if i >= 0 else -1.0
    why = reason("drop_places", places=by, before=in_units(previous), made=in_units(target), unit=unit)
    return _Aim(target, scale.mean, (why,))


def _made(setting: Setting, scale: Scale, step: StepRule, previous: int | None, position: int, aim: _Aim) -> Choice:
    load, why = _round(setting, scale, step, aim.target)
    notes = tuple(because for because in why if because.kind == "no_equipment")
    if position and previous is not None:
        lighter, why_drop = _lighter(scale, load, previous, aim.target, setting.rules)
        why = why_drop or why
        if lighter is None:
            return Choice(None, scale.unit, None, 0, 0, None, removed=True, because=(*aim.why, *why), notes=why_drop)
        load = lighter
    low, high, rir, fit = fit_reps(setting, scale, step, load, aim.target, None if position else aim.base)
    if position == 0:  # a drop is a rough measure anyway
        notes += _far_off(setting, scale, step, load, aim.target)
    notes += tuple(because for because in fit if because.kind != "resolved")
    eq = setting.equipment
    return Choice(
        load,
        scale.unit,
        scale.fraction(load),
        low,
        high,
        rir,
        _setup_text(eq, load) if eq else "",
        plates_per_side(eq, load) if isinstance(eq, Barbell) else (),
        bisect_left(scale.loads, load) if scale.loads else None,
        because=(*aim.why, *why, *fit),
        notes=notes,
    )


def _round(setting: Setting, scale: Scale, step: StepRule, aimed: float) -> tuple[int, tuple[Because, ...]]:
    """(load, why it differs from the target): nearest, or down for careful clients; the lightest at least."""
    target = max(0.0, min(aimed, float(MOST_THOUSANDTHS)))
    down = setting.careful and step.load.kind != "fixed"
    if not scale.loads:
        if step.load.kind == "fixed":
            return (round(target), ())
        halves = max(1, math.floor(target / _HALF_UNIT + (0 if down else 0.5)))
        return (
            halves * _HALF_UNIT,
            (reason("no_equipment", made=in_units(halves * _HALF_UNIT), unit=scale.unit),),
        )
    made = rounded(scale.loads, target, "down" if down else "nearest")
    load = scale.loads[0] if made is None else made
    if abs(load - target) <= 0.5:
        return (load, ())
    how = "nearest below" if down and made is not None else "nearest"
    numbers: dict[str, float | str] = {"target": in_units(target), "made": in_units(load), "unit": scale.unit}
    return (load, (reason("rounded", **numbers, direction=how),))


def _lighter(
    scale: Scale, load: int, previous: int, target: float, rules: Rules
) -> tuple[int | None, tuple[Because, ...]]:
    """A drop's load, moved to the next one down when rounding undid the drop; None when there is none."""
    lightest = scale.loads[0] if scale.loads else _HALF_UNIT
    in_reach = target >= lightest * (1 - rules.resolve_above)
    if in_reach and load < previous:
        return (load, ())
    i = bisect_left(scale.loads, previous) - 1
    if in_reach and i >= 0:
        made = scale.loads[i]
        return (made, (reason("next_down", made=in_units(made), unit=scale.unit),))
    why = reason("drop_removed", target=in_units(target), lightest=in_units(lightest), unit=scale.unit)
    return (None, (why,))


def _far_off(setting: Setting, scale: Scale, step: StepRule, load: int, target: float) -> tuple[Because, ...]:
    """A note when the load misses what was asked: any gap for a fixed load, else beyond the house rule."""
    if not scale.loads or step.load.kind == "effort":
        return ()
    # rounding down is what careful clients ask for, so only a gap on both sides counts
    nearest = rounded(scale.loads, min(max(0.0, target), float(MOST_THOUSANDTHS)), "nearest") or load
    off = abs(nearest - target) / max(target + scale.offset, 1.0)
    limit = _FIXED_TOLERANCE if step.load.kind == "fixed" else setting.rules.far_off_above
    if off <= limit:
        return ()
    numbers: dict[str, float | str] = {
        "made": in_units(load),
        "unit": scale.unit,
        "off": min(1000.0, 100 * off),
    }
    return (reason("not_makeable", target=in_units(target), **numbers),)
