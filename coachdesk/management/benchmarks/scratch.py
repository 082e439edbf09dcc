"""A scratch database to measure on, made by the database's own means, so that nobody's data change."""

import os
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from django.core.management import call_command
from django.db import DatabaseError, connection
from django.utils import timezone

from coachdesk.management.scratch import connected_to, leave
from coachdesk.management.seeding.people import seed_practice
from coachdesk.practice.models import Practice


class ScratchError(Exception):
    """No scratch database could be made; says why and what to do."""


@contextmanager
def scratch_database() -> Iterator[str]:
    """Everything inside happens on a scratch copy; gives words that say how it was made.

    SQLite: the backup API into a file in a temporary folder. PostgreSQL: CREATE DATABASE ... TEMPLATE, which needs
    everybody else to be gone. An empty database gives a scratch one with the demo practice. Raises ScratchError.
    """
    copies = _has_practice()
    made = _sqlite(copies) if connection.vendor == "sqlite" else _postgresql(copies)
    with made as words:
        call_command("migrate", verbosity=0, interactive=False)
        if not copies:
            for _ in seed_practice(now=timezone.now()):
                pass
        yield words if copies else "The database is empty: measured on a scratch one with the demo practice."


def _has_practice() -> bool:
    try:
        return Practice.objects.exists()
    except DatabaseError:
        return False  # never migrated


@contextmanager
def _sqlite(copies: bool) -> Iterator[str]:
    own = str(connection.settings_dict["NAME"])
    with tempfile.TemporaryDirectory(prefix="coachdesk-measure-") as folder:
        path = str(Path(folder) / "scratch.sqlite3")
        if copies:
            with closing(sqlite3.connect(own)) as source, closing(sqlite3.connect(path)) as target:
                source.backup(target)
        with connected_to(path):
            yield "Measured on a scratch copy made by SQLite's backup; your data stay as they are."


@contextmanager
def _postgresql(copies: bool) -> Iterator[str]:
    own = str(connection.settings_dict["NAME"])
    name = f"{own[:40]}_measure_{os.getpid()}"
    leave()
    template = f" TEMPLATE {connection.ops.quote_name(own)}" if copies else ""
    _elsewhere(f"CREATE DATABASE {connection.ops.quote_name(name)}{template}")
    try:
        with connected_to(name):
            yield "Measured on a scratch copy made by CREATE DATABASE ... TEMPLATE; your data stay as they are."
    finally:
        _elsewhere(f"DROP DATABASE IF EXISTS {connection.ops.quote_name(name)}")


def _elsewhere(statement: str) -> None:
    """Run a statement from the server's own database: one cannot copy or drop the one that one is in."""
    try:
        with connection._nodb_cursor() as cursor:
            cursor.execute("SET statement_timeout = 0")
            cursor.execute(statement)
    except DatabaseError as problem:
        raise ScratchError(
            f"PostgreSQL made no scratch copy: {str(problem).splitlines()[0]}. Stop the desk and whatever else is "
            "connected, and use a role that may create databases."
        ) from problem
