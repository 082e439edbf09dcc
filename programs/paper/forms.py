"""Binding what paper a sheet is set for, and whose sheets are wanted."""

from collections.abc import Mapping, Sequence

from coachdesk.practice.models import Practice
from programs.paper.density import AREA


def paper_of(typed: Mapping[str, str], practice: Practice) -> str:
    """'a4' or 'letter' as asked for, else the practice's own."""
    asked = typed.get("paper", "")
    return asked if asked in AREA else practice.paper_size


def ids_of(values: Sequence[str]) -> list[int]:
    """The ids that were ticked, each once; what is no id is left out."""
    return list(dict.fromkeys(int(v) for v in values if v.isascii() and v.isdigit() and len(v) < 19))
