"""Reading imports: who may see them, and how columns, words and units were matched before."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db.models import QuerySet

from coachdesk.practice.models import Membership
from programs.logs.models import LogImport
from programs.models import Exercise

LATEST = 20
# Without a sign of life for so long its worker is gone.
SILENT = timedelta(seconds=30)


def visible_imports(desk: Membership) -> QuerySet[LogImport]:
    """One's own, and all of the practice for its owner."""
    rows = LogImport.objects.filter(practice_id=desk.practice_id).select_related("act", "by__user", "practice")
    return rows if desk.role == Membership.Role.OWNER else rows.filter(by=desk)


def latest_imports(desk: Membership) -> list[LogImport]:
    """The last few, newest first."""
    return list(visible_imports(desk).order_by("-id")[:LATEST])


@dataclass(frozen=True)
class Kept:
    """What this person's earlier imports said: column by heading, exercise name by wording."""

    columns: dict[str, str] = field(default_factory=dict)
    words: dict[str, str] = field(default_factory=dict)


def kept_of(by: Membership) -> Kept:
    """Earlier answers, the latest winning."""
    kept = Kept()
    ids: dict[str, int] = {}
    for row in reversed(LogImport.objects.filter(by=by).order_by("-id")[:LATEST]):
        kept.columns.update(row.columns)
        ids.update(row.words)
    names = dict(Exercise.objects.filter(pk__in=ids.values()).values_list("pk", "name"))
    kept.words.update({word: names[pk] for word, pk in ids.items() if pk in names})
    return kept


@dataclass(frozen=True)
class ImportPage:
    """How far an import is, and what may be done with it."""

    row: LogImport
    is_undone: bool
    is_running: bool
    can_undo: bool


def import_page(row: LogImport, now: datetime) -> ImportPage:
    """Running as long as something is left and its worker gave a sign of life."""
    undone = bool(row.act and row.act.is_undone)
    alive = bool(row.waiting) and not row.problem and now - row.beat_at < SILENT
    return ImportPage(row, undone, alive, row.act is not None and not undone)
