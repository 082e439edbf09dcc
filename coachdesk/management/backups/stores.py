"""The two kinds of database behind one form: dump a live one, load a dump beside it, let it take the place."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Protocol

from django.db import connection

from coachdesk.management.backups.contents import Contents
from coachdesk.management.backups.postgresql import PostgreSQL
from coachdesk.management.backups.sqlite import SQLite


class Store(Protocol):
    """`packed`: its dumps are compressed. `folder`: where there is room beside the database for unpacking."""

    kind: str
    packed: bool

    @property
    def folder(self) -> Path: ...

    def possible(self) -> str:
        """'' or why no backup can be made from here."""

    def version(self) -> str:
        """The database's own name and version."""

    def dump(self, into: Path) -> Contents:
        """Write one moment of the live database into a file, without keeping writers waiting. Raises BackupError."""

    def loaded(self, data: Path) -> "AbstractContextManager[Callable[[str], str]]":
        """A scratch database made from the dump; Django's connection leads to it for as long as this lasts.

        Gives `take_place(stamp)`, which puts it where the present one is and says in words where that one went.
        """

    def damage(self) -> list[str]:
        """What is wrong with the database that Django's connection leads to, below the level of rows."""

    def refuse_if_used(self) -> None:
        """Raises BackupError while anybody else is connected to the present database."""


def store() -> Store:
    """The kind of database this desk keeps its data in."""
    return SQLite() if connection.vendor == "sqlite" else PostgreSQL()
