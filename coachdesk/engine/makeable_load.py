"""From a target to a load that can be made: rounding, the next one down or up, and how far off it is."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right

from .because import Because, reason
from .equipment import rounded
from .loads import MOST_THOUSANDTHS
from .rules import Rules
from .scheme_rules import StepRule
from .setting import Scale, Setting

_HALF_UNIT = 500
# thousandths: a load this near a target reads like it in words of one decimal, so 11.98 kg may be the 12 kg dumbbell
READS_ALIKE = 49
_FIXED_TOLERANCE = 0.0005
Why = tuple[Because, ...]


def beyond(scale: Scale, load: int, up: bool) -> float:
    """A target past the end of the rack, from which no load can be made."""
    return float(MOST_THOUSANDTHS) if up else -scale.offset - 1.0


def _within(scale: Scale, target: float) -> float:
    lowest = min(0.0, float(scale.loads[0])) if scale.loads else 0.0
    return max(lowest, min(target, float(MOST_THOUSANDTHS)))


def round_to_made(setting: Setting, scale: Scale, step: StepRule, aimed: float) -> tuple[int, Why]:
    """(load, why it differs from the target): nearest, or down for careful clients; the lightest at least.

    A load that reads like the target is the target.
    """
    target = _within(scale, aimed)
    down = setting.careful and step.load.kind != "fixed"
    if not scale.loads:
        if step.load.kind == "fixed":
            return (round(target), ())
        halves = max(1, math.floor(target / _HALF_UNIT + (0 if down else 0.5)))
        made = halves * _HALF_UNIT
        return (made, (reason("no_equipment", made=scale.told(made), unit=scale.unit),))
    found = rounded(scale.loads, target + READS_ALIKE, "down") if down else rounded(scale.loads, target, "nearest")
    load = scale.loads[0] if found is None else found
    if abs(load - target) <= READS_ALIKE + 0.5:
        return (load, ())
    how = "nearest below" if down and found is not None else "nearest"
    numbers: dict[str, float | str] = {"target": scale.told(target), "made": scale.told(load), "unit": scale.unit}
    return (load, (reason("rounded", **numbers, direction=how),))


def next_in_ladder(
    scale: Scale, load: int, previous: int, target: float, rules: Rules, rising: bool
) -> tuple[int | None, Why]:
    """A later step's load, moved on by one when rounding undid the drop or rise; None when there is none."""
    if rising:
        return _heavier(scale, load, previous, target)
    lightest = scale.loads[0] if scale.loads else _HALF_UNIT
    in_reach = target + scale.offset >= (lightest + scale.offset) * (1 - rules.resolve_above)
    if in_reach and load < previous:
        return (load, ())
    i = bisect_left(scale.loads, previous) - 1
    if in_reach and i >= 0:
        made = scale.loads[i]
        return (made, (reason("next_down", made=scale.told(made), unit=scale.unit),))
    numbers: dict[str, float | str] = {"target": scale.told(target), "lightest": scale.told(lightest)}
    return (None, (reason("drop_removed", **numbers, unit=scale.unit),))


def _heavier(scale: Scale, load: int, previous: int, target: float) -> tuple[int | None, Why]:
    if load > previous:
        return (load, ())
    i = bisect_right(scale.loads, previous)
    if i < len(scale.loads):
        made = scale.loads[i]
        return (made, (reason("next_up", made=scale.told(made), unit=scale.unit),))
    heaviest = scale.loads[-1] if scale.loads else previous
    numbers: dict[str, float | str] = {"target": scale.told(target), "heaviest": scale.told(heaviest)}
    return (None, (reason("rise_removed", **numbers, unit=scale.unit),))


def far_off(setting: Setting, scale: Scale, step: StepRule, load: int, target: float) -> Why:
    """A note when the load misses what was asked: any gap for a fixed load, else beyond the house rule."""
    if not scale.loads or step.load.kind == "effort":
        return ()
    # rounding down is what careful clients ask for, so only a gap on both sides counts
    found = rounded(scale.loads, _within(scale, target), "nearest")
    nearest = load if found is None else found
    off = abs(nearest - target) / max(target + scale.offset, 1.0)
    limit = _FIXED_TOLERANCE if step.load.kind == "fixed" else setting.rules.far_off_above
    if off <= limit:
        return ()
    numbers: dict[str, float | str] = {
        "made": scale.told(load),
        "unit": scale.unit,
        "off": min(1000.0, 100 * off),
    }
    return (reason("not_makeable", target=scale.told(target), **numbers),)
