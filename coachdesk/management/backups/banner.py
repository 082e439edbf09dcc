"""What every page of a coach says about backups, when there is something to say."""

from datetime import datetime
from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.utils import timezone

from coachdesk.management.backups.make import backups_possible
from coachdesk.practice.models import Membership
from coachdesk.practice.selectors import backup_warning


def backup_context(request: HttpRequest) -> dict[str, Any]:
    """`backup_banner` for every template: None, or its words and whether this person may make one by a button.

    Asks the database nothing: what it needs came with the person who is signed in.
    """
    desk: Membership | None = getattr(request, "desk", None)
    return {"backup_banner": _banner(desk, timezone.now()) if desk is not None else None}


def _banner(desk: Membership, now: datetime) -> dict[str, Any] | None:
    words = backup_warning(desk, now) if desk.can_write and backups_possible() else ""
    if not words:
        return None
    return {"words": words, "button": desk.role == Membership.Role.OWNER and not settings.ENV.served}
