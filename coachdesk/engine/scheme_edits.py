"""New schemes from old ones: the changes that remedies propose."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

from .curves import curve_for
from .errors import EngineError, instance, number, whole
from .scheme import MOST_SETS, LoadRule, RepRule, Scheme, StepRule, expand

_USUAL_REPS = 8


def _map(scheme: Scheme, change: Callable[[StepRule], StepRule]) -> Scheme:
    """The scheme with `change` applied to every step that is not a drop from the one before."""
    return replace(
        scheme,
        step=change(scheme.step) if scheme.step else None,
        ladder=tuple(change(row) for row in scheme.ladder),
        parts=tuple(_map(part, change) for part in scheme.parts),
    )


def with_sets(scheme: Scheme, n: int) -> Scheme:
    """`n` (1-20) sets: a pyramid loses its lightest rows or repeats its heaviest; a series its last sets.

    Waves and back-off sets lose or repeat their last rows; a quota becomes `n` straight sets.
    """
    instance("scheme", scheme, Scheme)
    whole("sets", n, 1, MOST_SETS)
    if scheme.parts:
        return _series_with_sets(scheme, n)
    if scheme.kind == "quota":
        return replace(scheme, kind="straight", sets=n, target=0, target_unit="")
    if scheme.kind == "open_last" and scheme.sets == 1 < n:  # its only set is the open one, so that is repeated
        (step,) = expand(scheme)[0]
        return replace(scheme, kind="straight", sets=n, step=replace(step, rest_s=0.0))
    if scheme.ladder:
        if scheme.kind in ("wave", "top_back_off"):
            rows, last = scheme.ladder[:n], scheme.ladder[-1]
            more = replace(last, load=LoadRule("same")) if last.load.is_relative else last
            return replace(scheme, sets=n, ladder=rows + (more,) * (n - len(rows)))
        up = scheme.kind == "ascending_pyramid"
        rows = scheme.ladder if up else scheme.ladder[::-1]  # heaviest last
        rows = rows[-n:] if n <= len(rows) else rows + rows[-1:] * (n - len(rows))
        return replace(scheme, sets=n, ladder=rows if up else rows[::-1])
    return replace(scheme, sets=n)


def set_count(scheme: Scheme) -> int:
    """How many sets the scheme has in all; of a quota the most it may take."""
    instance("scheme", scheme, Scheme)
    return sum(set_count(part) for part in scheme.parts) if scheme.parts else scheme.sets


def ends_early(scheme: Scheme) -> bool:
    """Whether it may take fewer sets than written: a quota, or a series that ends in one."""
    instance("scheme", scheme, Scheme)
    return scheme.kind == "quota" or bool(scheme.parts and ends_early(scheme.parts[-1]))


def kept_order(scheme: Scheme) -> tuple[int, ...]:
    """The numbers of the sets (from 0) in the order in which `with_sets` keeps them."""
    if scheme.parts:
        made: list[int] = []
        for part in scheme.parts:
            start = len(made)
            made += [start + i for i in kept_order(part)]
        return tuple(made)
    order = range(set_count(scheme))
    if scheme.kind == "open_last":  # the open set stays to the end
        return (len(order) - 1, *order[:-1])
    return tuple(reversed(order) if scheme.kind == "ascending_pyramid" else order)


def repeated_set(scheme: Scheme) -> int:
    """The number (from 0) of the set that `with_sets` repeats: a pyramid's heaviest row, a plain set, else the last."""
    if scheme.parts:
        return set_count(scheme) - set_count(scheme.parts[-1]) + repeated_set(scheme.parts[-1])
    return 0 if scheme.kind in ("descending_pyramid", "open_last") else set_count(scheme) - 1


def _series_with_sets(scheme: Scheme, n: int) -> Scheme:
    parts, room = [], n
    for i, part in enumerate(scheme.parts):
        last = i == len(scheme.parts) - 1
        take = room if last else min(room, set_count(part))
        if take:
            parts.append(with_sets(part, take))
        room -= take
    return replace(scheme, parts=tuple(parts))


def _stop_short(step: StepRule, rir: float, reps: int | None) -> StepRule:
    """The step with `rir` left: reps cut to what the load allows, a load too heavy for it made lighter."""
    if not step.reps.counts_reps:
        return replace(step, rir=rir)
    load, phi = step.load, curve_for("handbook", 1.0)
    if load.kind == "rep_max":
        most = math.floor((load.value or 1) - rir)
        load = load if most >= 1 else LoadRule("rep_max", 1 + rir)
    elif load.kind == "percent":
        most = math.floor(phi.reps_left((load.value or 100) / 100) - rir + 1e-9)
        load = load if most >= 1 else LoadRule("percent", math.floor(phi.phi(1 + rir) * 100))
    else:
        most = (reps or _USUAL_REPS) if step.reps.kind == "failure" else step.reps.high
    most = min(1000, max(1, most))
    if step.reps.kind == "at_least":
        least = min(step.reps.low, most)
        rule = RepRule("at_least", least, least)
    elif step.reps.kind == "failure":
        rule = RepRule("reps", most, most)
    else:
        low, high = min(step.reps.low, most), min(step.reps.high, most)
        rule = RepRule("range" if low < high else "reps", low, high)
    return replace(step, load=load, reps=rule, rir=rir)


def with_rir(scheme: Scheme, rir: float, reps: int | None = None) -> Scheme:
    """Every set stopped at `rir` (0-10): no step to failure is left.

    `reps` is what a step to failure at a load outside the curve becomes (8 when not given).
    """
    instance("scheme", scheme, Scheme)
    number("RIR", rir, 0, 10)
    if reps is not None:
        whole("reps", reps, 1, 1000)
    made = _map(scheme, lambda step: _stop_short(step, rir, reps))
    return _drops_stopped(made, rir)


def _drops_stopped(scheme: Scheme, rir: float) -> Scheme:
    parts = tuple(_drops_stopped(part, rir) for part in scheme.parts)
    if not scheme.drops or not scheme.step:
        return replace(scheme, parts=parts)
    most = max(1, scheme.step.reps.high) if scheme.step.reps.counts_reps else _USUAL_REPS
    rule = RepRule("range", 1, most) if most > 1 else RepRule("reps", 1, 1)
    drops = tuple(replace(d, reps=rule if d.reps.counts_reps else d.reps, rir=rir) for d in scheme.drops)
    return replace(scheme, drops=drops)


def with_effort(scheme: Scheme, rir: float, *, fixed_too: bool = False) -> Scheme:
    """Percent and rep-maximum (and fixed) loads dropped: reps with `rir` in reserve decide the load."""
    return _with_effort(instance("scheme", scheme, Scheme), number("RIR", rir, 0, 10), bool(fixed_too))


@lru_cache(maxsize=4096)
def _with_effort(scheme: Scheme, rir: float, fixed_too: bool) -> Scheme:
    """A remedy proposes the same change to the same scheme on every exercise and in every week."""
    stopped = with_rir(scheme, rir)
    kinds = ("percent", "rep_max", "fixed") if fixed_too else ("percent", "rep_max")

    def by_effort(step: StepRule) -> StepRule:
        return replace(step, load=LoadRule("effort")) if step.load.kind in kinds else step

    return _relative_drops(_map(stopped, by_effort), scheme)


def _relative_drops(scheme: Scheme, before: Scheme) -> Scheme:
    """Loads of further bouts in percent or rep maxima as drops or rises, which need no maximum."""
    rising = scheme.kind == "light_to_heavy"
    kind, usual = ("rise_percent", 10.0) if rising else ("drop_percent", 20.0)
    parts = tuple(_relative_drops(a, b) for a, b in zip(scheme.parts, before.parts, strict=True))
    drops, last = [], _fraction(before.step)
    for drop in scheme.drops:
        now = _fraction(drop)
        if drop.load.kind in ("percent", "rep_max"):
            known = now is not None and last is not None and (now > last) == rising
            by = round(abs(100 * (1 - (now or 1) / (last or 1)))) if known else usual
            drop = replace(drop, load=LoadRule(kind, min(90, max(1, by))))
        drops.append(drop)
        last = now
    return replace(scheme, drops=tuple(drops), parts=parts)


def _fraction(step: StepRule | None) -> float | None:
    if step is None or step.load.value is None:
        return None
    if step.load.kind == "percent":
        return step.load.value / 100
    return curve_for("handbook", 1.0).phi(step.load.value) if step.load.kind == "rep_max" else None


def with_fixed_load(scheme: Scheme, thousandths: int, unit: str) -> Scheme:
    """Every step with a load of its own at one fixed load in thousandths of `unit`."""
    load = LoadRule("fixed", thousandths, unit)
    instance("scheme", scheme, Scheme)
    return _map(scheme, lambda step: step if step.load.is_relative else replace(step, load=load))


def with_loads_as_made(scheme: Scheme, loads: tuple[int | None, ...], unit: str) -> Scheme:
    """First steps at fixed loads: one load in thousandths for each set in order, None leaves a rule alone.

    A quota that ends before its last set has fewer loads.
    """
    instance("scheme", scheme, Scheme)
    sets = set_count(scheme)
    if not isinstance(loads, tuple) or not len(loads) <= sets or (len(loads) < sets and not ends_early(scheme)):
        raise EngineError("loads", loads, f"{sets} loads, one for each set")
    loads += (None,) * (sets - len(loads))

    def fixed(step: StepRule, load: int | None) -> StepRule:
        return step if load is None else replace(step, load=LoadRule("fixed", load, unit))

    if scheme.step:
        return replace(scheme, step=fixed(scheme.step, loads[0]))
    if scheme.ladder:
        return replace(scheme, ladder=tuple(map(fixed, scheme.ladder, loads)))
    parts, start = [], 0
    for part in scheme.parts:
        count = set_count(part)
        parts.append(with_loads_as_made(part, loads[start : start + count], unit))
        start += count
    return replace(scheme, parts=tuple(parts))


def without_last_drop(scheme: Scheme) -> Scheme:
    """One further bout less in every set; straight sets when it was the only one; a series in its last part."""
    instance("scheme", scheme, Scheme)
    if scheme.drops and scheme.step:
        drops = scheme.drops[:-1]
        if drops:
            return replace(scheme, drops=drops)
        return Scheme("straight", scheme.sets, replace(scheme.step, rest_s=0.0), rest_s=scheme.rest_s)
    for i in range(len(scheme.parts) - 1, -1, -1):
        if _has_drops(scheme.parts[i]):
            less = without_last_drop(scheme.parts[i])
            return replace(scheme, parts=(*scheme.parts[:i], less, *scheme.parts[i + 1 :]))
    raise EngineError("scheme", scheme.kind, "one with several bouts in a set, such as a drop set")


def _has_drops(scheme: Scheme) -> bool:
    return bool(scheme.drops) or any(_has_drops(part) for part in scheme.parts)
