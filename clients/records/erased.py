"""The list of erased clients and revoked links outside the database: it outlives every backup, and only grows."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from uuid import UUID

from django.conf import settings

CLIENT, HEALTH, WORDS, LINK, KEPT = "client", "health", "words", "link", "kept"
KINDS = (CLIENT, HEALTH, WORDS, LINK, KEPT)


@dataclass(frozen=True)
class Erased:
    """One line: `what` went (client, health notes, words, link) and when. `uid` is the client's, or the link's key."""

    what: str
    uid: UUID
    at: datetime


def _path() -> Path:
    return Path(settings.ERASED_IDS)


@contextmanager
def noted(what: str, uid: UUID, at: datetime) -> Iterator[None]:
    """Write the line down first, and take it back when what follows fails: a line too many is mended by `kept`.

    A machine that dies between the line and the commit leaves a client that the next restore erases: it was confirmed.
    """
    add_line(what, uid, at)
    try:
        yield
    except BaseException:
        add_line(KEPT, uid, at)
        raise


def add_line(what: str, uid: UUID, at: datetime) -> None:
    """Add a line, on the disk before this returns. Raises OSError."""
    path = _path()
    new = not path.exists()
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    try:
        os.write(handle, f"{what} {uid} {at.isoformat()}\n".encode("ascii"))
        os.fsync(handle)
    finally:
        os.close(handle)
    if new:
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def erased() -> list[Erased]:
    """Every line that still holds, oldest first. A line cut off by a dying machine is passed over."""
    try:
        lines = _path().read_text(encoding="ascii", errors="replace").splitlines()
    except FileNotFoundError:
        return []
    held: list[Erased] = []
    for line in lines:
        one = _read(line)
        if one is not None and one.what == KEPT:
            held = [other for other in held if (other.uid, other.at) != (one.uid, one.at)]
        elif one is not None and one not in held:
            held.append(one)
    return held


def _read(line: str) -> Erased | None:
    try:
        what, uid, at = line.split()
        return Erased(what, UUID(uid), datetime.fromisoformat(at)) if what in KINDS else None
    except ValueError:
        return None
