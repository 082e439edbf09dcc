"""Schemes: how the sets of one exercise are loaded, and what shape each kind must have."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

from .errors import EngineError, instance, items, number, one_of, whole
from .frozen import hash_once
from .loads import UNITS
from .scheme_kinds import SCHEMES, Expanded, SchemeKind, expand_series
from .scheme_rules import HOLDS, LOAD_KINDS, MOST_REST, REP_KINDS, SIDES, LoadRule, RepRule, StepRule

__all__ = [
    "HOLDS", "LOAD_KINDS", "MOST_SETS", "MOST_STEPS", "REP_KINDS", "SCHEMES", "SIDES", "LoadRule", "RepRule",
    "Scheme", "SchemeKind", "StepRule", "expand", "expand_sets", "map_steps",
]  # fmt: skip

MOST_SETS = 20
MOST_STEPS = 12
MOST_TARGET = 10_000_000


@hash_once
@dataclass(frozen=True)
class Scheme:
    """How the sets of one exercise are loaded; which fields count depends on `kind`, see SCHEMES.

    `step`: the set, or its first bout; `drops`: the further bouts of every set; `ladder`: one row a set, and
    sets == len(ladder); `parts`: schemes one after another. `rest_s` is between sets (series: between parts).
    `target` with `target_unit`: total reps of a rest-pause set ('reps'), volume load of a quota ('kg', 'lb').
    """

    kind: str
    sets: int = 1
    step: StepRule | None = None
    ladder: tuple[StepRule, ...] = ()
    drops: tuple[StepRule, ...] = ()
    rest_s: float = 120.0
    parts: tuple[Scheme, ...] = ()
    target: int = 0
    target_unit: str = ""

    def __post_init__(self) -> None:
        one_of("scheme kind", self.kind, tuple(SCHEMES))
        whole("sets", self.sets, 1, MOST_SETS)
        number("rest", self.rest_s, 0, MOST_REST)
        for name, member in (("ladder", StepRule), ("drops", StepRule), ("parts", Scheme)):
            for one in items(name, getattr(self, name), most=MOST_SETS):
                instance(name, one, member)
            object.__setattr__(self, name, tuple(getattr(self, name)))
        if self.step is not None:
            instance("step", self.step, StepRule)
        used = SCHEMES[self.kind].fields
        for name in ("step", "ladder", "drops", "parts"):
            if bool(getattr(self, name)) != (name in used):
                raise EngineError(name, getattr(self, name), f"{'given' if name in used else 'empty'} for {self.kind}")
        _check_target(self)
        _check_loads(self)
        _check_size(self)


def _check_target(scheme: Scheme) -> None:
    whole("target", scheme.target, 0, MOST_TARGET)
    units = {"rest_pause": ("", "reps"), "quota": UNITS}.get(scheme.kind, ("",))
    one_of("unit of the target", scheme.target_unit, units)
    if bool(scheme.target) != bool(scheme.target_unit):
        raise EngineError("target", scheme.target, "given together with its unit")
    if scheme.target_unit == "reps" and (scheme.target > 1000 or len(scheme.drops) != 1):
        raise EngineError("target", scheme.target, "at most 1000 reps, with one bout that is repeated")


def _check_loads(scheme: Scheme) -> None:
    """The first step has a load of its own; later ones only what their kind of scheme allows."""
    own = [scheme.step] if scheme.step else list(scheme.ladder[: 1 if SCHEMES[scheme.kind].later else None])
    if any(first.load.is_relative for first in own):
        raise EngineError("load of the first step", "a drop", "a load of its own: there is no step before it")
    later = scheme.drops or (scheme.ladder[1:] if SCHEMES[scheme.kind].later else ())
    for row in later:
        if row.load.kind not in SCHEMES[scheme.kind].later:
            right = "one of " + ", ".join(SCHEMES[scheme.kind].later)
            raise EngineError(f"load of a later step of a {scheme.kind}", row.load.kind, right)
    if scheme.kind == "open_last" and scheme.step and scheme.step.reps.kind != "reps":
        raise EngineError("reps", scheme.step.reps.kind, "a number: the last set is at least as many")
    if scheme.kind == "quota" and scheme.step and not scheme.step.reps.counts_reps:
        raise EngineError("reps", scheme.step.reps.kind, "repetitions: a quota is load x reps")


def _check_size(scheme: Scheme) -> None:
    if len(scheme.drops) + 1 > MOST_STEPS:
        raise EngineError("steps in a set", len(scheme.drops) + 1, f"at most {MOST_STEPS}")
    if scheme.ladder and scheme.sets != len(scheme.ladder):
        raise EngineError("sets", scheme.sets, f"{len(scheme.ladder)}, one for each row of the ladder")
    if scheme.parts:
        if scheme.sets != 1 or _depth(scheme) > 5:
            raise EngineError("series", scheme.sets, "done once and nested at most five deep")
        if sum(_count_sets(part) for part in scheme.parts) > MOST_SETS:
            raise EngineError("sets in the series", scheme.parts, f"at most {MOST_SETS} in all")
        if any(_has_quota(part) for part in scheme.parts[:-1]):
            raise EngineError("quota in the series", scheme.parts, "its last part: how many sets it takes is open")


def _depth(scheme: Scheme) -> int:
    return 1 + max((_depth(part) for part in scheme.parts), default=0)


def _has_quota(scheme: Scheme) -> bool:
    return scheme.kind == "quota" or any(_has_quota(part) for part in scheme.parts)


def _count_sets(scheme: Scheme) -> int:
    return sum(_count_sets(part) for part in scheme.parts) if scheme.parts else scheme.sets


Sets = tuple[tuple[StepRule, ...], ...]


def expand(scheme: Scheme) -> Sets:
    """The sets of a scheme, each a tuple of steps; the last step of a set carries the rest after it.

    As written: a quota gives as many sets as it may take, a rest-pause set for total reps one further bout.
    """
    return _expand(instance("scheme", scheme, Scheme))


@lru_cache(maxsize=4096)
def _expand(scheme: Scheme) -> Sets:
    return tuple(one.steps for one in expand_sets(scheme))


@lru_cache(maxsize=4096)
def expand_sets(scheme: Scheme) -> tuple[Expanded, ...]:
    """As `expand`, with the kind of scheme each set comes from and what ends it early."""
    if scheme.parts:
        return expand_series(tuple(expand_sets(part) for part in scheme.parts), scheme.rest_s)
    return SCHEMES[scheme.kind].expand(scheme)


def map_steps(scheme: Scheme, change: Callable[[StepRule], StepRule]) -> Scheme:
    """The scheme with `change` applied to every step rule in it, further bouts included."""
    instance("scheme", scheme, Scheme)
    return replace(
        scheme,
        step=change(scheme.step) if scheme.step else None,
        ladder=tuple(change(row) for row in scheme.ladder),
        drops=tuple(change(drop) for drop in scheme.drops),
        parts=tuple(map_steps(part, change) for part in scheme.parts),
    )
