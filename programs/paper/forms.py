"""Binding what paper a sheet is set for."""

from collections.abc import Mapping

from coachdesk.practice.models import Practice
from programs.paper.density import AREA


def paper_of(typed: Mapping[str, str], practice: Practice) -> str:
    """'a4' or 'letter' as asked for, else the practice's own."""
    asked = typed.get("paper", "")
    return asked if asked in AREA else practice.paper_size
