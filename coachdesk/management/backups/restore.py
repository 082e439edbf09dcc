"""Putting a backup back: tried beside the present database first, which stays aside afterwards."""

from datetime import UTC, datetime
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import DatabaseError

from clients.links.services import revoke_again
from clients.records.services import erase_again
from coachdesk.desk_lock import desk_alone
from coachdesk.management.backups.archive import Manifest, opened
from coachdesk.management.backups.check import look_at_sums, look_over, refuse_foreign
from coachdesk.management.backups.errors import BackupError
from coachdesk.management.backups.stores import Store, store
from coachdesk.practice.services import note_backup


def restore_backup(path: Path, *, now: datetime) -> list[str]:
    """Put this backup in the place of the present database; gives what was done, a sentence each.

    Raises BackupError, and then the present database is as it was: the desk runs or somebody else is connected, the
    file is damaged, of the other kind or of a newer desk, or what was loaded is not what was saved.
    """
    kind = store()
    try:
        with desk_alone(settings.ENV.home):
            kind.refuse_if_used()
            with opened(path, kind.folder) as (manifest, data):
                refuse_foreign(manifest, kind)
                with kind.loaded(data) as take_place:
                    said = _made_ready(path, manifest, kind, now)
                    said.append(take_place(f"{now.astimezone(UTC):%Y%m%d-%H%M%S}"))
    except OSError as problem:
        raise BackupError(f"Nothing was restored: {problem.strerror or problem}.") from problem
    except DatabaseError as problem:
        raise BackupError(f"Nothing was restored; the database says: {str(problem).splitlines()[0]}.") from problem
    return said


def _made_ready(path: Path, manifest: Manifest, kind: Store, now: datetime) -> list[str]:
    """Checked, migrated, erased again and checked once more, all in the scratch database."""
    report = look_over(manifest, kind)
    call_command("migrate", verbosity=0, interactive=False)
    again, links = erase_again(now=now), revoke_again(now=now)
    look_at_sums(report)
    if report.wrong:
        raise BackupError(f"Nothing was restored; what was loaded is not what was saved: {'; '.join(report.wrong)}.")
    note_backup(made_at=manifest.at, name=path.name)
    rows = sum(manifest.counts.values())
    said = [f"Restored {path.name}: {rows:,} rows.", *(f"Looked at {words}." for words in report.looked)]
    erased = f"Erased again: {again} client{'' if again == 1 else 's'} of the list of erased ones."
    return [*said, erased, f"Revoked again: {links} link{'' if links == 1 else 's'}."]
