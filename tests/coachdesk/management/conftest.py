"""A database of a test's own, on either server, that it may damage, drop and restore."""

import os
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from psycopg import connect, sql

from coachdesk.management.backups.postgresql import address_of
from coachdesk.management.scratch import connected_to


def on_server(statement: str, *names: str) -> None:
    """Run a statement beside the databases it names."""
    with closing(connect(**address_of("template1"), autocommit=True)) as server:
        server.execute(sql.SQL(statement).format(*map(sql.Identifier, names)))


def _copy(home: Path) -> str:
    """A copy of the tests' empty tables: a file or a database."""
    own = str(connection.settings_dict["NAME"])
    connection.close()
    if connection.vendor == "sqlite":
        name = str(home / "desk.sqlite3")
        with connection.cursor() as cursor:
            cursor.execute("VACUUM INTO %s", [name])
        return name
    connection.close_pool()
    name = f"drill_{os.getpid()}"
    with closing(connect(**address_of("template1"), autocommit=True)) as server:
        # Tests with threads leave sessions behind; a database that is copied must have none.
        server.execute("SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s", [own])
    on_server("DROP DATABASE IF EXISTS {} WITH (FORCE)", name)
    on_server("CREATE DATABASE {} TEMPLATE {}", name, own)
    return name


@pytest.fixture
def own_database(transactional_db: None, tmp_path: Path, settings: Any) -> Iterator[str]:
    """Django's connection leads to it, and COACHDESK_HOME is the test's own folder."""
    settings.ENV = replace(settings.ENV, home=tmp_path)
    name = _copy(tmp_path)
    try:
        with connected_to(name):
            yield name
    finally:
        if connection.vendor == "postgresql":
            for left in [name, *_made_by(name)]:
                on_server("DROP DATABASE IF EXISTS {} WITH (FORCE)", left)


def _made_by(name: str) -> list[str]:
    with closing(connect(**address_of("template1"), autocommit=True)) as server:
        rows = server.execute("SELECT datname FROM pg_database WHERE datname LIKE %s", [f"{name}\\_%"])
        return [found for (found,) in rows.fetchall()]
