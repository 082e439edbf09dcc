"""The equipment within reach, every load it can make, and how a load is set up on it."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, ClassVar

from .errors import EngineError, instance, items, number, one_of, text, whole
from .frozen import hash_once
from .loads import UNITS, format_load, load_in_words

_MOST = 2_000_000
_MOST_LOADS = 20_000
_LEAST, _GREATEST = -10_000_000, 10_000_000


def _loads(name: str, value: Any, *, empty: bool, least: int = 1) -> tuple[int, ...]:
    members = items(name, value, empty=empty, most=500)
    return tuple(sorted({whole(name, member, least, _MOST) for member in members}))


def _named(self: Any) -> None:
    text("equipment name", self.name, 100)
    one_of("unit", self.unit, UNITS)


@hash_once
@dataclass(frozen=True)
class Barbell:
    """A bar with loose plates: `plates` are (thousandths, how many owned in all); collars as a pair."""

    kind: ClassVar[str] = "barbell"
    name: str
    unit: str
    bar: int
    plates: tuple[tuple[int, int], ...] = ()
    collars: int = 0

    def __post_init__(self) -> None:
        _named(self)
        whole("bar", self.bar, 0, _MOST)
        whole("collars", self.collars, 0, _MOST)
        checked: dict[int, int] = {}
        for pair in items("plates", self.plates, most=30):
            if not isinstance(pair, (list, tuple)) or len(pair) != 2:
                raise EngineError("plate", pair, "a pair: thousandths and how many are owned")
            mass = whole("plate", pair[0], 1, _MOST)
            checked[mass] = checked.get(mass, 0) + whole("number of plates", pair[1], 0, 200)
        object.__setattr__(self, "plates", tuple(sorted(checked.items(), reverse=True)))


@hash_once
@dataclass(frozen=True)
class Dumbbells:
    """Fixed dumbbells; a load is that of one hand."""

    kind: ClassVar[str] = "dumbbell"
    name: str
    unit: str
    loads: tuple[int, ...]

    def __post_init__(self) -> None:
        _named(self)
        object.__setattr__(self, "loads", _loads("dumbbells", self.loads, empty=False))


@hash_once
@dataclass(frozen=True)
class Stack:
    """A weight stack with a pin, and add-on weights of which any may be hung on."""

    kind: ClassVar[str] = "stack"
    name: str
    unit: str
    pins: tuple[int, ...]
    add_ons: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        _named(self)
        object.__setattr__(self, "pins", _loads("pins", self.pins, empty=False))
        add_ons = items("add-on weights", self.add_ons, most=6)
        object.__setattr__(self, "add_ons", tuple(sorted(whole("add-on weight", a, 1, _MOST) for a in add_ons)))


@hash_once
@dataclass(frozen=True)
class FixedBars:
    """Bars welded to one load each."""

    kind: ClassVar[str] = "fixed_bar"
    name: str
    unit: str
    loads: tuple[int, ...]

    def __post_init__(self) -> None:
        _named(self)
        object.__setattr__(self, "loads", _loads("fixed bars", self.loads, empty=False))


@hash_once
@dataclass(frozen=True)
class BodyWeight:
    """Body weight with what can be added by belt or vest or taken off by assistance; 0 is always there.

    `assistance` steps are positive here and negative loads in `makeable`.
    """

    kind: ClassVar[str] = "bodyweight"
    name: str
    unit: str
    added: tuple[int, ...] = ()
    assistance: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        _named(self)
        added = _loads("added loads", self.added, empty=True, least=0)
        object.__setattr__(self, "added", tuple(sorted({0, *added})))
        object.__setattr__(self, "assistance", _loads("assistance", self.assistance, empty=True))


@hash_once
@dataclass(frozen=True)
class Ordinal:
    """Bands and machines without units: named steps from light to heavy, no loads."""

    kind: ClassVar[str] = "band"
    unit: ClassVar[str] = ""
    name: str
    steps: tuple[str, ...]

    def __post_init__(self) -> None:
        text("equipment name", self.name, 100)
        steps = items("steps", self.steps, empty=False, most=50)
        object.__setattr__(self, "steps", tuple(text("step", step, 60) for step in steps))


Equipment = Barbell | Dumbbells | Stack | FixedBars | BodyWeight | Ordinal
KINDS: tuple[type, ...] = (Barbell, Dumbbells, Stack, FixedBars, BodyWeight, Ordinal)


def checked_equipment(eq: object) -> Any:
    """`eq` itself, or EngineError when it is no equipment."""
    return instance("equipment", eq, KINDS, "a piece of equipment")


@lru_cache(maxsize=512)
def _sides(eq: Barbell) -> dict[int, tuple[int, ...]]:
    """Every mass one side can carry -> the plates, heaviest first and as few as possible."""
    made: dict[int, tuple[int, ...]] = {0: ()}
    for mass, count in eq.plates:  # heaviest first, so a tie in number keeps the heavier plates
        for total, plates in list(made.items()):
            for pairs in range(1, count // 2 + 1):
                longer = plates + (mass,) * pairs
                new = total + mass * pairs
                if new * 2 + eq.bar > _MOST:
                    break
                if new not in made or len(longer) < len(made[new]):
                    made[new] = longer
        if len(made) > _MOST_LOADS:
            raise EngineError("number of loads these plates make", len(made), f"at most {_MOST_LOADS}")
    return made


def _stack_loads(eq: Stack) -> dict[int, tuple[int, tuple[int, ...]]]:
    sums: dict[int, tuple[int, ...]] = {0: ()}
    for add_on in eq.add_ons:
        for total, used in list(sums.items()):
            sums.setdefault(total + add_on, (*used, add_on))
    made: dict[int, tuple[int, tuple[int, ...]]] = {}
    for pin in reversed(eq.pins):  # the heaviest pin first: fewer add-ons for the same load
        for total, used in sums.items():
            if pin + total not in made or len(used) < len(made[pin + total][1]):
                made[pin + total] = (pin, used)
    return made


@lru_cache(maxsize=512)
def _makeable(eq: Any) -> tuple[int, ...]:
    if isinstance(eq, Barbell):
        return tuple(sorted(eq.bar + eq.collars + 2 * side for side in _sides(eq)))
    if isinstance(eq, Stack):
        return tuple(sorted(_stack_loads(eq)))
    if isinstance(eq, BodyWeight):
        return (*(-step for step in reversed(eq.assistance)), *eq.added)
    return () if isinstance(eq, Ordinal) else tuple(eq.loads)


def makeable(eq: Equipment) -> tuple[int, ...]:
    """Every load that can be made, in thousandths, sorted; empty for equipment without units.

    Negative loads are assistance.
    """
    return _makeable(checked_equipment(eq))


def round_load(eq: Equipment, target: float, direction: str = "nearest") -> int | None:
    """The makeable load nearest to, at most ('down') or at least ('up') `target` thousandths.

    Ties go down. None where there is none (below the lightest, above the heaviest, no units).
    """
    one_of("direction", direction, ("nearest", "down", "up"))
    number("target load", target, _LEAST, _GREATEST)
    return rounded(_makeable(checked_equipment(eq)), target, direction)


def rounded(loads: tuple[int, ...], target: float, direction: str) -> int | None:
    """As `round_load`, for already checked sorted loads."""
    # a hair of slack: 0.8 x 100 kg must find 80 kg whichever way it is rounded
    slack = 1e-6 * abs(target)
    below = bisect_right(loads, target + slack) - 1
    above = bisect_left(loads, target - slack)
    low = loads[below] if below >= 0 else None
    high = loads[above] if above < len(loads) else None
    if direction != "nearest" or low is None or high is None:
        return {"down": low, "up": high}.get(direction, high if low is None else low)
    return low if target - low <= high - target else high


def places_down(eq: Equipment, load: int, n: int) -> int | None:
    """The load `n` places below `load` (which need not be makeable itself); None below the lightest."""
    whole("load", load, _LEAST, _GREATEST)
    whole("places", n, 1, 100)
    loads = makeable(eq)
    i = bisect_left(loads, load) - n
    return loads[i] if i >= 0 else None


def plates_per_side(eq: Barbell, load: int) -> tuple[int, ...]:
    """Plates on each side, heaviest first, as few as possible; EngineError when it cannot be made."""
    instance("equipment", eq, Barbell, "a barbell with plates")
    whole("load", load, 0, 10_000_000)
    side, odd = divmod(load - eq.bar - eq.collars, 2)
    plates = None if odd else _sides(eq).get(side)
    if plates is None:
        raise EngineError("load", f"{format_load(load)} {eq.unit}", f"one that {eq.name or 'the bar'} can make")
    return plates


def setup_text(eq: Equipment, load: int) -> str:
    """What to put on, in words: '20 + 10 + 2.5 a side', '24 each hand', 'pin 45', '20 kg assistance'."""
    checked_equipment(eq)
    whole("load", load, _LEAST, _GREATEST)
    return _setup_text(eq, load)


@lru_cache(maxsize=4096)
def _setup_text(eq: Any, load: int) -> str:
    if load not in _makeable(eq):
        right = "one of its loads" if _makeable(eq) else "left out: this equipment has no units"
        raise EngineError("load", f"{format_load(load)} {eq.unit}", right)
    if isinstance(eq, Barbell):
        plates = plates_per_side(eq, load)
        return " + ".join(format_load(p) for p in plates) + " a side" if plates else "bar only"
    if isinstance(eq, Stack):
        pin, used = _stack_loads(eq)[load]
        return "pin " + " + ".join(format_load(w) for w in (pin, *used))
    if isinstance(eq, BodyWeight):
        if load < 0:
            return load_in_words(load, eq.unit)
        return f"body weight + {format_load(load)}" if load else "body weight"
    return f"{format_load(load)} each hand" if isinstance(eq, Dumbbells) else f"{format_load(load)} bar"
