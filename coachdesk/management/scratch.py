"""Working on another database for a while, in a process that does nothing else."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urlsplit, urlunsplit

from django.conf import settings
from django.db import connection


@contextmanager
def connected_to(name: str) -> Iterator[None]:
    """Django's connection leads to the database of this name. For commands: every thread would be led there."""
    leave()
    own, connection.settings_dict["NAME"] = connection.settings_dict["NAME"], name
    try:
        yield
    finally:
        leave()
        connection.settings_dict["NAME"] = own


@contextmanager
def empty_database(folder: Path) -> Iterator[tuple[str, str]]:
    """A new empty database of the desk's own kind: (its name, its DATABASE_URL). SQLite: a file in `folder`."""
    if connection.vendor == "sqlite":
        path = folder / "desk.sqlite3"
        yield str(path), f"sqlite:///{path}"
        return
    own, url = str(connection.settings_dict["NAME"]), urlsplit(settings.ENV.database_url)
    name = f"{own[:40]}_scratch_{os.getpid()}"
    _on_server(f"CREATE DATABASE {connection.ops.quote_name(name)} TEMPLATE template0 ENCODING 'UTF8'")
    try:
        yield name, urlunsplit(url._replace(path=f"/{name}"))
    finally:
        _on_server(f"DROP DATABASE IF EXISTS {connection.ops.quote_name(name)} WITH (FORCE)")


def _on_server(statement: str) -> None:
    with connection._nodb_cursor() as cursor:
        cursor.execute(statement)


def leave() -> None:
    """Close the connection, and the pool it came from."""
    connection.close()
    if hasattr(connection, "close_pool"):
        connection.close_pool()
