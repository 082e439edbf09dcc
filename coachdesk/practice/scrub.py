"""Leaving no trace of deleted rows in the database's own files."""

import logging

from django.db import DatabaseError, connection

from coachdesk.practice.turns import turn

log = logging.getLogger(__name__)


def scrub(*tables: str) -> bool:
    """Write the database anew without what was deleted; False when something stood against it, which is logged.

    SQLite: every page afresh, and the log file emptied. PostgreSQL: the room of dead rows of `tables` is given free;
    no query could read them before either. Inside a transaction neither can be done, and nothing is.
    """
    if connection.in_atomic_block:
        return False
    try:
        if connection.vendor == "sqlite":
            with turn():
                return _scrub_sqlite()
        with connection.cursor() as cursor:
            cursor.execute("VACUUM " + ", ".join(map(connection.ops.quote_name, tables)))
        return True
    except DatabaseError as problem:
        log.warning("The database could not be cleaned of what was erased: %s", type(problem).__name__)
        return False


def _scrub_sqlite() -> bool:
    with connection.cursor() as cursor:
        cursor.execute("VACUUM")
        # Old pages stand in the log until it is emptied, which waits for those who are reading.
        cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        busy = cursor.fetchone()[0]
    if busy:
        log.warning("The database's log could not be emptied: somebody was reading. It empties when the desk stops.")
    return not busy
