"""Schemes: how the sets of one exercise are loaded, and their expansion into sets of steps."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

from .errors import EngineError, instance, items, number, one_of, whole
from .frozen import hash_once
from .loads import MOST_THOUSANDTHS, UNITS

LOAD_KINDS = ("percent", "rep_max", "effort", "fixed", "drop_percent", "drop_places")
REP_KINDS = ("reps", "range", "failure", "seconds", "metres")
SIDES = ("b", "l", "r")
HOLDS = ("load", "rir", "range")
MOST_SETS = 20
MOST_STEPS = 12
MOST_REST = 3600


@hash_once
@dataclass(frozen=True)
class LoadRule:
    """What sets a step's load; `value` in percent, reps, thousandths of `unit`, or places.

    percent of 1RM (above 0 to 100), rep_max n (1-30), effort (reps and RIR decide, no value),
    fixed, and after the first step of a set drop_percent (1-90) and drop_places (1-20).
    """

    kind: str
    value: float | None = None
    unit: str = ""

    def __post_init__(self) -> None:
        one_of("load kind", self.kind, LOAD_KINDS)
        if self.kind == "percent":
            number("percent of 1RM", self.value, 0, 100, open_low=True)
        elif self.kind == "rep_max":
            number("rep maximum", self.value, 1, 30)
        elif self.kind == "fixed":
            whole("fixed load", self.value, 0, MOST_THOUSANDTHS)
            one_of("unit", self.unit, UNITS)
        elif self.kind == "drop_percent":
            number("drop", self.value, 1, 90)
        elif self.kind == "drop_places":
            whole("places down", self.value, 1, 20)
        elif self.value is not None:
            raise EngineError("load value", self.value, "empty when reps and RIR decide the load")
        if self.kind != "fixed" and self.unit != "":
            raise EngineError("unit", self.unit, "empty unless the load is fixed")

    @property
    def is_drop(self) -> bool:
        """Whether it is taken from the step before."""
        return self.kind in ("drop_percent", "drop_places")


@hash_once
@dataclass(frozen=True)
class RepRule:
    """How many: reps (low == high), a range, to failure (0, 0), seconds or metres (low == high)."""

    kind: str
    low: int = 0
    high: int = 0

    def __post_init__(self) -> None:
        one_of("rep kind", self.kind, REP_KINDS)
        if self.kind == "failure":
            if self.low != 0 or self.high != 0:
                raise EngineError("reps", (self.low, self.high), "0 and 0 when the step goes to failure")
            return
        most = {"seconds": 3600, "metres": 10_000}.get(self.kind, 1000)
        whole(self.kind, self.low, 1, most)
        whole(self.kind, self.high, self.low, most)
        if self.kind != "range" and self.low != self.high:
            raise EngineError(self.kind, (self.low, self.high), "one number")

    @property
    def counts_reps(self) -> bool:
        """Whether the step is counted in repetitions."""
        return self.kind in ("reps", "range", "failure")


@hash_once
@dataclass(frozen=True)
class StepRule:
    """One unbroken bout: load and rep rule, reserve, rest after it in s, side, what fatigue leaves alone."""

    load: LoadRule
    reps: RepRule
    rir: float | None = None
    rest_s: float = 0.0
    side: str = "b"
    hold: str = "load"

    def __post_init__(self) -> None:
        instance("load rule", self.load, LoadRule)
        instance("rep rule", self.reps, RepRule)
        if self.rir is not None:
            number("RIR", self.rir, 0, 10)
        number("rest", self.rest_s, 0, MOST_REST)
        one_of("side", self.side, SIDES)
        one_of("hold", self.hold, HOLDS)
        if self.reps.kind == "failure" and self.rir:
            raise EngineError("RIR", self.rir, "empty or 0 when the step goes to failure")
        if self.load.kind == "effort" and self.reps.kind == "failure":
            raise EngineError("reps", "failure", "a number or range when reps and RIR decide the load")
        if self.load.kind == "effort" and self.reps.counts_reps and self.rir is None:
            raise EngineError("RIR", None, "a number from 0 to 10 when reps and RIR decide the load")


@hash_once
@dataclass(frozen=True)
class Scheme:
    """How the sets of one exercise are loaded; which fields count depends on `kind`, see SCHEMES.

    straight: sets, step. Pyramids: ladder, one row a set, and sets == len(ladder). drop_set: sets,
    step and drops. series: parts one after another. `rest_s` is between sets (series: between parts).
    """

    kind: str
    sets: int = 1
    step: StepRule | None = None
    ladder: tuple[StepRule, ...] = ()
    drops: tuple[StepRule, ...] = ()
    rest_s: float = 120.0
    parts: tuple[Scheme, ...] = ()

    def __post_init__(self) -> None:
        one_of("scheme kind", self.kind, tuple(SCHEMES))
        whole("sets", self.sets, 1, MOST_SETS)
        number("rest", self.rest_s, 0, MOST_REST)
        for name, member in (("ladder", StepRule), ("drops", StepRule), ("parts", Scheme)):
            for one in items(name, getattr(self, name), most=MOST_SETS):
                instance(name, one, member)
            object.__setattr__(self, name, tuple(getattr(self, name)))
        used = SCHEMES[self.kind].fields
        for name in ("step", "ladder", "drops", "parts"):
            if bool(getattr(self, name)) != (name in used):
                raise EngineError(name, getattr(self, name), f"{'given' if name in used else 'empty'} for {self.kind}")
        _check_shape(self)


def _check_shape(scheme: Scheme) -> None:
    firsts = [scheme.step] if scheme.step else list(scheme.ladder)
    if any(instance("step", first, StepRule).load.is_drop for first in firsts):
        raise EngineError("load of the first step", "a drop", "a load of its own: there is no step before it")
    if len(scheme.drops) + 1 > MOST_STEPS:
        raise EngineError("steps in a set", len(scheme.drops) + 1, f"at most {MOST_STEPS}")
    if any(drop.load.kind == "effort" for drop in scheme.drops):
        raise EngineError("load of a drop", "reps and RIR", "a percent, rep maximum, fixed load or drop")
    if scheme.ladder and scheme.sets != len(scheme.ladder):
        raise EngineError("sets", scheme.sets, f"{len(scheme.ladder)}, one for each row of the ladder")
    if scheme.parts:
        if scheme.sets != 1 or _depth(scheme) > 5:
            raise EngineError("series", scheme.sets, "done once and nested at most five deep")
        if sum(_count_sets(part) for part in scheme.parts) > MOST_SETS:
            raise EngineError("sets in the series", scheme.parts, f"at most {MOST_SETS} in all")


def _depth(scheme: Scheme) -> int:
    return 1 + max((_depth(part) for part in scheme.parts), default=0)


def _count_sets(scheme: Scheme) -> int:
    return sum(_count_sets(part) for part in scheme.parts) if scheme.parts else scheme.sets


Sets = tuple[tuple[StepRule, ...], ...]


def _rest_after(steps: tuple[StepRule, ...], rest_s: float) -> tuple[StepRule, ...]:
    return (*steps[:-1], replace(steps[-1], rest_s=rest_s))


def _straight(scheme: Scheme) -> Sets:
    assert scheme.step is not None
    return (_rest_after((scheme.step,), scheme.rest_s),) * scheme.sets


def _pyramid(scheme: Scheme) -> Sets:
    return tuple(_rest_after((row,), scheme.rest_s) for row in scheme.ladder)


def _drop_set(scheme: Scheme) -> Sets:
    assert scheme.step is not None
    return (_rest_after((scheme.step, *scheme.drops), scheme.rest_s),) * scheme.sets


def _series(scheme: Scheme) -> Sets:
    made: list[tuple[StepRule, ...]] = []
    for part in scheme.parts:
        sets = expand(part)
        made += [*sets[:-1], _rest_after(sets[-1], scheme.rest_s)]
    return tuple(made)


@dataclass(frozen=True)
class SchemeKind:
    """One row of the table of schemes: name on screen, a sentence, technique, its expansion, its fields."""

    kind: str
    name: str
    sentence: str
    technique: str
    expand: Callable[[Scheme], Sets]
    fields: tuple[str, ...]


SCHEMES: dict[str, SchemeKind] = {
    row.kind: row
    for row in (
        SchemeKind("straight", "Straight sets", "Every set at one load.", "straight", _straight, ("step",)),
        SchemeKind(
            "ascending_pyramid",
            "Ascending pyramid",
            "Each set heavier and with fewer reps than the one before.",
            "straight",
            _pyramid,
            ("ladder",),
        ),
        SchemeKind(
            "descending_pyramid",
            "Descending pyramid",
            "Each set lighter and with more reps than the one before.",
            "straight",
            _pyramid,
            ("ladder",),
        ),
        SchemeKind(
            "drop_set",
            "Drop set",
            "The load is dropped and the set goes on without a rest.",
            "advanced",
            _drop_set,
            ("step", "drops"),
        ),
        SchemeKind("series", "Series", "Several schemes one after another.", "straight", _series, ("parts",)),
    )
}


def expand(scheme: Scheme) -> Sets:
    """The sets of a scheme, each a tuple of steps; the last step of a set carries the rest after it."""
    return _expand(instance("scheme", scheme, Scheme))


@lru_cache(maxsize=4096)
def _expand(scheme: Scheme) -> Sets:
    return SCHEMES[scheme.kind].expand(scheme)


def map_steps(scheme: Scheme, change: Callable[[StepRule], StepRule]) -> Scheme:
    """The scheme with `change` applied to every step rule in it, drops included."""
    instance("scheme", scheme, Scheme)
    return replace(
        scheme,
        step=change(scheme.step) if scheme.step else None,
        ladder=tuple(change(row) for row in scheme.ladder),
        drops=tuple(change(drop) for drop in scheme.drops),
        parts=tuple(map_steps(part, change) for part in scheme.parts),
    )
