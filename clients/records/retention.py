"""Whose data lie past the practice's months without a session, so that the coach says whether they stay.

Nothing here deletes. The months stand on the practice and not among the house rules: those are the engine's, about
training, and a client may have their own; this is one office rule for everyone.
"""

import calendar
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db import models
from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Value

from clients.models import Client, RetentionReview
from clients.selectors import today_for, visible_clients, zone_of
from coachdesk.practice.models import Change, Membership

MOST_ROWS = 200
# Told by the app above: the kind of row with a `client`, and its date column, that say when a client was seen.
_seen: list[tuple[type[models.Model], str]] = []


@dataclass(frozen=True)
class RetentionRow:
    """A client to be asked about: the day that counts (None: not known), what it was, and the last answer if any."""

    client: Client
    on: date | None
    what: str
    kept_on: date | None
    kept_for: str | None


def with_last_seen(model: type[models.Model], column: str) -> None:
    """Register rows with a `client` and a date; the latest is the day a client was last seen."""
    _seen.append((model, column))


def months_before(day: date, months: int) -> date:
    """The same day so many months before, or the last of that month where it has no such day."""
    year, month = divmod(12 * day.year + day.month - 1 - months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def due_clients(desk: Membership, now: datetime) -> "QuerySet[Any]":
    """Clients of this member, archived ones too, past the months and not kept until a later day, by name."""
    practice, today = desk.practice, today_for(desk.practice, now)
    last = months_before(today, practice.retention_months)
    ends_at = datetime.combine(last + timedelta(days=1), time.min, zone_of(practice))
    unseen = Q(seen_on=None)
    # One whom the tape does not know is asked about: silence would keep the data for ever.
    made = Q(archived_on=None) & (Q(made_at=None) | Q(made_at__lt=ends_at))
    past = Q(seen_on__lte=last) | (unseen & (Q(archived_on__lte=last) | made))
    return _dated(visible_clients(desk)).filter(past).filter(Q(again_on=None) | Q(again_on__lte=today))


def anybody_due(desk: Membership, now: datetime) -> bool:
    """Whether there is anybody this member has to answer for; one query, none for an assistant."""
    return desk.can_write and due_clients(desk, now).order_by().exists()


def retention_rows(desk: Membership, now: datetime) -> list[RetentionRow]:
    """The first 200 to be asked about, by name."""
    return [_row(client, desk) for client in due_clients(desk, now)[:MOST_ROWS]]


def retention_review(client: Client) -> RetentionReview | None:
    """The latest answer that a client's data stay, or None."""
    return client.retention_reviews.select_related("reviewed_by__user").order_by("-id").first()


def _dated(clients: "QuerySet[Client]") -> "QuerySet[Any]":
    of = OuterRef("pk")
    born = Change.objects.filter(model=Client._meta.label_lower, row=of, before__isnull=True).order_by("id")
    answers = RetentionReview.objects.filter(client=of).order_by("-id")
    return clients.annotate(
        seen_on=_latest_day(of),
        made_at=Subquery(born.values("act__at")[:1]),
        again_on=Subquery(answers.values("again_on")[:1]),
        kept_on=Subquery(answers.values("reviewed_on")[:1]),
        kept_for=Subquery(answers.values("reason")[:1]),
    )


def _latest_day(of: OuterRef) -> Any:
    for model, column in _seen:
        rows = model._default_manager.filter(client=of).order_by(F(column).desc())
        return Subquery(rows.values(column)[:1])
    return Value(None, output_field=models.DateField())


def _row(client: Any, desk: Membership) -> RetentionRow:
    made_on = client.made_at and client.made_at.astimezone(zone_of(desk.practice)).date()
    days = ((client.seen_on, "last session"), (client.archived_on, "archived"), (made_on, "added"))
    on, what = next(((day, words) for day, words in days if day), (None, "not known"))
    return RetentionRow(client, on, what, client.kept_on, client.kept_for)
