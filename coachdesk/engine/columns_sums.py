"""What the steps of each planned exercise add up to: hard sets, kg lifted, fatigue, work to the limit."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TypeVar

import numpy as np

from .columns_choose import Chosen
from .columns_plan import Array, Steps, Table
from .fatigue import _CAP, _COST_OF_10RM, _RESERVE
from .flag_limits import _AT_LIMIT
from .predict_step import _UNKNOWN_RIR
from .rules import Rules
from .summary import _LEAST_MISS
from .volume import _TOLERANCE

Slot = int | tuple[Array, Array]
T = TypeVar("T", bound=Table)


@dataclass(frozen=True)
class Done(Table):
    """(N, S) prescribed steps, as in PrescribedStep; NaN: not known or not predicted. `made`: not left out."""

    made: Array
    load: Array
    reps_low: Array
    rir: Array
    reps: Array
    rir_expected: Array
    before: Array
    after: Array


@dataclass(frozen=True)
class Sums(Table):
    """(E, S) of each planned exercise: hard sets by the low, usual and high count, kg lifted, fatigue units.

    `to_failure`: sets to failure or with drops; `misses`: a load is not makeable as asked; `at_limit`: to
    failure or a maximum; `asked`, `expected`: reps of the step furthest above what can be expected, 0 for none.
    """

    low: Array
    usual: Array
    high: Array
    kg: Array
    units: Array
    to_failure: Array
    misses: Array
    at_limit: Array
    asked: Array
    expected: Array


FLAGS = ("made", "misses", "at_limit")


def empty(kind: type[T], shape: tuple[int, ...]) -> T:
    """A table of zeros, or of false."""
    return kind(**{field.name: np.zeros(shape, bool if field.name in FLAGS else float) for field in fields(kind)})


@dataclass(frozen=True)
class Outcome:
    """One step of each session: done at all, expected reserve (NaN not predicted), counted reps, cost."""

    made: Array
    expected: Array
    counted: Array
    cost: Array


class Tally:
    """Adds step after step to the sums; remembers the set that each session is in."""

    def __init__(self, rules: Rules, sums: Sums, sessions: int) -> None:
        self.rules, self.sums = rules, sums
        self.further = np.zeros(sessions)
        self.hard = self.scored = np.zeros(sessions, bool)

    def add(self, step: Steps, chosen: Chosen, out: Outcome, slot: Slot, body: Array) -> None:
        """Count one step of each session in; `slot`: where its planned exercise stands, `body`: moved body mass."""
        sums = self.sums
        planned = ~np.isnan(chosen.rir)
        effort = np.where(planned, chosen.rir, out.expected)
        self._count_sets(step, out, effort, slot)
        nearness = np.where(np.isnan(out.expected), np.where(planned, chosen.rir, _UNKNOWN_RIR), out.expected)
        units = 0.5 / _COST_OF_10RM * np.minimum(out.cost, _CAP) + 0.5 * np.exp(nearness / -_RESERVE)
        sums.units[slot] += np.where(out.made, units * step.weight, 0.0)
        lifts = out.made & step.counted & ~np.isnan(chosen.load)
        sums.kg[slot] += np.where(lifts, np.maximum(0.0, chosen.load + body) * out.counted * step.lifted, 0.0)
        heavy = step.counted & (chosen.fraction >= self.rules.maximum_work)
        sums.misses[slot] |= chosen.misses & out.made
        sums.at_limit[slot] |= out.made & (step.failure | heavy | (chosen.rir <= _AT_LIMIT))
        self._impossible(step, chosen, out, slot)

    def _impossible(self, step: Steps, chosen: Chosen, out: Outcome, slot: Slot) -> None:
        """As `summary._miss`: the step of each exercise whose reps lie furthest above what can be expected."""
        reps, ratio = _LEAST_MISS
        short = out.made & ~np.isnan(out.expected) & ~step.failure
        short &= (chosen.low - out.counted >= reps) & (chosen.low >= ratio * out.counted)
        if not short.any():
            return
        asked, expected = self.sums.asked[slot], self.sums.expected[slot]
        worse = short & ((asked == 0) | (chosen.low * expected > asked * out.counted))
        self.sums.asked[slot] = np.where(worse, chosen.low, asked)
        self.sums.expected[slot] = np.where(worse, out.counted, expected)

    def _count_sets(self, step: Steps, out: Outcome, effort: Array, slot: Slot) -> None:
        """As `volume.count_set`, a step at a time: further drops add to the set that they belong to."""
        first = out.made & ~step.later
        hard = first & (effort <= self.rules.hard_set_rir + _TOLERANCE)
        usual = np.where(hard | (first & np.isnan(effort)), step.weight, 0.0)
        self.sums.low[slot] += np.where(hard, step.weight, 0.0)
        self.sums.usual[slot] += usual
        self.sums.high[slot] += usual
        failed = first & step.failure
        if step.later.any():
            failed = self._count_drops(step, out, effort, slot, hard, failed)
        else:
            self.hard, self.further, self.scored = hard, np.zeros(len(hard)), failed
        self.sums.to_failure[slot] += failed

    def _count_drops(self, step: Steps, out: Outcome, effort: Array, slot: Slot, hard: Array, failed: Array) -> Array:
        """The further steps of sets; returns which sets turn out to be to failure or with drops."""
        rules, first, again = self.rules, out.made & ~step.later, out.made & step.later
        self.hard, self.further = np.where(first, hard, self.hard), np.where(first, 0.0, self.further)
        enough = (out.counted >= rules.drop_least_reps - _TOLERANCE) & (effort <= rules.drop_rir + _TOLERANCE)
        more = again & self.hard & enough
        if more.any():
            was = self._worth()
            self.further = self.further + more
            self.sums.usual[slot] += (self._worth() - was) * step.weight
            self.sums.high[slot] += np.where(more, step.weight, 0.0)
        failed = failed | (again & ~self.scored)
        self.scored = np.where(first, failed, self.scored | again)
        return failed

    def _worth(self) -> Array:
        return np.maximum(1.0, np.minimum(self.rules.drop_most, 1 + self.rules.drop_adds * self.further))
