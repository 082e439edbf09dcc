"""Every row of ours by whose it is, read off the models and the tables themselves; whose rows a statement writes."""

import re
from collections import defaultdict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from django.apps import apps
from django.db import connection, models

from clients.models import Client
from clients.records.belongings import Belonging, belongings
from tests.faults.machinery import OURS, everything

# client id (None: nobody's own) -> table -> rows, each with its id first.
Owned = dict[int | None, dict[str, list[tuple[Any, ...]]]]


def columns_of(model: type[models.Model]) -> list[str]:
    """The table's columns as the database orders them, which is not always the model's order."""
    with connection.cursor() as cursor:
        return [one.name for one in connection.introspection.get_table_description(cursor, model._meta.db_table)]


class Owners:
    """Whose each row is: by the foreign keys that delete with a client, followed up from the rows themselves."""

    def __init__(self) -> None:
        self.columns = {one._meta.db_table: columns_of(one) for one in apps.get_models()}

    def rows(self) -> Owned:
        """The whole database as it stands."""
        found = everything()
        owner: dict[type[models.Model], dict[int, int | None]] = {}
        owned: Owned = defaultdict(lambda: defaultdict(list))
        for one in belongings():
            owner[one.model] = {}
            for row in found.pop(one.model._meta.db_table):
                whose = self._whose(one, row, owner)
                owner[one.model][row[0]] = whose
                owned[whose][one.model._meta.db_table].append(row)
        for table, rows in found.items():
            owned[None][table] = rows
        self.known = owner
        return owned

    def _whose(self, one: Belonging, row: tuple[Any, ...], owner: dict[type[models.Model], Any]) -> int | None:
        columns = self.columns[one.model._meta.db_table]
        assert columns[0] == "id"
        if one.model is Client:
            return int(row[0])
        for column, parent in one.parents:
            above = row[columns.index(column)]
            if above is not None and (whose := owner[parent].get(above)) is not None:
                return whose
        return None


WRITES = re.compile(r'^(INSERT(?: OR IGNORE)? INTO|UPDATE|DELETE FROM) "(\w+)"')
# The tape and the sign-in's own rows are the practice's.
SHARED = {"practice_act", "practice_change", "django_session", "logs_logimport"}


@contextmanager
def writes_watched(client: int) -> Iterator[list[str]]:
    """Every statement that writes is looked at before it runs: the rows it is about to touch are the client's own.

    Gives the tables written, one for each statement.
    """
    tables = {one.model._meta.db_table: one for one in belongings()}
    seen: list[str] = []

    def run(execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        wrote = None if sql.startswith(OURS) or '"_check"' in sql else WRITES.match(sql)
        if wrote is None or wrote[2] in SHARED:
            return execute(sql, params, many, context)
        seen.append(wrote[2])
        if wrote[1].startswith("INSERT"):
            _check_insert(tables[wrote[2]], sql, params, client)
        else:
            # An act that changed nothing goes, and what might point at it is told: no row at all.
            mine = tables[wrote[2]].rows(client) if wrote[2] in tables else Client.objects.none()
            _check_where(wrote[2], sql, params, mine)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(run):
        yield seen


def _check_insert(one: Belonging, sql: str, params: Any, client: int) -> None:
    """Each new row names the client, or a parent that is theirs."""
    names = re.findall(r'"(\w+)"', sql.partition("(")[2].partition(")")[0])
    if "SELECT" in sql or "UNNEST" in sql:
        # Many rows as whole columns, as PostgreSQL takes them.
        columns = [list(column) for column in params]
        rows = list(zip(*columns, strict=True))
    else:
        rows = [tuple(params[n : n + len(names)]) for n in range(0, len(params), len(names))]
    for row in rows:
        said = dict(zip(names, row, strict=True))
        if "client_id" in said:
            assert said["client_id"] == client, sql
        else:
            column, parent = next((c, p) for c, p in one.parents if said.get(c) is not None)
            above = next(b for b in belongings() if b.model is parent)
            assert above.rows(client).filter(pk=said[column]).exists(), sql


def _check_where(table: str, sql: str, params: Any, mine: "models.QuerySet[Any]") -> None:
    """The rows that the statement's own condition finds, before it runs, are the client's."""
    head, _, where = sql.partition(" WHERE ")
    assert where, f"no condition at all: {sql}"
    with connection.cursor() as cursor:
        cursor.execute(f'SELECT "{table}"."id" FROM "{table}" WHERE {where}', params[head.count("%s") :])
        ids = {row[0] for row in cursor.fetchall()}
    assert ids == set(mine.filter(pk__in=ids).values_list("pk", flat=True)), sql
