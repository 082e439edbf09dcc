"""Reading runs of sheets: whose, how far, which sheets their file holds, and what each client has planned in a week."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import QuerySet

from clients.models import Client
from clients.selectors import visible_clients
from coachdesk.practice.models import Membership
from programs.models import IssuedSheet, PlannedSession, RunSheet, SheetRun
from programs.selectors.programs import planned_days

LATEST = 8


def visible_sheet_runs(desk: Membership) -> QuerySet[SheetRun]:
    """One's own; the owner sees all of the practice."""
    rows = SheetRun.objects.filter(practice_id=desk.practice_id)
    if desk.role != Membership.Role.OWNER:
        rows = rows.filter(by=desk)
    return rows.select_related("by__user", "by__practice", "practice", "act")


def latest_runs(desk: Membership) -> QuerySet[SheetRun]:
    """The latest of one's own, newest first."""
    return visible_sheet_runs(desk).filter(by=desk).order_by("-id")[:LATEST]


@dataclass(frozen=True)
class RunProgress:
    """How far a run is; `left_out` are those that get no sheet, with their reason."""

    total: int
    waiting: int
    ready: int
    left_out: list[RunSheet]

    @property
    def handled(self) -> int:
        return self.total - self.waiting


def run_progress(run: SheetRun, desk: Membership) -> RunProgress:
    """Counts of a run's rows; clients this member no longer sees are counted and not named."""
    rows = list(run.rows.order_by("position").values_list("pk", "waiting", "sheet", "left_out"))
    said = [pk for pk, waiting, _, why in rows if not waiting and why]
    named = run.rows.filter(pk__in=said, client__in=visible_clients(desk)).select_related("client", "planned_session")
    return RunProgress(
        total=len(rows), waiting=sum(1 for row in rows if row[1]), ready=sum(1 for row in rows if row[2]),
        left_out=list(named.order_by("position")),
    )  # fmt: skip


def run_sheets(run: SheetRun, desk: Membership) -> list[IssuedSheet]:
    """The sheets of a run's file in order; those of clients this member no longer sees are not in it."""
    rows = run.rows.filter(sheet__isnull=False, client__in=visible_clients(desk)).order_by("position")
    found = {row.pk: row for row in IssuedSheet.objects.filter(pk__in=rows.values("sheet"))}
    return [found[pk] for pk in rows.values_list("sheet", flat=True) if pk in found]


@dataclass(frozen=True)
class ClientWeek:
    """A client and what is planned from a day to the end of its week, in order."""

    client: Client
    sessions: tuple[tuple[date, PlannedSession], ...]


def client_weeks(clients: Sequence[Client], since: date) -> list[ClientWeek]:
    """What each has planned from `since` to the Sunday of its week, by name; two queries."""
    found: dict[int, list[tuple[date, PlannedSession]]] = {}
    for client_id, on, row in planned_days(clients, since, since + timedelta(days=6 - since.weekday())):
        found.setdefault(client_id, []).append((on, row))
    return [ClientWeek(one, tuple(found.get(one.pk, ()))) for one in sorted(clients, key=lambda c: (c.folded, c.pk))]
