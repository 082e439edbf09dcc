"""The load of one step: from its rule to a target, from the target to a load that can be made."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, replace
from functools import lru_cache

from .because import Because, reason
from .curves import Curve, curve_for
from .equipment import Barbell, Ordinal, _setup_text, plates_per_side
from .fit_reps import fit_reps
from .loads import convert
from .makeable_load import _FIXED_TOLERANCE as _FIXED_TOLERANCE
from .makeable_load import _HALF_UNIT as _HALF_UNIT
from .makeable_load import beyond, far_off, next_in_ladder, round_to_made
from .places import next_place
from .plans import PlaceDone
from .scheme_rules import StepRule
from .setting import Scale, Setting, in_units, scale_of

_SLACK = 1e-9
_NEEDS_NO_MASS = ("fixed", "place", "same", "drop_places", "rise_places")


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
    system: int | None = None


@dataclass(frozen=True)
class _Aim:
    """A target in thousandths, the maximum it was taken from, and why."""

    target: float
    base: float | None
    why: tuple[Because, ...]


@lru_cache(maxsize=65536)
def choose(
    setting: Setting, step: StepRule, previous: int | None, position: int, strength_left: float, way: str = "down"
) -> Choice:
    """The load of `step`; `previous` is the load it is taken from, `position` its place in the set.

    Loads round to the nearest that can be made (down for careful clients); later steps of a set always go
    down, or up with `way` 'up'. On equipment without units `previous` is a place. `strength_left` counts
    only when the step holds its reserve or range instead of its load.
    """
    scale = scale_of(setting)
    if isinstance(setting.equipment, Ordinal):
        return _place(setting, setting.equipment, scale, step, previous, position)
    if scale.no_mass and step.load.kind not in _NEEDS_NO_MASS:
        return _unknown(scale, step, reason("no_body_mass"))
    aim = _aim(setting, scale, step, previous, strength_left)
    if isinstance(aim, Because):
        return _unknown(scale, step, aim)
    return _made(setting, scale, step, previous, position, aim, way)


def _unknown(scale: Scale, step: StepRule, why: Because) -> Choice:
    rir = (step.rir or 0.0) if step.reps.kind in ("failure", "at_least") else step.rir
    notes = () if why.kind == "ramp" else (why,)
    made = Choice(None, scale.unit, None, step.reps.low, step.reps.high, rir, because=(why,), notes=notes)
    if scale.loads != (0,):
        return made
    # with nothing to add, the load is plain body weight whatever is not known
    if why.kind == "no_body_mass":
        why = reason("as_written")
        notes = (why,) if step.load.kind in ("percent", "rep_max") else ()
    return replace(made, load=0, setup="body weight", place=0, because=(why,), notes=notes, system=scale.system(0))


def _place(setting: Setting, eq: Ordinal, scale: Scale, step: StepRule, previous: int | None, position: int) -> Choice:
    """A step on bands or a machine without units: a place and its name, never a load."""
    made = _unknown(scale, step, reason("no_units"))
    by = int(step.load.value or 0)
    if step.load.kind == "place":
        place = by - 1
    elif step.load.is_relative and previous is not None and step.load.kind in ("same", "drop_places", "rise_places"):
        place = previous + {"drop_places": -by, "rise_places": by}.get(step.load.kind, 0)
    elif setting.place_done is not None and step.load.kind == "effort" and step.reps.counts_reps:
        return _next_place(setting, setting.place_done, eq, made, step)
    else:
        return made
    last = len(eq.steps) - 1
    if not 0 <= place <= last and position and step.load.kind != "place":
        why = reason("place_unknown") if place > last else reason("drop_removed", target=0, lightest=0, unit="")
        return replace(made, removed=True, because=(why,), notes=())
    beyond_end = (reason("place_beyond", places=last + 1, place=place + 1),) if place > last else ()
    place = min(max(place, 0), last)
    why = reason("place", place=place + 1, made=eq.steps[place])
    return replace(made, place=place, setup=eq.steps[place], because=(why,), notes=beyond_end)


def _next_place(setting: Setting, done: PlaceDone, eq: Ordinal, made: Choice, step: StepRule) -> Choice:
    """A step that asks for reps and reserve: the place that follows from how the last time went."""
    place, why = next_place(done, (step.reps.low, step.reps.high), len(eq.steps), setting.rules)
    numbers: dict[str, float | str] = {
        "before": eq.steps[min(done.place, len(eq.steps) - 1)],
        "made": eq.steps[place],
        "reps": min(done.reps),
    }
    return replace(made, place=place, setup=eq.steps[place], because=(reason(why, **numbers),), notes=())


def _aim(setting: Setting, scale: Scale, step: StepRule, previous: int | None, left: float) -> _Aim | Because:
    """The target of a step, or the reason why there is none."""
    load, unit = step.load, scale.unit
    if load.kind == "fixed":
        written = int(load.value or 0)
        target = float(convert(abs(written), load.unit, unit)) * (-1 if written < 0 else 1)
        kind = "fixed_assistance" if written < 0 else "fixed"
        return _Aim(target, scale.mean, (reason(kind, target=in_units(abs(target)), unit=unit),))
    if load.kind == "place":
        if not scale.loads:
            return reason("place_unknown")
        target = float(scale.loads[min(int(load.value or 1), len(scale.loads)) - 1])
        made = f"{scale.told(target):g} {unit}"
        return _Aim(target, scale.mean, (reason("place", place=load.value or 1, made=made),))
    if load.is_relative:
        return _relative_aim(scale, step, previous)
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
    system = fraction * base * strength
    why = [_rule_because(step, fraction, base, system, scale.unit)]
    if base != mean:
        who = "a beginner, an older or a cautioned client" if setting.careful else "heavy work"
        why.append(reason("lower_quarter", maximum=in_units(base), mean=in_units(mean), unit=scale.unit, why=who))
    if strength < 1:
        why.append(reason("held_rir", strength=100 * strength))
    # the reps a load leaves are counted from the strength there is, not from a fresh maximum
    return _Aim(system - scale.offset, base * strength, tuple(why))


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


def _relative_aim(scale: Scale, step: StepRule, previous: int | None) -> _Aim | Because:
    if previous is None:
        return reason("drop_unknown")
    kind, unit, by = step.load.kind, scale.unit, step.load.value or 0
    if kind == "same":
        return _Aim(float(previous), scale.mean, (reason("same"),))
    before = scale.told(previous)
    if kind in ("drop_percent", "rise_percent"):
        if scale.no_mass:
            return reason("no_body_mass")
        share = 1 - by / 100 if kind == "drop_percent" else 1 + by / 100
        target = (previous + scale.offset) * share - scale.offset
        why = reason(kind, percent=by, before=before, target=scale.told(target), unit=unit)
        return _Aim(target, scale.mean, (why,))
    i = bisect_left(scale.loads, previous) + (int(by) if kind == "rise_places" else -int(by)) if scale.loads else -1
    target = float(scale.loads[i]) if 0 <= i < len(scale.loads) else beyond(scale, previous, kind == "rise_places")
    why = reason(kind, places=by, before=before, made=scale.told(target), unit=unit)
    return _Aim(target, scale.mean, (why,))


def _made(
    setting: Setting, scale: Scale, step: StepRule, previous: int | None, position: int, aim: _Aim, way: str
) -> Choice:
    if step.load.kind == "same" and previous is not None:
        load, why = previous, tuple[Because, ...]()
    else:
        load, why = round_to_made(setting, scale, step, aim.target)
    notes = tuple(because for because in why if because.kind == "no_equipment")
    relative = step.load.is_relative
    if previous is not None and step.load.kind != "same" and (position or relative):
        rising = way == "up" if position else not step.load.is_drop
        moved, why_moved = next_in_ladder(scale, load, previous, aim.target, setting.rules, rising)
        why = why_moved or why
        if moved is None and position:
            return Choice(None, scale.unit, None, 0, 0, None, removed=True, because=(*aim.why, *why), notes=why_moved)
        load = load if moved is None else moved
    base = None if position or relative else aim.base
    low, high, rir, fit = fit_reps(setting, scale, step, load, aim.target, base)
    if position == 0 and not relative:  # a drop is a rough measure anyway
        notes += far_off(setting, scale, step, load, aim.target)
    notes += tuple(because for because in fit if because.kind not in ("resolved", "too_light"))
    return _choice(setting, scale, load, (low, high, rir), (*aim.why, *why, *_moved(scale, load), *fit), notes)


def _moved(scale: Scale, load: int) -> tuple[Because, ...]:
    """For body-weight work: what the load that is moved is made of."""
    if not scale.offset:
        return ()
    common: dict[str, float | str] = {"moved": scale.told(load), "body": in_units(scale.offset), "unit": scale.unit}
    if load < 0:
        return (reason("assisted", assistance=in_units(-load), **common),)
    return (reason("added", added=in_units(load), **common),)


def _choice(
    setting: Setting,
    scale: Scale,
    load: int,
    fit: tuple[int, int, float | None],
    why: tuple[Because, ...],
    notes: tuple[Because, ...],
) -> Choice:
    eq = setting.equipment
    return Choice(
        load,
        scale.unit,
        scale.fraction(load),
        *fit,
        _setup_text(eq, load) if eq else "",
        plates_per_side(eq, load) if isinstance(eq, Barbell) else (),
        bisect_left(scale.loads, load) if scale.loads else None,
        because=why,
        notes=notes,
        system=scale.system(load),
    )
