"""Strength at the start and at the end of a block, and in words how sure the change is."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from clients.models import Client
from coachdesk import engine
from programs.logs.selectors.trends import evidence_name
from programs.selectors import Evidence, evidence_of, machine_names

MOST_LINES = 12
WORDS = {
    "up": "almost certainly stronger", "probably up": "probably stronger", "inside the doubt": "inside the doubt",
    "probably down": "probably weaker", "down": "almost certainly weaker",
}  # fmt: skip


@dataclass(frozen=True)
class StrengthLine:
    """One exercise: the estimate of the start (None: nothing was known then) and of the end, in kg.

    Both are what all sets up to the end say: later sets correct a first estimate, and that is no change in strength.
    """

    name: str
    on_body: bool
    count: int
    before: engine.Strength | None
    after: engine.Strength
    change: engine.StrengthChange | None

    @property
    def moved_kg(self) -> float | None:
        return self.after.mean_kg - self.before.mean_kg if self.before else None

    @property
    def is_clear(self) -> bool:
        """Whether the change stands clear of the doubt."""
        return self.change is not None and self.change.verdict != "inside the doubt"

    @property
    def words(self) -> str:
        """'probably stronger'."""
        return WORDS[self.change.verdict] if self.change else "first measured in this block"

    @property
    def percent(self) -> str:
        """The chance of being stronger than at the start in per cent, never quite 0 or 100."""
        if self.change is None:
            return ""
        shown = round(100 * self.change.chance)
        return "over 99" if shown > 99 else "under 1" if shown < 1 else str(shown)

    @property
    def reach(self) -> float:
        """Half of the 90 % interval at the end, as a share of the estimate."""
        return (self.after.high_kg - self.after.low_kg) / 2 / self.after.mean_kg


def report_strengths(client: Client, first: date, last: date) -> tuple[StrengthLine, ...]:
    """Exercises with evidence from `first` to `last`: clear changes first, then those seen most; two queries."""
    return strengths_since(evidence_of(client, until=last), machine_names(client), first)


def strengths_since(evidence: Iterable[Evidence], machines: Mapping[str, str], first: date) -> tuple[StrengthLine, ...]:
    """The same of evidence that ends where the time looked at does."""
    found = [_line(one, machines, first) for one in evidence if one.rows[-1].on >= first]
    lines = [line for line in found if line is not None]
    return tuple(sorted(lines, key=lambda line: (not line.is_clear, -line.count, line.name)))


def _line(evidence: Evidence, machines: Mapping[str, str], first: date) -> StrengthLine | None:
    after = evidence.on_day(evidence.rows[-1].on)
    if after is None:
        return None
    days = [row.on for row in evidence.rows]
    earlier = [on for on in days if on < first]
    # Without anything from before, the first day of the block stands for its start.
    before, change = evidence.change_since(earlier[-1] if earlier else days[0]) or (None, None)
    return StrengthLine(
        evidence_name(evidence.first, machines), evidence.first.exercise.equipment_kind == "bodyweight",
        sum(1 for on in days if on >= first), before, after, change,
    )  # fmt: skip
