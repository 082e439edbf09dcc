"""Answering whether a client's data stay, and setting after how many months the desk asks."""

from datetime import date, datetime, timedelta

from django.core.exceptions import PermissionDenied, ValidationError

from clients.models import Client, RetentionReview
from clients.selectors import today_for
from coachdesk.practice.models import Membership, Practice
from coachdesk.practice.tape import write

MOST_MONTHS = 240
LONGEST_KEPT = timedelta(days=3653)


def keep_client_data(*, by: Membership, client: Client, now: datetime, reason: str, again_on: date) -> RetentionReview:
    """Keep a client's data for a reason until the desk asks again on a day. ValidationError for a day out of range.

    The same answer given twice on one day is kept once.
    """
    today = today_for(by.practice, now)
    if not today < again_on <= today + LONGEST_KEPT:
        last = today + LONGEST_KEPT
        raise ValidationError(
            {"again_on": f"{again_on:%d %b %Y} cannot be the day to ask again; write one after today, to {last:%b %Y}."}
        )
    with write(f"Keep the data of {client.name}", by=by, subject=f"client:{client.pk}", at=now) as tape:
        latest = tape.lock(client).retention_reviews.order_by("-id").first()
        answer = {"reviewed_on": today, "reason": reason, "again_on": again_on}
        if latest is not None and all(getattr(latest, name) == value for name, value in answer.items()):
            return latest
        return tape.create(RetentionReview(client=client, reviewed_by=by, **answer))


def set_retention_months(*, by: Membership, now: datetime, months: int) -> Practice:
    """After how many months (1 to 240) the desk asks; the owner's to set. ValidationError, PermissionDenied."""
    if by.role != Membership.Role.OWNER:
        raise PermissionDenied("Only the owner of the practice can set this.")
    if not 1 <= months <= MOST_MONTHS:
        raise ValidationError({"months": f"{months} months are outside the range; write 1 to {MOST_MONTHS}."})
    with write(f"Ask about data after {months} months", by=by, at=now) as tape:
        row = tape.lock(by.practice)
        row.retention_months = months
        return tape.save(row)
