"""SQLite: VACUUM INTO for a copy of one moment, a hard link and a rename to put one back."""

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from django.db import connection

from coachdesk.management.backups.archive import sync_folder
from coachdesk.management.backups.contents import Contents, contents_of
from coachdesk.management.backups.errors import BackupError
from coachdesk.management.scratch import connected_to

LOGS = ("-wal", "-shm", "-journal")
WAIT_S = 20


class SQLite:
    """The one file of an embedded desk."""

    kind, packed = "sqlite", False

    def __init__(self) -> None:
        self.path = Path(str(connection.settings_dict["NAME"]))

    @property
    def folder(self) -> Path:
        return self.path.parent

    def possible(self) -> str:
        return ""

    def version(self) -> str:
        return f"SQLite {sqlite3.sqlite_version}"

    def dump(self, into: Path) -> Contents:
        """VACUUM INTO reads under one snapshot, and leaves out what was deleted: free pages hold old words."""
        try:
            # Not Django's connection: this may run in a thread of a desk that goes on answering.
            with closing(sqlite3.connect(f"file:{_quoted(self.path)}?mode=rw", uri=True, timeout=WAIT_S)) as live:
                live.execute("VACUUM INTO ?", [str(into)])
            into.chmod(0o600)
            with closing(sqlite3.connect(into)) as copy:
                wrong = _damage(lambda sql: copy.execute(sql).fetchall())
                if wrong:
                    raise BackupError(f"No backup was made; the database is damaged: {wrong[0]}. {WAY_BACK}")
                return contents_of(lambda sql: copy.execute(sql).fetchall(), _tables(copy))
        except sqlite3.DatabaseError as problem:
            raise BackupError(f"No backup was made; SQLite says: {problem}. {WAY_BACK}") from problem

    @contextmanager
    def loaded(self, data: Path) -> Iterator[Callable[[str], str]]:
        try:
            with connected_to(str(data)):
                yield lambda stamp: self._take_place(data, stamp)
        finally:
            for end in LOGS:
                data.with_name(data.name + end).unlink(missing_ok=True)

    def damage(self) -> list[str]:
        with connection.cursor() as cursor:

            def ask(words: str) -> list[tuple[object, ...]]:
                cursor.execute(words)
                return cursor.fetchall()  # not of what execute gives: that one's errors are not Django's

            return _damage(ask)

    def refuse_if_used(self) -> None:
        """Only a connection that is alone can leave the write-ahead log."""
        if not self.path.exists() or not self.path.stat().st_size:
            return
        connection.close()
        with closing(sqlite3.connect(self.path, timeout=1, isolation_level=None)) as present:
            try:
                present.execute("PRAGMA journal_mode=DELETE")
            except sqlite3.OperationalError as problem:
                if "locked" in str(problem) or "busy" in str(problem):
                    raise BackupError(
                        "Somebody else has this database open. Stop the desk and whatever else uses it."
                    ) from problem
            except sqlite3.DatabaseError:
                pass  # too damaged to be opened at all: that is what a restore is for

    def _take_place(self, data: Path, stamp: str) -> str:
        """From here on the restored file is the database; at no moment is there none."""
        connection.close()
        with closing(sqlite3.connect(data, isolation_level=None)) as restored:
            restored.execute("PRAGMA journal_mode=DELETE")  # all of it in the one file
        self.refuse_if_used()
        aside = self.path.with_name(f"{self.path.stem}-before-{stamp}{self.path.suffix}")
        words = "There was no database before."
        if self.path.exists():
            os.link(self.path, aside)
            words = f"The database before it is kept as {aside.name}, beside it; delete it when you are content."
        for end in LOGS:
            # The log of a database too damaged to take it in: it must never be read into the restored one.
            log = self.path.with_name(self.path.name + end)
            if log.exists():
                log.rename(aside.with_name(aside.name + end))
        with data.open("rb") as file:
            os.fsync(file.fileno())
        os.replace(data, self.path)
        sync_folder(self.path.parent)
        return words


WAY_BACK = (
    "Stop the desk and put the newest good backup back: manage.py verify FILE checks one, manage.py restore FILE "
    "puts it in place and keeps the present database beside it."
)


def _quoted(path: Path) -> str:
    return str(path).replace("%", "%25").replace("?", "%3f").replace("#", "%23")


def _tables(copy: sqlite3.Connection) -> list[str]:
    rows = copy.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\'"
    )
    return [name for (name,) in rows]


def _damage(ask: Callable[[str], list[tuple[object, ...]]]) -> list[str]:
    found = [str(row[0]) for row in ask("PRAGMA integrity_check(20)") if row[0] != "ok"]
    orphans = [
        f"row {row[1]} of {row[0]} points at a missing row of {row[2]}" for row in ask("PRAGMA foreign_key_check")
    ]
    return found + orphans[:20]
