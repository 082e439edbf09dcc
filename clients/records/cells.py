"""One value in one cell of a CSV file and back, exactly; text that a spreadsheet takes for a formula is guarded."""

import json
from typing import Any

from django.db import models

# A spreadsheet takes a text that begins so for a formula, or strips it; the guard itself is guarded too.
RISKY = ("=", "+", "-", "@", "\t", "\r", "\n", "'", "＝", "＋", "－", "＠")


def guarded(text: str) -> str:
    """'=1+1' -> "'=1+1"; other text as it is."""
    return f"'{text}" if text.startswith(RISKY) else text


def unguarded(cell: str) -> str:
    """The inverse of `guarded`; a text that it would have left alone is left alone, as "'twas late"."""
    return cell[1:] if cell.startswith("'") and cell[1:].startswith(RISKY) else cell


def to_cell(field: "models.Field[Any, Any]", value: Any) -> str:
    """The value as the tape keeps it, as a cell: an empty one for nothing, and JSON for JSON."""
    if value is None:
        return ""
    if isinstance(field, models.JSONField):
        return guarded(json.dumps(value, ensure_ascii=False))
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        # repr: the shortest digits that read back as the same number.
        return repr(value)
    return "'" if value == "" and field.null else guarded(value)


def from_cell(field: "models.Field[Any, Any]", cell: str) -> Any:
    """The inverse of `to_cell`."""
    if cell == "" and (field.null or not _is_text(field)):
        return None
    if isinstance(field, models.JSONField):
        return json.loads(unguarded(cell))
    if isinstance(field, models.BooleanField):
        return cell == "true"
    if isinstance(field, models.FloatField):
        return float(cell)
    if isinstance(field, (models.IntegerField, models.ForeignKey)):
        return int(cell)
    # A lone guard is the empty text of a column that may hold nothing.
    return "" if cell == "'" else unguarded(cell)


def _is_text(field: "models.Field[Any, Any]") -> bool:
    return isinstance(field, (models.CharField, models.TextField))
