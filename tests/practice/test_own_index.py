"""Migrations that take an index away: the table is not copied, no other index goes, and back means back."""

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

BEFORE = [("logs", "0014_where_a_session_usually_was"), ("programs", "0013_sheet_runs")]
TABLES = ("logs_setlog", "logs_sessionlog", "logs_muscleweek", "logs_exerciseweek", "programs_strengthobservation")


def indexes(table: str) -> set[tuple[str, ...]]:
    with connection.cursor() as cursor:
        found = connection.introspection.get_constraints(cursor, table)
    return {tuple(one["columns"]) for one in found.values() if one["index"] or one["unique"]}


def migrate(targets: list[tuple[str, str]]) -> None:
    executor = MigrationExecutor(connection)
    executor.migrate(targets)


@pytest.mark.django_db(transaction=True)
def test_an_index_goes_and_comes_back_and_every_other_stays() -> None:
    leaves = MigrationExecutor(connection).loader.graph.leaf_nodes()
    now = {table: indexes(table) for table in TABLES}
    assert all(("client_id",) not in found for found in now.values())
    assert ("client_id", "done_on", "id") in now["logs_setlog"]
    assert ("client_id", "source_uid") in now["programs_strengthobservation"]
    try:
        migrate(BEFORE)
        old = {table: indexes(table) for table in TABLES}
    finally:
        migrate(leaves)
    assert all(("client_id",) in found for found in old.values())
    assert ("session_log_id",) in old["logs_setlog"]
    assert ("source_uid",) in old["programs_strengthobservation"]
    assert {table: indexes(table) for table in TABLES} == now
