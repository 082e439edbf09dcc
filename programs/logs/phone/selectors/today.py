"""What a client has to do: today's session, those to come and those left behind, and what is saved."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import QuerySet

from clients.models import Client
from programs.logs.models import ClientMessage, SessionLog
from programs.models import IssuedSheet
from programs.selectors import planned_days

BEHIND, AHEAD, SAVED = 7, 7, 5
MESSAGES = 5


@dataclass(frozen=True)
class Visit:
    """One session on its day: the sheet to follow if it was handed out, and how far its log is."""

    on: date
    title: str
    sheet: IssuedSheet | None
    log: SessionLog | None = None
    sets: int = 0

    @property
    def state(self) -> str:
        """'done', 'begun', 'skipped', or '' where nothing was logged."""
        if self.log is None:
            return ""
        if self.log.status == SessionLog.Status.SKIPPED:
            return "skipped"
        total = sum(len(one["steps"]) for one in self.sheet.body["exercises"]) if self.sheet else 0
        return "done" if self.log.rating is not None or self.sets >= total else "begun"


@dataclass(frozen=True)
class Today:
    """The first page: what is to do by day, and what was done or skipped lately, newest first."""

    today: date
    due: Sequence[Visit]
    coming: Sequence[Visit]
    behind: Sequence[Visit]
    saved: Sequence[Visit]
    messages: Sequence[ClientMessage]


def sheets_of(client: Client) -> QuerySet[IssuedSheet]:
    """A client's sheets, with the planned session and its place."""
    rows = IssuedSheet.objects.filter(client=client).order_by("-id")
    return rows.select_related("planned_session__place", "planned_session__block__program")


def today_page(client: Client, today: date) -> Today:
    """Everything the first page shows; a fixed number of queries."""
    since, until = today - timedelta(days=BEHIND), today + timedelta(days=AHEAD)
    plans = [(on, row) for _, on, row in planned_days([client], since, until)]
    sheets = list(sheets_of(client).filter(planned_session__in=[row.pk for _, row in plans]))
    logs = _logs(client, sheets)
    visits = [_visit(on, row.name, [s for s in sheets if s.planned_session_id == row.pk], logs) for on, row in plans]
    open_ones = [one for one in visits if one.state in ("", "begun")]
    return Today(
        today=today, due=[one for one in open_ones if one.on == today],
        coming=[one for one in open_ones if one.on > today],
        behind=[one for one in reversed(open_ones) if one.on < today and one.sheet], saved=_saved(client),
        messages=list(client.messages.select_related("answered_by__user").order_by("-id")[:MESSAGES]),
    )  # fmt: skip


def _logs(client: Client, sheets: Sequence[IssuedSheet]) -> dict[int, tuple[SessionLog, int]]:
    """The latest log of each sheet with the number of its sets."""
    rows = SessionLog.objects.filter(client=client, sheet__in=[row.pk for row in sheets]).order_by("id")
    found = list(rows.prefetch_related("sets"))
    return {row.sheet_id: (row, len(row.sets.all())) for row in found if row.sheet_id}


def _visit(
    on: date, name: str, sheets: Sequence[IssuedSheet], logs: dict[int, tuple[SessionLog, int]]
) -> Visit:  # fmt: skip
    """A session was perhaps handed out more than once: the sheet that was begun counts, else the newest."""
    sheet = next((one for one in sheets if one.pk in logs), sheets[0] if sheets else None)
    log, sets = logs.get(sheet.pk, (None, 0)) if sheet else (None, 0)
    return Visit(on, sheet.body["title"] if sheet else name, sheet, log, sets)


def _saved(client: Client) -> list[Visit]:
    rows = client.session_logs.select_related("sheet").prefetch_related("sets").order_by("-done_on", "-id")[:SAVED]
    return [Visit(row.done_on, row.title, row.sheet, row, len(row.sets.all())) for row in rows]
