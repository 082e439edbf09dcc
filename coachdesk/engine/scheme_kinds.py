"""The table of schemes: a row a kind, with the expansion of it into sets of steps."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from .scheme_rules import DROPS, RISES, RepRule, StepRule

if TYPE_CHECKING:
    from .scheme import Scheme


@dataclass(frozen=True)
class Expanded:
    """One set as written, the kind of scheme it comes from, and what ends it or its scheme early.

    `until_reps`: the last bout is repeated until the set has as many. `quota`: volume load in
    `quota_unit` x reps after which the scheme's further sets are left out; the first of them has `starts`.
    """

    kind: str
    steps: tuple[StepRule, ...]
    until_reps: int = 0
    quota: int = 0
    quota_unit: str = ""
    starts: bool = True


Many = tuple[Expanded, ...]


def _rest_after(steps: tuple[StepRule, ...], rest_s: float) -> tuple[StepRule, ...]:
    return (*steps[:-1], replace(steps[-1], rest_s=rest_s))


def _alike(scheme: Scheme) -> Many:
    assert scheme.step is not None
    steps = _rest_after((scheme.step, *scheme.drops), scheme.rest_s)
    return (Expanded(scheme.kind, steps, until_reps=scheme.target),) * scheme.sets


def _rows(scheme: Scheme) -> Many:
    return tuple(Expanded(scheme.kind, _rest_after((row,), scheme.rest_s)) for row in scheme.ladder)


def _open_last(scheme: Scheme) -> Many:
    assert scheme.step is not None
    usual, n = _rest_after((scheme.step,), scheme.rest_s), scheme.step.reps.low
    last = replace(usual[0], reps=RepRule("at_least", n, n), rir=scheme.step.rir or 0.0)
    return (*(Expanded("straight", usual),) * (scheme.sets - 1), Expanded("straight", (last,)))


def _quota(scheme: Scheme) -> Many:
    assert scheme.step is not None
    one = Expanded("straight", _rest_after((scheme.step,), scheme.rest_s), 0, scheme.target, scheme.target_unit)
    return (one, *(replace(one, starts=False),) * (scheme.sets - 1))


def _series(scheme: Scheme) -> Many:
    raise NotImplementedError("a series is expanded part by part")


def expand_series(parts: tuple[Many, ...], rest_s: float) -> Many:
    """The parts' sets one after another, with `rest_s` after each part."""
    made: list[Expanded] = []
    for sets in parts:
        made += [*sets[:-1], replace(sets[-1], steps=_rest_after(sets[-1].steps, rest_s))]
    return tuple(made)


@dataclass(frozen=True)
class SchemeKind:
    """One row of the table of schemes: name on screen, a sentence, technique, its expansion, its fields.

    `later`: kinds of load that later steps (of a set, or rows of the ladder) may have; empty when each
    step stands for itself.
    """

    kind: str
    name: str
    sentence: str
    technique: str
    expand: Callable[[Scheme], Many]
    fields: tuple[str, ...]
    later: tuple[str, ...] = ()


_STATED = ("percent", "rep_max", "fixed", "place")
_ROWS = ("effort", *_STATED, "same", *DROPS, *RISES)

SCHEMES: dict[str, SchemeKind] = {
    row[0]: SchemeKind(*row)
    for row in (
        ("straight", "Straight sets", "Every set at one load.", "straight", _alike, ("step",)),
        ("ascending_pyramid", "Ascending pyramid", "Each set heavier and with fewer reps than the one before.",
         "straight", _rows, ("ladder",)),
        ("descending_pyramid", "Descending pyramid", "Each set lighter and with more reps than the one before.",
         "straight", _rows, ("ladder",)),
        ("wave", "Wave", "Rows of falling reps and rising load, run through more than once.",
         "straight", _rows, ("ladder",), _ROWS),
        ("top_back_off", "Top set and back-off sets", "One or more heavy sets, then sets at a share of their load.",
         "straight", _rows, ("ladder",), _ROWS),
        ("open_last", "Open-ended last set", "Straight sets; the last one goes on as long as the reserve allows.",
         "straight", _open_last, ("step",)),
        ("quota", "Volume quota", "Sets at one load until load x reps has reached a target.",
         "straight", _quota, ("step",)),
        ("drop_set", "Drop set", "The load is dropped and the set goes on without a rest.",
         "advanced", _alike, ("step", "drops"), (*_STATED, *DROPS)),
        ("light_to_heavy", "Light to heavy", "The load is raised inside the set, without a rest.",
         "advanced", _alike, ("step", "drops"), (*_STATED, *RISES)),
        ("rest_pause", "Rest-pause", "Further bouts at the same load, each after a short pause.",
         "advanced", _alike, ("step", "drops"), ("same",)),
        ("cluster", "Cluster", "The reps of a set in short bouts with a pause between them.",
         "advanced", _alike, ("step", "drops"), ("same",)),
        ("series", "Series", "Several schemes one after another.", "straight", _series, ("parts",)),
    )
}  # fmt: skip
