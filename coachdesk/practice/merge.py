"""Two people on one row: keep both when they touched different fields, ask when they touched the same."""

from dataclasses import dataclass
from typing import Any

from django.db import models

from coachdesk.practice.models import Change, Values


@dataclass(frozen=True)
class Conflict:
    """One field that both changed: the words for the screen and both values."""

    field: str
    mine: Any
    theirs: Any


class StaleEdit(Exception):
    """The row moved on and the same fields were changed; nothing was written."""

    def __init__(self, row: models.Model, conflicts: list[Conflict]) -> None:
        super().__init__("Somebody else changed the same fields.")
        self.row = row
        self.conflicts = conflicts


def values_at(row: models.Model, version: int) -> Values | None:
    """The row's fields as they stood at `version`, from the tape; None when the tape does not reach back."""
    changes = Change.objects.filter(model=row._meta.label_lower, row=row.pk, before__version=version)
    change = changes.order_by("id").first()
    return change.before if change else None


def merge(row: models.Model, *, base: Values | None, theirs: Values, mine: Values) -> Values:
    """Field by field: mine where they left it alone, theirs where I did. Raises StaleEdit when both changed one.

    `base` is what I was looking at when I began; without it any difference counts as a conflict.
    """
    merged = dict(theirs)
    conflicts = []
    for name, value in mine.items():
        there = theirs.get(name)
        if value == there or (base is not None and value == base.get(name)):
            continue
        if base is not None and there == base.get(name):
            merged[name] = value
        else:
            conflicts.append(Conflict(name, value, there))
    if conflicts:
        raise StaleEdit(row, conflicts)
    return merged
