"""Maximum strength as an estimate with doubt, learned from logged sets and tests."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date

from .constants import value
from .curves import checked_curve
from .errors import EngineError, instance, items, non_negative_float, positive_float
from .strength_change import StrengthChange, strength_change
from .strength_filter import Filter
from .strength_values import Observation, Prior, Strength, civil

__all__ = [
    "Observation", "Prior", "Strength", "StrengthLog", "estimate_strength", "prescribing_kg", "suspicious_ratio",
]  # fmt: skip

_QUARTER = value("lower_quarter")
_HEAVY = value("heavy_reps")
_INFORMATIVE = value("reps_informative")


class StrengthLog:
    """An estimate that is carried on: `add` sets in order of days, ask `strength` for any day from the last on.

    Gives the same answers as `estimate_strength` on all sets so far. Sets that are only lower bounds and
    sets over 15 reps wait for the first other one, because they would anchor the estimate; long sets alone say nothing.
    """

    def __init__(self, endurance: float = 1.0, curve: str = "handbook", prior: Prior | None = None) -> None:
        checked_curve(curve, endurance)
        if prior is not None:
            instance("prior", prior, Prior)
        self._prior = prior or Prior(endurance)
        self._curve = curve
        self._filter = Filter(self._prior, curve)
        self._waiting: list[Observation] = []
        self._last: date | None = None

    def add(self, seen: Observation) -> None:
        """Take in one set; EngineError when its day lies before the last one."""
        instance("observation", seen, Observation)
        if self._last is not None and seen.on < self._last:
            raise EngineError("day of the set", seen.on.isoformat(), f"not before {self._last.isoformat()}")
        self._last = seen.on
        if self._filter.day is None and (seen.lower_bound or seen.reps > _INFORMATIVE):
            self._waiting.append(seen)
            return
        began = self._filter.day is not None
        self._filter.add(seen)
        if not began:
            for other in self._waiting:
                if other.on == seen.on:
                    self._filter.add(other)

    def strength(self, as_of: date) -> Strength | None:
        """The estimate on `as_of`, not before the last set; None when nothing speaks of it."""
        civil("as_of", as_of)
        if self._last is None:
            return None
        if as_of < self._last:
            raise EngineError("as_of", as_of.isoformat(), f"not before {self._last.isoformat()}")
        return self.filter().strength(as_of)

    def mark(self) -> bool:
        """Keep the last day in mind, for `change`; False when nothing but bounds speaks of it yet."""
        return self._filter.mark()

    def change(self) -> tuple[Strength, StrengthChange] | None:
        """(the estimate of the marked day by all sets so far, what became of it up to the last set); None: no mark."""
        before, told = self._filter.marked(), self._filter.change()
        return (before, strength_change(*told)) if before and told else None

    def filter(self) -> Filter:
        """The state behind it; read only."""
        if self._filter.day is not None:
            return self._filter
        made = Filter(self._prior, self._curve)
        for bound in self._waiting:
            if bound.lower_bound and bound.reps <= _INFORMATIVE:
                made.add(bound)
        return made


def run_log(observations: Sequence[Observation], as_of: date, curve: str, prior: Prior) -> StrengthLog:
    """All checked observations up to `as_of`, fed in order of days."""
    civil("as_of", as_of)
    given = items("observations", observations)
    for seen in given:
        instance("observation", seen, Observation)
    log = StrengthLog(prior.endurance, curve, prior)
    for seen in sorted((seen for seen in given if seen.on <= as_of), key=lambda seen: seen.on):
        log.add(seen)
    return log


def estimate_strength(
    observations: Sequence[Observation],
    as_of: date,
    endurance: float = 1.0,
    curve: str = "handbook",
    *,
    prior: Prior | None = None,
) -> Strength | None:
    """The 1RM on `as_of` from what was logged up to then; None when nothing speaks of it.

    `prior`: what is known of the person besides (it replaces `endurance`). Learned with it: trend, each day's
    effect, RIR bias, and repetition capacity once loads near failure lie 15 points of 1RM apart. The estimate never
    falls when the newest set has more reps (up to 15), load or RIR. A lower bound only raises it and leaves its doubt
    alone; sets over 15 reps never raise it.
    """
    checked_curve(curve, endurance)
    if prior is not None:
        instance("prior", prior, Prior)
    return run_log(observations, as_of, curve, prior or Prior(endurance)).strength(as_of)


def prescribing_kg(known: Strength, reps: float, rir: float = 0.0, careful: bool = False) -> float:
    """The 1RM in kg to take loads from: the mean, or the lower quarter of the estimate.

    Lower quarter: reps + RIR of 3 and less (3RM and heavier), and `careful` clients (beginners, from 65 years,
    cautioned, back from a layoff).
    """
    instance("strength", known, Strength)
    instance("careful", careful, bool)
    total = positive_float("reps", reps, 1000) + non_negative_float("RIR", rir, 100)
    return known.lower_quarter_kg(_QUARTER) if careful or total <= _HEAVY else known.mean_kg


_SLIPS = ((1 / 0.45359237, "lb typed for kg"), (10.0, "decimal point"), (2.0, "pair counted"))


def suspicious_ratio(load_kg: float, expected_kg: float) -> str | None:
    """The likely slip when load / expected is near 2.2, 10 or 2 or their inverses (within 4 %); else None.

    Between 2 and 2.2 the nearer one is named.
    """
    ratio = positive_float("load", load_kg) / positive_float("expected load", expected_kg)
    gaps = [(abs(math.log(ratio)) - math.log(factor), words) for factor, words in _SLIPS]
    nearest, words = min((abs(gap), words) for gap, words in gaps)
    return words if nearest <= 0.04 else None
