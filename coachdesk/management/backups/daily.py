"""A running desk with its own file makes a backup every day by itself, beside the pages and never inside one."""

import logging
import threading
from datetime import datetime, timedelta

from django.db import DatabaseError, connection
from django.utils import timezone

from coachdesk.management.backups.errors import BackupError
from coachdesk.management.backups.make import make_backup
from coachdesk.practice.selectors import last_backup_at

EVERY = timedelta(hours=24)
FIRST_LOOK_S, LOOK_S = 60.0, 900.0
log = logging.getLogger(__name__)


def keep_daily(over: threading.Event, *, first: float = FIRST_LOOK_S, then: float = LOOK_S) -> threading.Thread:
    """Look now and then, until `over`, whether a backup is due, and make it."""
    thread = threading.Thread(target=_look, args=(over, first, then), name="daily-backup", daemon=True)
    thread.start()
    return thread


def _look(over: threading.Event, first: float, then: float) -> None:
    wait = first
    while not over.wait(wait):
        make_if_due(timezone.now())
        connection.close()
        wait = then


def make_if_due(now: datetime) -> bool:
    """A backup when the last is a day old, or dated in the future by a clock that was set back since."""
    try:
        last = last_backup_at()
        if last is not None and now - EVERY < last <= now:
            return False
        log.info("daily backup %s", make_backup(now=now))
    except (BackupError, DatabaseError) as problem:
        # Pages say it too, from the 26th hour on.
        log.warning("daily backup: %s", problem)
        return False
    return True
