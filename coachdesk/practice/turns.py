"""Taking turns at writing: one writer in this process at a time, and nobody waits without end."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from django.db import OperationalError

# SQLite lets one writer in at a time; waiting here is fair and silent, waiting in the database polls.
writer = threading.RLock()
# As long as the database itself would wait for a lock.
WAIT_S = 20.0


class DeskBusy(OperationalError):
    """Another change took so long that this one's turn never came; nothing was changed."""


@contextmanager
def turn() -> Iterator[None]:
    """This writer's turn. Raises DeskBusy after WAIT_S seconds."""
    if not writer.acquire(timeout=WAIT_S):
        raise DeskBusy(f"the desk is busy with another change and was so for {WAIT_S:g} s; try again in a moment")
    try:
        yield
    finally:
        writer.release()
