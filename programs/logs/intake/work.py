"""What follows from an import, worked out piece by piece: each short enough that others write in between."""

import logging
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from functools import partial
from time import perf_counter
from typing import Any

from django.db import transaction
from django.utils import timezone

from clients.models import Client
from coachdesk.practice.behind import let_others, work_behind
from coachdesk.practice.tape import Tape, write
from programs.logs.intake.plan import Line
from programs.logs.models import LogImport, SessionLog
from programs.logs.services.derive import monday_of, refresh_observations, refresh_weeks
from programs.logs.services.facts import refresh_facts
from programs.services import refresh_estimates

log = logging.getLogger(__name__)
# Days whose sums are worked out in one transaction.
PIECE = 28
Work = list[list[Any]]


def pieces_of(lines: Sequence[Line]) -> Work:
    """The pieces that follow from these sets."""
    days: dict[int, set[date]] = {}
    for line in lines:
        days.setdefault(line.client.pk, set()).add(line.done_on)
    return pieces_by_client(days)


def pieces_by_client(days: Mapping[int, set[date]]) -> Work:
    """By client: the days a few at a time, then once what is drawn from all of them."""
    made: Work = []
    for client in sorted(days):
        mine = sorted(day.isoformat() for day in days[client])
        made += [[client, mine[start : start + PIECE]] for start in range(0, len(mine), PIECE)]
        made.append([client, []])
    return made


def work_on(*, log_import: LogImport, now: datetime) -> LogImport:
    """Work out the next piece of what follows from an import, in one transaction. The import as it stands after it."""
    with write("Work out what follows from an import", practice=log_import.practice, at=now) as tape:
        row = LogImport.objects.select_for_update().get(pk=log_import.pk)
        if row.waiting:
            client, days = row.waiting[0]
            _follow(tape, client, [date.fromisoformat(day) for day in days])
            row.waiting, row.beat_at, row.problem = row.waiting[1:], now, ""
            row.save(update_fields=["waiting", "beat_at", "problem"])
    return row


def _follow(tape: Tape, client_id: int, days: Sequence[date]) -> None:
    client = Client.objects.filter(pk=client_id).first()
    if client is None:
        return
    tape.lock(client)
    if not days:
        refresh_estimates(client_id)
        refresh_facts(client_id)
        return
    refresh_weeks(client_id, {monday_of(day) for day in days})
    logs = SessionLog.objects.filter(client=client_id, done_on__in=days)
    logs = logs.select_related("sheet", "client", "planned_session")
    for log in logs.order_by("id"):
        refresh_observations(log)


def note_problem(*, log_import: LogImport, problem: str, now: datetime) -> None:
    """Note that the work behind an import stopped by itself, and why; it can be gone on with."""
    with write("How far an import is", practice=log_import.practice, at=now):
        LogImport.objects.filter(pk=log_import.pk).update(problem=problem[:300], beat_at=now)


def begin_later(log_import: LogImport) -> None:
    """Begin behind the page once the transaction that is open now is committed."""
    transaction.on_commit(partial(begin, log_import.pk))


def begin(pk: int) -> None:
    """Work on it behind the page; in the foreground where settings say so."""
    work_behind(run, pk, name="log-import")


def run(pk: int) -> None:
    """Until nothing is left. What goes wrong is noted on the import, for somebody to go on."""
    row = LogImport.objects.select_related("practice").get(pk=pk)
    try:
        while row.waiting:
            began = perf_counter()
            row = work_on(log_import=row, now=timezone.now())
            let_others(perf_counter() - began)
    except Exception as problem:  # noted, so that the page can say it and offer to go on
        log.exception("What follows from import %s stopped", pk)
        note_problem(log_import=row, problem=type(problem).__name__, now=timezone.now())
