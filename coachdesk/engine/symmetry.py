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
STEP = value("symmetry_step")
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


Row = tuple[SymmetryFacts, Symmetry, tuple[PlannedUse, ...]]


def symmetry_flags(facts: Sequence[SymmetryFacts], rules: Rules = DEFAULT) -> tuple[Flag, ...]:
    """A note 'symmetry' for each weaker side: its planned exercises below the house rule that are not answered yet.

    `facts`: every exercise with both estimates; one that is not planned raises nothing, but counts for how far the
    side is behind, so that a note set aside stays the same note whichever weeks are looked at.
    """
    found: dict[str, list[Row]] = {}
    for one in items("facts", facts):
        instance("facts", one, SymmetryFacts)
        text("exercise", one.name)
        seen = symmetry_of(one.left, one.right)
        if seen.weaker and seen.index < rules.symmetry_below:
            uses = tuple(use for use in one.uses if cue_for(seen.weaker) not in use.cue.lower())
            found.setdefault(seen.weaker, []).append((one, seen, uses))
    return tuple(
        _flag(weaker, rows, rules) for weaker, rows in sorted(found.items()) if any(uses for _, _, uses in rows)
    )


def _flag(weaker: str, rows: list[Row], rules: Rules) -> Flag:
    open_rows = sorted((row for row in rows if row[2]), key=lambda row: (row[1].index, row[0].name))
    words = cue_for(weaker).capitalize()
    parts = [
        f"{one.name} {_percent(seen.index)} % ({_percent(seen.low)}-{_percent(seen.high)})"
        for one, seen, _ in open_rows
    ]
    because = reason("symmetry", side=SIDES[weaker], list=", ".join(parts), limit=100 * rules.symmetry_below)
    uses = [use for _, _, some in open_rows for use in some]
    remedy = Remedy(
        f"Write '{words}' beside {'them' if len(open_rows) > 1 else 'it'}",
        tuple(Edit("exercise", use.key, "cue", words) for use in uses),
    )
    # In steps: an estimate moves a little with every log, and a note set aside should not return for that.
    worst = STEP * round(100 * min(seen.index for _, seen, _ in rows) / STEP)
    return Flag(
        code="symmetry", severity="note", where=Where(), numbers=(("side", weaker), ("percent", worst)),
        because=because, source=source("symmetry_below"), remedies=(remedy,),
        weeks=tuple(sorted({use.week_no for use in uses})),
    )  # fmt: skip


def _percent(share: float) -> int:
    return round(100 * share)
