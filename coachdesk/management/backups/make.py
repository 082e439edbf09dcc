"""Making a backup while the desk runs, noting it, and letting the oldest go."""

import re
import tempfile
import tomllib
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

from django.conf import settings

from coachdesk.desk_lock import one_at_a_time
from coachdesk.env import BASE
from coachdesk.management.backups.archive import Manifest, opened, write_archive
from coachdesk.management.backups.errors import BackupError
from coachdesk.management.backups.stores import store
from coachdesk.practice.services import note_backup

KEEP = 30
NAME = re.compile(r"coachdesk-\d{8}-\d{6}(-\d+)?\.zip")


@dataclass(frozen=True)
class Made:
    """A backup that was made and read again, and the names of older ones that went."""

    path: Path
    size: int
    rows: int
    gone: list[str]

    def __str__(self) -> str:
        old = f"; the newest {KEEP} are kept, {len(self.gone)} older went" if self.gone else ""
        return f"{self.path.name}: {self.rows:,} rows, {self.size / 1e6:.1f} MB, written and read again{old}"


@cache
def backups_possible() -> bool:
    """Whether this process could make one: for PostgreSQL its client tools must be on this machine."""
    return not store().possible()


def own_folder() -> Path:
    """Where backups go unless another folder is named."""
    return Path(settings.BACKUPS)


def make_backup(*, now: datetime, folder: Path | None = None, keep: int = KEEP) -> Made:
    """Write a backup and note it in the database. `folder`: by default backups/ in COACHDESK_HOME.

    Raises BackupError; then no file of it is left, and older backups stay.
    """
    kind, folder = store(), folder or own_folder()
    reason = kind.possible()
    if reason:
        raise BackupError(reason)
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with one_at_a_time(folder / ".making", "A backup is being made already; wait until it is done."):
            for left in folder.glob(".coachdesk-*.part"):
                left.unlink()  # of one that was killed
            with tempfile.TemporaryDirectory(prefix=".making-", dir=folder) as scratch:
                data = Path(scratch) / "data"
                found = kind.dump(data)
                manifest = Manifest(
                    made_at=now.isoformat(), app=app_version(), database=kind.kind, server=kind.version(),
                    migrations=found.migrations, counts=found.counts,
                )  # fmt: skip
                path = _free_name(folder, now)
                write_archive(path, manifest, data, packed=kind.packed)
            with opened(path, folder):
                gone = _let_go(folder, keep, path)
    except OSError as problem:
        raise BackupError(f"No backup was made in {folder}: {problem.strerror}.") from problem
    note_backup(made_at=now, name=path.name)
    return Made(path, path.stat().st_size, sum(found.counts.values()), gone)


def newest_first(folder: Path) -> list[Path]:
    """The backups in a folder by the time in their names."""
    return sorted((path for path in folder.glob("*.zip") if NAME.fullmatch(path.name)), reverse=True)


def app_version() -> str:
    """The version in pyproject.toml."""
    return str(tomllib.loads((BASE / "pyproject.toml").read_text())["project"]["version"])


def _free_name(folder: Path, now: datetime) -> Path:
    stem, more = f"coachdesk-{now.astimezone(UTC):%Y%m%d-%H%M%S}", 1
    path = folder / f"{stem}.zip"
    while path.exists():
        more += 1
        path = folder / f"{stem}-{more}.zip"
    return path


def _let_go(folder: Path, keep: int, made: Path) -> list[str]:
    """The newest stay, and the one just made whatever the clock said then."""
    old = [path for path in newest_first(folder) if path != made][max(0, keep - 1) :]
    for path in old:
        path.unlink()
    return [path.name for path in old]
