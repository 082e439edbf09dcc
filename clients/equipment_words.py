"""The engine's equipment in words for the place page, and a short account of the loads it makes."""

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from clients.notation import loads_text, plates_text
from coachdesk.engine import Barbell, BodyWeight, Dumbbells, FixedBars, Ordinal, Stack, format_load, makeable


@dataclass(frozen=True)
class MadeLoads:
    """Loads in thousandths that can be made: first, last, how many, the smallest step, and all of them."""

    first: int
    last: int
    count: int
    step: int | None
    loads: tuple[int, ...]


def made_loads(value: Any) -> MadeLoads | None:
    """An account of what can be made; None for bands, which have no units."""
    if isinstance(value, Ordinal):
        return None
    loads = makeable(value)
    steps = [after - before for before, after in pairwise(loads)]
    return MadeLoads(loads[0], loads[-1], len(loads), min(steps, default=None), tuple(loads))


def _barbell(value: Barbell) -> str:
    collars = f", collars {format_load(value.collars)} {value.unit} in all" if value.collars else ""
    return f"bar {format_load(value.bar)} {value.unit}, plates {plates_text(value.plates) or 'none'}{collars}"


def _stack(value: Stack) -> str:
    add_ons = f", add-on weights {loads_text(sorted(value.add_ons))}" if value.add_ons else ""
    return f"pins {loads_text(value.pins)}{add_ons}"


def _body_weight(value: BodyWeight) -> str:
    added = [load for load in value.added if load]
    words = f"added {loads_text(added)}" if added else "nothing added"
    return f"{words}; assistance {loads_text(value.assistance)}" if value.assistance else words


_WORDS: dict[type, Callable[[Any], str]] = {
    Barbell: _barbell,
    Stack: _stack,
    BodyWeight: _body_weight,
    Dumbbells: lambda value: loads_text(value.loads),
    FixedBars: lambda value: loads_text(value.loads),
    Ordinal: lambda value: ", ".join(value.steps),
}


def equipment_words(value: Any) -> str:
    """What the equipment consists of, in the notation of its form."""
    return _WORDS[type(value)](value)
