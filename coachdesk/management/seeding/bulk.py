"""Ways to insert many rows at once: checked, with their ids or without; or poured in, made of checked ones."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from functools import cache
from typing import Any, TypeVar
from uuid import UUID

from django.db import DEFAULT_DB_ALIAS, connection, connections, models

Row = TypeVar("Row", bound=models.Model)
BATCH = 500
PLAIN = {bool, float, int, str}
Values = list[Any]


def insert(rows: Iterable[Row]) -> list[Row]:
    """Check each row's own columns and insert all of them; gives them back with their ids. ValidationError.

    Checked because SQLite stores what PostgreSQL refuses. Links, uniqueness and constraints are left to the database,
    which checks them anyway.
    """
    made = _checked(rows)
    return type(made[0])._default_manager.bulk_create(made, batch_size=BATCH) if made else []


def insert_many(rows: Iterable[Row]) -> None:
    """As `insert`, several times as fast, of rows whose ids nobody asks for; what they link to is inserted already."""
    made = _checked(rows)
    if not made:
        return
    links = [field for field in columns_of(type(made[0])) if isinstance(field, models.ForeignKey)]
    for row in made:
        for field in links:
            if field.is_cached(row) and (other := field.get_cached_value(row)) is not None:
                setattr(row, field.attname, other.pk)  # it had none when the row was made
    pour(type(made[0]), (ready(row) for row in made))


def _checked(rows: Iterable[Row]) -> list[Row]:
    made = list(rows)
    for row in made:
        row.clean_fields(exclude=_links(type(row)))
    return made


@cache
def _links(model: type[models.Model]) -> set[str]:
    return {field.name for field in model._meta.concrete_fields if field.is_relation or field.primary_key}


@cache
def columns_of(model: type[models.Model]) -> list[models.Field[Any, Any]]:
    """The columns that `ready` and `pour` speak of, in their order: all but the database's own id."""
    return [field for field in model._meta.concrete_fields if not field.primary_key]


def ready(row: models.Model) -> Values:
    """A row's values as the database in use takes them, in the order of `columns_of`."""
    values, database = row.__dict__, connections[DEFAULT_DB_ALIAS]
    # Both databases take plain values as they are; asking the field costs more than all else for millions of rows.
    return [
        value if (value := values[field.attname]) is None or type(value) in PLAIN
        else field.get_db_prep_save(value, database)
        for field in columns_of(type(row))
    ]  # fmt: skip


@cache
def places_of(model: type[models.Model]) -> dict[str, int]:
    """Where a field's value stands among those of `ready`, by its name."""
    return {field.attname: n for n, field in enumerate(columns_of(model))}


def changed(model: type[models.Model], rows: Iterable[Values], **values: date | datetime | UUID | int) -> list[Values]:
    """Copies of `ready` rows with these values instead."""
    columns, places = columns_of(model), places_of(model)
    database = connections[DEFAULT_DB_ALIAS]
    new = [(places[name], columns[places[name]].get_db_prep_save(value, database)) for name, value in values.items()]
    made = [row.copy() for row in rows]
    for row in made:
        for place, value in new:
            row[place] = value
    return made


def pour(model: type[models.Model], rows: Iterable[Sequence[Any]]) -> None:
    """Insert rows of `ready` values without checks and without giving their ids: copies of rows that were checked.

    Some ten times as fast as `insert`: one statement for all on SQLite, COPY on PostgreSQL.
    """
    columns = [field.column for field in columns_of(model)]
    names = ", ".join(f'"{column}"' for column in columns)
    table = model._meta.db_table
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            with cursor.copy(f'COPY "{table}" ({names}) FROM STDIN') as copy:
                for row in rows:
                    copy.write_row(row)
        else:
            marks = ", ".join(["%s"] * len(columns))
            cursor.executemany(f'INSERT INTO "{table}" ({names}) VALUES ({marks})', list(rows))


@contextmanager
def links_checked_at_the_end(tables: Iterable[type[models.Model]]) -> Iterator[None]:
    """Inside a transaction: PostgreSQL checks the links of these tables at the end, with one join for each.

    It would look every link of every row up by itself as the transaction ends: minutes for millions of rows, and as
    much memory as they need to wait for it. SQLite does so at once and fast.
    """
    names = [model._meta.db_table for model in tables] if connection.vendor == "postgresql" else []
    found: list[tuple[str, str, str]] = []
    with connection.cursor() as cursor:
        if names:
            cursor.execute(
                "SELECT conrelid::regclass::text, quote_ident(conname), pg_get_constraintdef(oid) FROM pg_constraint "
                "WHERE contype = 'f' AND conrelid = ANY(%s::regclass[]) ORDER BY conname", [names],
            )  # fmt: skip
            found = cursor.fetchall()
        with _no_link_waits(cursor, found):
            for table, name, _ in found:
                cursor.execute(f"ALTER TABLE {table} DROP CONSTRAINT {name}")
    yield
    with connection.cursor() as cursor, _no_link_waits(cursor, found):
        for table, name, definition in found:
            cursor.execute(f"ALTER TABLE {table} ADD CONSTRAINT {name} {definition}")


@contextmanager
def _no_link_waits(cursor: Any, found: Sequence[Any]) -> Iterator[None]:
    """No table is altered while links to or from it wait to be looked up; a join of millions may take its time."""
    if found:
        cursor.execute("SET LOCAL statement_timeout = 0")
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    yield
    if found:
        cursor.execute("SET CONSTRAINTS ALL DEFERRED")
