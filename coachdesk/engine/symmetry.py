"""Left against right: the symmetry index from two estimates, its range, and the note that follows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .because import reason
from .constants import source, value
from .errors import EngineError, instance, items, text
from .flags import Edit, Flag, Remedy, Where
from .pain import PlannedUse
from .rules import DEFAULT, Rules
from .strength import Strength

Z90 = value("interval_90")
SIDES = {"l": "left", "r": "right"}


@dataclass(frozen=True)
class Symmetry:
    """Weaker side by stronger side, a fraction up to 1, with its 90 % range; `weaker` is 'l', 'r' or '' when equal."""

    index: float
    low: float
    high: float
    weaker: str

    @property
    def weaker_words(self) -> str:
        return SIDES.get(self.weaker, "")


@dataclass(frozen=True)
class SymmetryFacts:
    """One exercise with its left and right estimates and where it is planned."""

    name: str
    left: Strength
    right: Strength
    uses: tuple[PlannedUse, ...] = ()


def symmetry_of(left: Strength, right: Strength) -> Symmetry:
    """The index of two estimates of one exercise on one machine; the range from both doubts, cut at 1.

    EngineError for anything that is not an estimate. Trade in rehabilitation: no source.
    """
    one = instance("left estimate", left, Strength)
    other = instance("right estimate", right, Strength)
    if one.mean_kg <= 0 or other.mean_kg <= 0:
        raise EngineError("estimate", min(one.mean_kg, other.mean_kg), "a load above zero")
    weak, strong = sorted((one.mean_kg, other.mean_kg))
    index = weak / strong
    spread = math.exp(Z90 * math.hypot(one.sd_log, other.sd_log))
    weaker = "" if weak == strong else ("l" if one.mean_kg < other.mean_kg else "r")
    return Symmetry(index, index / spread, min(1.0, index * spread), weaker)


def cue_for(weaker: str) -> str:
    """What to write beside the exercise: the weaker side first, and no more reps on the other."""
    return f"{SIDES[weaker]} side first, the other no more reps"


def symmetry_flags(facts: Sequence[SymmetryFacts], rules: Rules = DEFAULT) -> tuple[Flag, ...]:
    """A note 'symmetry' for each planned exercise whose index is below the house rule and is not answered yet."""
    found = []
    for one in items("facts", facts):
        instance("facts", one, SymmetryFacts)
        text("exercise", one.name)
        seen = symmetry_of(one.left, one.right)
        if seen.index >= rules.symmetry_below or not seen.weaker:
            continue
        cue = cue_for(seen.weaker)
        uses = tuple(use for use in one.uses if cue not in use.cue.lower())
        if uses:
            found.append(_flag(one, seen, cue, uses, rules))
    return tuple(found)


def _flag(one: SymmetryFacts, seen: Symmetry, cue: str, uses: tuple[PlannedUse, ...], rules: Rules) -> Flag:
    words = cue[0].upper() + cue[1:]
    because = reason(
        "symmetry", exercise=one.name, side=seen.weaker_words, percent=round(100 * seen.index),
        low=round(100 * seen.low), high=round(100 * seen.high), limit=100 * rules.symmetry_below,
    )  # fmt: skip
    remedy = Remedy(f"Write '{words}' beside it", tuple(Edit("exercise", use.key, "cue", words) for use in uses))
    return Flag(
        code="symmetry", severity="note", where=Where(), numbers=because.numbers, because=because,
        source=source("symmetry_below"), remedies=(remedy,), weeks=tuple(sorted({use.week_no for use in uses})),
    )  # fmt: skip
