"""The page 'Pain and return' of one client: reports, answers, symmetry, and the programme's flags about them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from clients.mapping import house_rules
from clients.models import Client
from programs.models import FlagDecision, Program, StrengthEstimate
from programs.selectors.editor import ShownFlag, shown_flags
from programs.selectors.pain import ExercisePain, SidedStrength, pain_of, sided_strengths
from programs.selectors.prescription import program_view
from programs.selectors.programs import current_program
from programs.selectors.strength import estimates_of, machine_names

CODES = ("pain_rule", "symmetry")


@dataclass(frozen=True)
class PainPage:
    """What the page shows; `program` is the running one, None without."""

    pains: list[ExercisePain]
    sides: list[SidedStrength]
    program: Program | None
    flags: list[ShownFlag]
    decided: list[FlagDecision]
    days: float
    limit: float

    @property
    def quiet(self) -> list[ExercisePain]:
        """Answers that no flag on this page says already."""
        said = {shown.sentence for shown in self.flags}
        return [one for one in self.pains if one.sentence not in said]

    @property
    def is_empty(self) -> bool:
        return not (self.pains or self.sides or self.flags)


def pain_page(client: Client, today: date) -> PainPage:
    """Everything of the page on a day."""
    rules, program = house_rules(client), current_program(client, today)
    flags, decided = [], []
    if program is not None:
        view = program_view(program, client=client, on=today)
        flags = shown_flags(view, [flag for flag in view.open_flags() if flag.code in CODES])
        decided = [one for one in view.dismissed.values() if one.code in CODES]
    return PainPage(
        pain_of(client, today, rules), sided_strengths(estimates_of(client), machine_names(client)), program, flags,
        decided,
        rules.pain_days, 100 * rules.symmetry_below,
    )  # fmt: skip


def symmetry_table(
    client: Client, estimates: Iterable[StrengthEstimate], machines: Mapping[str, str]
) -> dict[str, Any]:
    """`sides` and `limit` (per cent) for the table of left against right."""
    sides = sided_strengths(estimates, machines)
    return {"sides": sides, "limit": 100 * house_rules(client).symmetry_below}
