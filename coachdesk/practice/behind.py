"""Long work behind the page that began it: a thread of this process, with others' turns in between."""

import threading
from collections.abc import Callable
from time import sleep

from django.conf import settings
from django.db import connections

# Between two pieces everybody else's turn.
PAUSE_S, PAUSE_SHARE = 0.02, 0.25


def work_behind(run: Callable[[int], None], pk: int, *, name: str) -> None:
    """`run(pk)` behind the page; in the foreground where settings say so."""
    if not settings.WORK_BEHIND_PAGES:
        run(pk)
        return
    threading.Thread(target=_run_and_close, args=(run, pk), name=f"{name}-{pk}", daemon=True).start()


def let_others(took_s: float) -> None:
    """Wait after a piece that took so long; not in the foreground, where nobody else writes."""
    if settings.WORK_BEHIND_PAGES:
        sleep(max(PAUSE_S, PAUSE_SHARE * took_s))


def _run_and_close(run: Callable[[int], None], pk: int) -> None:
    try:
        run(pk)
    finally:
        # A thread's connection is its own; nobody else would close it.
        connections.close_all()
