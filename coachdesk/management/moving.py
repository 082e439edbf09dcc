"""Moving a desk from its own SQLite file into an empty PostgreSQL database, every row under its own id."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import islice
from pathlib import Path

from django.apps import apps
from django.core.management.color import no_style
from django.db import DatabaseError, connection, connections, models, transaction
from django.db.migrations.recorder import MigrationRecorder

from coachdesk.desk_lock import HomeTaken, desk_alone
from coachdesk.practice.models import Backup
from coachdesk.practice.rows import parents_first

SOURCE, BATCH = "moved_from", 500
OURS = ("practice", "clients", "programs", "logs")
Model = type[models.Model]


class MoveError(Exception):
    """Nothing was moved; says why and what to do."""


def move_in(path: Path, tell: Callable[[str], None]) -> int:
    """Copy every row of the desk in this SQLite file; gives how many. All or nothing. Raises MoveError.

    Sign-ins stay behind, and so do notes of backups, which were none of this database.
    """
    if connection.vendor != "postgresql":
        raise MoveError("DATABASE_URL names no PostgreSQL database; it should say where the desk moves to.")
    if not path.is_file():
        raise MoveError(f"{path} is no file; name the desk's SQLite file, such as .desk/desk.sqlite3.")
    try:
        with desk_alone(path.parent), _source(path), transaction.atomic(using=SOURCE), transaction.atomic():
            _same_version()
            return sum(_copied(model, tell) for model in _in_order())
    except HomeTaken as taken:
        raise MoveError(f"Nothing was moved: {taken}.") from None
    except DatabaseError as problem:
        raise MoveError(f"Nothing was moved; the database says: {problem}") from problem


@contextmanager
def _source(path: Path) -> Iterator[None]:
    fresh = {**connections.databases["default"], "ENGINE": "django.db.backends.sqlite3", "NAME": str(path)}
    connections.databases[SOURCE] = {**fresh, "OPTIONS": {"init_command": "PRAGMA query_only=ON;"}}
    try:
        yield
    finally:
        connections[SOURCE].close()
        del connections[SOURCE], connections.databases[SOURCE]


def _same_version() -> None:
    here, there = (set(MigrationRecorder(connections[name]).applied_migrations()) for name in ("default", SOURCE))
    if here != there:
        raise MoveError(
            "The two databases are not of the same version. Start the desk once on the file with this version, run "
            "'manage.py migrate' on the new database, and try again."
        )
    if any(model._default_manager.exists() for model in _in_order()):
        raise MoveError("The new database holds rows already. Make an empty one and run 'manage.py migrate' on it.")


def _in_order() -> list[Model]:
    every = {model for app in OURS for model in apps.get_app_config(app).get_models(include_auto_created=True)}
    return parents_first(every - {Backup})


def _copied(model: Model, tell: Callable[[str], None]) -> int:
    rows = model._default_manager.using(SOURCE).order_by("pk").iterator(chunk_size=BATCH)
    count = 0
    while some := list(islice(rows, BATCH)):
        count += len(model._default_manager.using("default").bulk_create(some))
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), [model]):
            cursor.execute(statement)
    if model._default_manager.count() != count:
        raise MoveError(f"Nothing was moved: of {count} rows of {model._meta.verbose_name} not all arrived.")
    if count:
        tell(f"{count:,} {model._meta.verbose_name_plural}")
    return count
