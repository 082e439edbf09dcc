"""What is in a database, asked in plain SQL so that it serves every connection: rows per table, migrations."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

Ask = Callable[[str], list[tuple[Any, ...]]]


@dataclass(frozen=True)
class Contents:
    """Rows per table, and migrations as 'app.name', both in order."""

    counts: dict[str, int]
    migrations: list[str]


def contents_of(ask: Ask, tables: Iterable[str]) -> Contents:
    """Count every row of these tables; a database without migrations gives none."""
    names = sorted(tables)
    counts = {name: int(ask(f'SELECT count(*) FROM "{name}"')[0][0]) for name in names}
    rows = ask("SELECT app, name FROM django_migrations") if "django_migrations" in counts else []
    return Contents(counts, sorted(f"{app}.{name}" for app, name in rows))
