"""A fault at the Nth statement, the whole database as plain values, and the functions that open a transaction."""

import ast
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.apps import apps
from django.db import OperationalError, connection

ROOT = Path(__file__).resolve().parent.parent.parent
# Transaction control is the database's own business: a fault in it is a lost connection, not a failed statement.
# VACUUM and PRAGMA clean the file after an erasure has been committed; whether they worked is said, not undone.
OURS = ("SAVEPOINT", "RELEASE", "ROLLBACK", "BEGIN", "COMMIT", "VACUUM", "PRAGMA")


def everything() -> dict[str, list[Any]]:
    """Every row of every table of ours, as the database gives it."""
    models = [m for m in apps.get_models() if m._meta.app_label in ("practice", "clients", "programs", "logs")]
    found = {}
    with connection.cursor() as cursor:
        for table in (model._meta.db_table for model in models):
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)} ORDER BY id")
            found[table] = cursor.fetchall()
    return found


@contextmanager
def failing_at(number: int) -> Iterator[list[str]]:
    """Raise a database error instead of running statement `number` (from 1); gives the statements that were sent."""
    sent: list[str] = []

    def run(execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        # A rehearsal of a table's own check: Django goes on without it, and the table still refuses by itself.
        if sql.startswith(OURS) or '"_check"' in sql:
            return execute(sql, params, many, context)
        sent.append(sql)
        if len(sent) == number:
            raise OperationalError("disk I/O error")
        return execute(sql, params, many, context)

    with connection.execute_wrapper(run):
        yield sent


def writers() -> set[tuple[str, str]]:
    """(file, function) of every function that opens a tape or a transaction; the commands' own are left out."""
    found = set()
    for top in ("clients", "programs", "coachdesk"):
        for path in (ROOT / top).rglob("*.py"):
            if not {"management", "migrations", "demo"} & set(path.parts) and path.name != "tape.py":
                names = (node.name for node in ast.walk(ast.parse(path.read_text())) if _opens(node))
                found |= {(str(path.relative_to(ROOT)), name) for name in names}
    return found


def _opens(node: ast.AST) -> bool:
    if not isinstance(node, ast.FunctionDef):
        return False
    calls = [one.func for one in ast.walk(node) if isinstance(one, ast.Call)]
    names = {getattr(one, "id", getattr(one, "attr", "")) for one in calls}
    return bool(names & {"write", "more_of", "atomic"}) and any(
        isinstance(one, (ast.With, ast.Return)) and _is_opening(one) for one in ast.walk(node)
    )


def _is_opening(node: ast.With | ast.Return) -> bool:
    values = [item.context_expr for item in node.items] if isinstance(node, ast.With) else [node.value]
    calls = [one.func for one in values if isinstance(one, ast.Call)]
    named = {one.id for one in calls if isinstance(one, ast.Name)} & {"write", "more_of"}
    return bool(named) or any(isinstance(one, ast.Attribute) and one.attr == "atomic" for one in calls)


@contextmanager
def noting_calls() -> Iterator[set[tuple[str, str]]]:
    """(file, function) of everything of ours that was called meanwhile."""
    called: set[tuple[str, str]] = set()

    def note(frame: Any, event: str, _arg: Any) -> None:
        if event == "call" and frame.f_code.co_filename.startswith(str(ROOT)):
            called.add((str(Path(frame.f_code.co_filename).relative_to(ROOT)), frame.f_code.co_name))

    before = sys.getprofile()
    sys.setprofile(note)
    try:
        yield called
    finally:
        sys.setprofile(before)
