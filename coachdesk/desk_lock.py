"""Who has the desk's home: every running desk holds it with others, a restore alone. Locks end with their process."""

import fcntl
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

NAME = "desk.lock"


class HomeTaken(OSError):
    """Somebody else holds it; says in words what to do."""

    def __init__(self, words: str) -> None:
        super().__init__(words)
        self.strerror = words


def hold_desk(home: Path) -> int:
    """Take the home together with other running desks, until this process ends. Raises HomeTaken during a restore."""
    return _take(home / NAME, fcntl.LOCK_SH, "a backup is being restored; start the desk when that is done")


@contextmanager
def desk_alone(home: Path) -> Iterator[None]:
    """The home with no desk running in it. Raises HomeTaken."""
    handle = _take(home / NAME, fcntl.LOCK_EX, "the desk is running; stop it first (Ctrl-C where it runs)")
    try:
        yield
    finally:
        os.close(handle)


@contextmanager
def one_at_a_time(path: Path, words: str) -> Iterator[None]:
    """Only one process or thread at a time is inside. Raises HomeTaken with these words."""
    handle = _take(path, fcntl.LOCK_EX, words)
    try:
        yield
    finally:
        os.close(handle)


def _take(path: Path, how: int, words: str) -> int:
    handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    try:
        fcntl.flock(handle, how | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(handle)
        raise HomeTaken(words) from None
    return handle
