"""Reading session logs: who may see them, a client's list, a sheet's logs."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from clients.models import Client
from clients.selectors import visible_clients
from coachdesk.practice.models import Membership
from programs.logs.models import PhoneEntry, SessionLog, SetLog
from programs.logs.selectors.plan_gaps import unseen_logs
from programs.models import IssuedSheet

PAGE = 25


def visible_session_logs(desk: Membership) -> QuerySet[SessionLog]:
    """Session logs of visible clients; `has_aside`: whether something from the phone was kept aside."""
    clients = visible_clients(desk).order_by().values("pk")
    rows = with_aside(SessionLog.objects.filter(client__in=clients))
    return rows.select_related(
        "client__place",
        "client__practice",
        "client__coach__user",
        "sheet__planned_session__block",
        "planned_session",
        "place",
        "usual_place",
        "plan_gap__seen_by__user",
    )


def with_aside(rows: QuerySet[SessionLog]) -> QuerySet[SessionLog]:
    """Session logs that know whether something from the phone was kept aside, so that most pages need not look."""
    aside = PhoneEntry.objects.filter(sheet=OuterRef("sheet")).exclude(aside="")
    return rows.annotate(has_aside=Exists(aside))


def visible_set_logs(desk: Membership) -> QuerySet[SetLog]:
    """Set logs of visible clients."""
    clients = visible_clients(desk).order_by().values("pk")
    rows = SetLog.objects.filter(client__in=clients)
    return rows.select_related(
        "exercise", "session_log__sheet", "session_log__planned_session", "session_log__client__practice"
    )


def logs_of_sheet(sheet: IssuedSheet) -> list[SessionLog]:
    """What was logged from this sheet, newest first."""
    return list(sheet.logs.order_by("-done_on", "-id"))


def log_by_key(client: Client, key: UUID) -> SessionLog | None:
    """The session log this key stands for."""
    return SessionLog.objects.filter(client=client, key=key).first()


@dataclass(frozen=True)
class SessionsPage:
    """One page of a client's sessions, newest first; the sheets that wait for a log; sessions logged from a sheet
    that the plan had left, which no coach has seen.
    """

    logs: Sequence[SessionLog]
    waiting: Sequence[IssuedSheet]
    older_than: int | None
    plan_left: Sequence[SessionLog] = ()


def sessions_page(client: Client, *, before: int | None = None, limit: int = PAGE) -> SessionsPage:
    """Up to `limit` session logs behind the one with id `before`; an id not in the list begins at its start."""
    rows = client.session_logs.select_related("planned_session", "sheet", "place").annotate(set_count=Count("sets"))
    last = client.session_logs.filter(pk=before).first() if before else None
    if last is not None:
        rows = rows.filter(Q(done_on__lt=last.done_on) | Q(done_on=last.done_on, pk__lt=last.pk))
    found = list(rows.order_by("-done_on", "-id")[: limit + 1])
    waiting = client.sheets.filter(logs=None).order_by("-for_on", "-id")[:10] if last is None else []
    left = unseen_logs(client) if last is None else []
    return SessionsPage(found[:limit], list(waiting), found[limit - 1].pk if len(found) > limit else None, left)


def exercises_of(session_log: SessionLog) -> set[int]:
    """Ids of the exercises of which sets were done."""
    return set(session_log.sets.values_list("exercise_id", flat=True))
