"""Taking turns at writing: one writer in this process at a time, and nobody waits without end."""

import threading
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager

from django.db import OperationalError

# As long as the database itself would wait for a lock.
WAIT_S = 20.0


class DeskBusy(OperationalError):
    """Another change took so long that this one's turn never came; nothing was changed."""


class Queue:
    """A lock that goes to whoever has waited longest; the thread that holds it may take it again inside.

    A lock of the library goes to whoever asks at the right moment: beside a thread that writes on and on another may
    never come to its turn.
    """

    def __init__(self) -> None:
        self._guard = threading.Lock()
        self._waiting: deque[tuple[int, threading.Event]] = deque()
        self._holder: int | None = None
        self._depth = 0

    def acquire(self, timeout: float) -> bool:
        """Whether the turn came within so many seconds."""
        me, come = threading.get_ident(), threading.Event()
        with self._guard:
            if self._holder in (None, me):
                self._holder, self._depth = me, self._depth + 1
                return True
            self._waiting.append((me, come))
        try:
            return come.wait(timeout) or self._withdraw(me, come)
        except BaseException:  # interrupted: nobody would give back a turn that came meanwhile
            if self._withdraw(me, come):
                self.release()
            raise

    def release(self) -> None:
        """Give the turn to whoever has waited longest."""
        with self._guard:
            self._depth -= 1
            if self._depth:
                return
            self._holder = None
            if self._waiting:
                self._holder, come = self._waiting.popleft()
                self._depth = 1
                come.set()

    def _withdraw(self, me: int, come: threading.Event) -> bool:
        """Wait no longer; whether the turn came at the last moment all the same."""
        with self._guard:
            if not come.is_set():
                self._waiting.remove((me, come))
            return come.is_set()


# SQLite lets one writer in at a time; waiting here is fair and silent, waiting in the database polls.
writer = Queue()


@contextmanager
def turn() -> Iterator[None]:
    """This writer's turn. Raises DeskBusy after WAIT_S seconds."""
    if not writer.acquire(timeout=WAIT_S):
        raise DeskBusy(f"the desk is busy with another change and was so for {WAIT_S:g} s; try again in a moment")
    try:
        yield
    finally:
        writer.release()
