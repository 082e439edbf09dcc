"""Working on another database for a while, in a process that does nothing else."""

from collections.abc import Iterator
from contextlib import contextmanager

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


def leave() -> None:
    """Close the connection, and the pool it came from."""
    connection.close()
    if hasattr(connection, "close_pool"):
        connection.close_pool()
