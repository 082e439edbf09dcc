"""Taking an edit over onto a row that may have moved on since the person began."""

from copy import copy
from typing import Any, TypeVar

from django.db import models

from coachdesk.practice.merge import StaleEdit, merge, values_at
from coachdesk.practice.models import Values
from coachdesk.practice.tape import fields_of

Row = TypeVar("Row", bound=models.Model)


class StaleForm(StaleEdit):
    """As StaleEdit; `merged` holds, for every edited field, what the form shows next beside the conflicts."""

    def __init__(self, stale: StaleEdit, merged: Values) -> None:
        super().__init__(stale.row, stale.conflicts)
        self.merged = merged


def as_columns(row: models.Model, fields: dict[str, Any]) -> Values:
    """Field values as the tape keeps them, by column: {'place': <Place 3>} becomes {'place_id': 3}."""
    typed = copy(row)
    for name, value in fields.items():
        setattr(typed, name, value)
    kept = fields_of(typed)
    names = [row._meta.get_field(name).attname for name in fields]  # type: ignore[union-attr]
    return {name: kept[name] for name in names}


def take_over(row: Row, *, version: int, fields: dict[str, Any]) -> Row:
    """Set `fields` on a locked row, keeping what others changed since `version`. Raises StaleForm."""
    mine, theirs = as_columns(row, fields), fields_of(row)
    base = theirs if version == theirs["version"] else values_at(row, version)
    merged = merged_values(row, base=base, theirs=theirs, mine=mine)
    for name in mine:
        field = next(one for one in row._meta.concrete_fields if one.attname == name)
        setattr(row, name, field.to_python(merged[name]))
    return row


def merged_values(row: models.Model, *, base: Values | None, theirs: Values, mine: Values) -> Values:
    """`merge`, but a conflict also carries the fields that do merge. Raises StaleForm."""
    try:
        return merge(row, base=base, theirs=theirs, mine=mine)
    except StaleEdit as stale:
        clashing = {conflict.field for conflict in stale.conflicts}
        rest = {name: value for name, value in mine.items() if name not in clashing}
        merged = merge(row, base=base, theirs=theirs, mine=rest)
        shown = {name: mine[name] if name in clashing else merged[name] for name in mine}
        raise StaleForm(stale, shown) from stale
