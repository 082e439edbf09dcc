"""Whether a hot page's queries walk through whole tables: their plans, asked of the database itself."""

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Any

from django.apps import apps
from django.db import connection, models

from clients.models import Client
from coachdesk.management.benchmarks.edit import make_edit
from coachdesk.management.benchmarks.harness import Measured, Step
from coachdesk.management.benchmarks.log_set import make_log_set
from coachdesk.management.benchmarks.pages import make_client, make_roster, make_trends
from coachdesk.management.benchmarks.stage import Stage
from coachdesk.practice.models import Act, Change

HOT = {
    "roster": make_roster, "trends": make_trends, "client": make_client, "edit": make_edit, "log_set": make_log_set,
}  # fmt: skip
# What PostgreSQL prefers to looking up by an index as long as a table fits on few pages, most once it knows that.
FOR_SMALL_TABLES = (
    "enable_seqscan", "enable_hashjoin", "enable_mergejoin", "enable_indexscan", "enable_indexonlyscan",
)  # fmt: skip
LEAST_ROWS = 5_000
LONGEST = 400  # characters of a statement that are told
Asked = dict[str, tuple[Any, ...]]


@dataclass(frozen=True)
class Scan:
    """A statement that reads a whole table which grows with clients or years."""

    page: str
    table: str
    how: str
    sql: str

    def __str__(self) -> str:
        shown = self.sql if len(self.sql) <= LONGEST else f"{self.sql[:LONGEST]} ..."
        return f"{self.page}: {self.how}\n    {shown}"


def measure_plans(stage: Stage, rounds: int) -> list[Measured]:
    """How many of the statements of each hot page read a whole table that grows, as planned on these rows."""
    found = []
    for name, make in HOT.items():
        asked = statements_of(make(stage, 2))
        scans = list(scans_of(name, asked))
        for scan in scans:
            print(scan, file=sys.stderr, flush=True)
        what = f"statements of '{name}' that read a whole table which grows"
        found.append(Measured(f"plans_{name}", what, len(scans), len(scans), len(asked), len(asked) or 1, "scans"))
    return found


def statements_of(step: Step) -> Asked:
    """Every different statement of one call that has a plan, with values it was asked with.

    The call before it is left out: what a process looks up once and keeps is no part of a page.
    """
    asked: Asked = {}

    def note(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        if not many and sql.lstrip("( ").upper().startswith(("SELECT", "UPDATE", "DELETE")):
            asked.setdefault(sql, tuple(params or ()))
        return execute(sql, params, many, context)

    step()
    with connection.execute_wrapper(note):
        step()
    return asked


def scans_of(page: str, asked: Asked, *, any_index: bool = False) -> Iterator[Scan]:
    """Those of the statements whose plan walks through a whole table that grows, or through a whole index of one.

    `any_index`: whether an index could serve, on tables too small for the planner to bother (PostgreSQL); otherwise
    such tables, of fewer than 5,000 rows, are left out.
    """
    with connection.cursor() as cursor, _planning(cursor, any_index):
        tables = growing_tables() if any_index else growing_tables() - _short(cursor)
        for sql, params in asked.items():
            for table, how in _walked(cursor, sql, params):
                if table in tables:
                    yield Scan(page, table, how, sql)


def _short(cursor: Any) -> set[str]:
    """Tables that PostgreSQL rightly reads as a whole; SQLite plans without knowing how many rows there are."""
    if connection.vendor != "postgresql":
        return set()
    cursor.execute("SELECT relname FROM pg_class WHERE relkind = 'r' AND reltuples < %s", [LEAST_ROWS])
    return {name for (name,) in cursor.fetchall()}


@contextmanager
def _planning(cursor: Any, any_index: bool) -> Iterator[None]:
    ways = FOR_SMALL_TABLES if any_index and connection.vendor == "postgresql" else ()
    for way in ways:
        cursor.execute(f"SET {way} = off")
    try:
        yield
    finally:
        for way in ways:
            cursor.execute(f"RESET {way}")


def _walked(cursor: Any, sql: str, params: tuple[Any, ...]) -> Iterator[tuple[str, str]]:
    """(table, how it is read) for each table that a statement reads from end to end."""
    if connection.vendor == "postgresql":
        cursor.execute(f"EXPLAIN (FORMAT JSON) {sql}", params)
        (plan,) = cursor.fetchone()
        for node in _nodes((json.loads(plan) if isinstance(plan, str) else plan)[0]["Plan"]):
            whole = node["Node Type"] == "Seq Scan" or ("Index" in node["Node Type"] and "Index Cond" not in node)
            if whole and "Relation Name" in node:
                yield node["Relation Name"], f"{node['Node Type']} on {node['Relation Name']}"
        return
    cursor.execute(f"EXPLAIN QUERY PLAN {sql}", params)
    aliases = _aliases(sql)
    for *_, detail in cursor.fetchall():
        if detail.startswith("SCAN "):
            name = detail.split()[1]
            yield aliases.get(name, name), detail


def _nodes(plan: dict[str, Any]) -> Iterator[dict[str, Any]]:
    yield plan
    for below in plan.get("Plans", ()):
        yield from _nodes(below)


def _aliases(sql: str) -> dict[str, str]:
    """Which table a name in the statement's plan stands for: Django writes '"table" U0' where it uses one twice."""
    words = sql.replace("(", " ").replace(")", " ").replace(",", " ").split()
    tables = {f'"{table}"': table for table in growing_tables()}
    return {after.strip('"'): tables[word] for word, after in pairwise(words) if word in tables}


@cache
def growing_tables() -> frozenset[str]:
    """Tables of whatever hangs on a client, and of acts: they grow with clients and years."""
    growing: set[type[models.Model]] = {Client, Act, Change}
    while True:
        more = {
            model
            for model in apps.get_models()
            if model not in growing and any(_target(field) in growing for field in model._meta.concrete_fields)
        }
        if not more:
            return frozenset(model._meta.db_table for model in growing)
        growing |= more


def _target(field: Any) -> Any:
    return field.related_model if field.is_relation else None
