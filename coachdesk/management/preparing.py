"""One server at a time makes tables and fills an empty database that several servers share; the others wait for it."""

from collections.abc import Iterator
from contextlib import closing, contextmanager
from time import sleep

import psycopg
from django.db import connection

from coachdesk.management.backups.postgresql import address_of

# A number of the desk's own among PostgreSQL's advisory locks.
LOCK, LOOK_AGAIN_S = 7_263_224_811, 0.2


@contextmanager
def alone_at_preparing() -> Iterator[None]:
    """Wait until no other server prepares this database. On SQLite one file has one desk's lock already."""
    if connection.vendor != "postgresql":
        yield
        return
    # On a line of its own: filling a database takes longer than a page may wait for a lock.
    with closing(psycopg.connect(**address_of(str(connection.settings_dict["NAME"])), autocommit=True)) as line:
        while not line.execute("SELECT pg_try_advisory_lock(%s)", [LOCK]).fetchone()[0]:  # type: ignore[index]
            sleep(LOOK_AGAIN_S)
        yield
