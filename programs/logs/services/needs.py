"""Keeping the roster's rows: marked in the transaction that changes what they follow from, worked out after it.

A mark costs one statement, and working a row out many milliseconds: done inside every write, it would keep other
writers waiting. So a reader brings the few rows that were marked up to date, and many at once (a new day, a rule for
everyone) are worked out behind the page.
"""

import logging
from collections.abc import Iterable, Mapping
from datetime import date
from time import perf_counter

from django.db import DatabaseError
from django.db.models import Q
from django.utils import timezone

from clients.models import Client
from clients.selectors import today_for
from clients.services.consent import with_health_erasure
from coachdesk.practice.behind import let_others, work_behind
from coachdesk.practice.models import Membership, Practice
from coachdesk.practice.selectors import visible_coaches
from coachdesk.practice.tape import Gone, write
from programs.logs.models import ClientNeed
from programs.logs.selectors.needs import behind, worked_out

log = logging.getLogger(__name__)
# Rows worked out at once behind the page, and before a page is shown.
CHUNK, AT_ONCE = 10, 8
_working: set[int] = set()


def refresh_needs(practice: Practice, clients: Iterable[int], today: date) -> None:
    """Work these clients' rows out for the day, and keep them unless they were marked again meanwhile."""
    ids = list(clients)
    if not ids:
        return
    begin_needs(practice, ids)
    rows = Client.objects.filter(pk__in=ids).select_related("coach__user", "place", "practice")
    # Read before what the rows follow from: a mark that comes later is seen to be newer.
    marks = dict(ClientNeed.objects.filter(client__in=ids).values_list("client", "marked"))
    keep_needs(practice, worked_out(list(rows), today), marks)


def begin_needs(practice: Practice, clients: Iterable[int]) -> None:
    """A row to mark for each of these clients that has none; worked out from nothing later, it would miss marks."""
    ids = set(clients)
    ids -= set(ClientNeed.objects.filter(client__in=ids).values_list("client", flat=True))
    if ids:
        with write("Bring the roster up to date", practice=practice):
            ClientNeed.objects.bulk_create([ClientNeed(client_id=pk) for pk in sorted(ids)], ignore_conflicts=True)


def keep_needs(practice: Practice, made: Mapping[int, ClientNeed], marks: Mapping[int, int]) -> None:
    """Keep what was worked out, by client, where the row still carries the mark it carried before."""
    with write("Bring the roster up to date", practice=practice):
        rows = ClientNeed.objects.select_for_update().filter(client__in=made).order_by("pk")
        fresh = [_taken_over(row, made[row.client_id]) for row in rows if marks.get(row.client_id) == row.marked]
        ClientNeed.objects.bulk_update(fresh, [*FIELDS, "worked"])


FIELDS = ("on", "score", "codes", "muscles", "precautions", "origin", "ends_on", "last_on", "value")


def _taken_over(row: ClientNeed, made: ClientNeed) -> ClientNeed:
    for name in FIELDS:
        setattr(row, name, getattr(made, name))
    row.worked = row.marked
    return row


def bring_up_to_date(desk: Membership, today: date) -> None:
    """Before a member looks at the roster: a few rows that are behind at once, many behind the page."""
    ids = list(behind(visible_coaches(desk), today)[: AT_ONCE + 1])
    try:
        if len(ids) <= AT_ONCE:
            refresh_needs(desk.practice, ids, today)
        elif desk.practice_id not in _working:
            work_behind(_run, desk.practice_id, name="roster")
    except (Gone, DatabaseError) as problem:  # a page must not fail because writing does: what stands is shown
        log.warning("the roster was not brought up to date: %s", type(problem).__name__)


def _run(practice_id: int) -> None:
    """Until no row of the practice is behind; another thread of this process leaves it to this one."""
    if practice_id in _working:
        return
    _working.add(practice_id)
    try:
        practice = Practice.objects.get(pk=practice_id)
        today, tried = today_for(practice, timezone.now()), set[int]()
        while ids := [pk for pk in behind(Q(practice=practice), today) if pk not in tried][:CHUNK]:
            began = perf_counter()
            # Once each: a client whose rows cannot be worked out, or are marked again and again, ends nothing.
            tried.update(ids)
            _refresh_or_skip(practice, ids, today)
            let_others(perf_counter() - began)
    finally:
        _working.discard(practice_id)


def _refresh_or_skip(practice: Practice, ids: list[int], today: date) -> None:
    """All of them; where one cannot be worked out, the others one by one."""
    try:
        refresh_needs(practice, ids, today)
    except Exception as problem:
        if len(ids) == 1:
            # Its type alone: what it says may name what was logged.
            log.error("client %s could not be worked out for the roster: %s", ids[0], type(problem).__name__)
            return
        for pk in ids:
            _refresh_or_skip(practice, [pk], today)


def _forget(client: Client) -> None:
    ClientNeed.objects.filter(client=client).delete()


with_health_erasure(_forget)
