"""Looking a database over: the one in use, or a backup loaded into a scratch one."""

from dataclasses import dataclass, field
from pathlib import Path

from django.core.management import call_command
from django.db import DatabaseError, connection
from django.db.migrations.loader import MigrationLoader

from clients.models import Client
from coachdesk.management.backups.archive import Manifest, opened
from coachdesk.management.backups.contents import Contents, contents_of
from coachdesk.management.backups.errors import BackupError
from coachdesk.management.backups.stores import Store, store
from programs.logs.selectors import drifted_weeks

MOST_TOLD = 20


@dataclass
class Report:
    """What was looked at, in words, and what is wrong; nothing wrong is what a good database gives."""

    looked: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)


def check_present() -> Report:
    """The database in use: damage, foreign keys, weekly sums. Raises BackupError when it cannot be read at all."""
    report = Report()
    try:
        look_below(store(), report)
        found = present_contents()
        report.looked.append(f"{sum(found.counts.values()):,} rows in {len(found.counts)} tables")
        look_at_sums(report)
    except DatabaseError as problem:
        raise BackupError(f"The database cannot be read: {str(problem).splitlines()[0]}. Put a good backup back with "
                          "manage.py restore FILE.") from problem  # fmt: skip
    return report


def check_backup(path: Path) -> Report:
    """A backup by a trial restore into a scratch database. Raises BackupError for a file that is refused."""
    kind = store()
    with opened(path, kind.folder) as (manifest, data):
        refuse_foreign(manifest, kind)
        try:
            with kind.loaded(data):
                report = look_over(manifest, kind)
                call_command("migrate", verbosity=0, interactive=False)
                look_at_sums(report)
                return report
        except DatabaseError as problem:
            raise BackupError(f"The data in {path.name} cannot be read: {str(problem).splitlines()[0]}.") from problem


def look_over(manifest: Manifest, kind: Store) -> Report:
    """What was loaded against what the manifest says, before anything is migrated."""
    report = Report([f"checksum and manifest, made {manifest.at:%d %b %Y %H:%M} UTC by Coachdesk {manifest.app}"])
    look_below(kind, report)
    found = present_contents()
    wrong = [
        f"{name}: {found.counts.get(name, 'no table')}, and {manifest.counts.get(name, 'no table')} when it was made"
        for name in sorted({*found.counts, *manifest.counts})
        if found.counts.get(name) != manifest.counts.get(name)
    ]
    report.wrong += wrong[:MOST_TOLD]
    if found.migrations != manifest.migrations:
        report.wrong.append("the migrations in it are not those its manifest names")
    report.looked.append(
        f"{sum(found.counts.values()):,} rows in {len(found.counts)} tables, as counted when it was made"
    )
    return report


def look_below(kind: Store, report: Report) -> None:
    report.wrong += kind.damage()
    report.looked.append("the database's own checks and its foreign keys")


def look_at_sums(report: Report) -> None:
    """Weekly sums equal recomputation, for every client."""
    drifted = [(client.pk, day) for client in Client.objects.order_by("id") for day in drifted_weeks(client)]
    report.wrong += [
        f"client {pk}, week of {day}: its sums are not those of its logs" for pk, day in drifted[:MOST_TOLD]
    ]
    report.looked.append(f"weekly sums of {Client.objects.count():,} clients, worked out anew")


def present_contents() -> Contents:
    """Rows and migrations of the database that Django's connection leads to."""
    with connection.cursor() as cursor:

        def ask(words: str) -> list[tuple[object, ...]]:
            cursor.execute(words)
            return cursor.fetchall()

        return contents_of(ask, connection.introspection.table_names(cursor))


def refuse_foreign(manifest: Manifest, kind: Store) -> None:
    """Raises BackupError for the other kind of database and for tables this desk does not know yet."""
    if manifest.database != kind.kind:
        raise BackupError(
            f"This backup holds a {manifest.database} database and DATABASE_URL names a {kind.kind} one. Use a "
            f"{kind.kind} backup, or set DATABASE_URL."
        )
    known = {f"{app}.{name}" for app, name in MigrationLoader(None, ignore_no_migrations=True).disk_migrations}
    newer = [name for name in manifest.migrations if name not in known]
    if newer:
        raise BackupError(
            f"This backup was made by a newer Coachdesk ({manifest.app}): {newer[-1]} is not known here. Restore it "
            "with that version or a later one."
        )
