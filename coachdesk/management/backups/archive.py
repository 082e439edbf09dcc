"""The file a backup is kept in: a zip with a manifest and the data, and a checksum over all of it at its end."""

import hashlib
import json
import os
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from coachdesk.management.backups.errors import BackupError

MANIFEST, DATA = "manifest.json", "data"
# The zip's comment: it stands last in the file, and any tool that opens zip files shows it.
MARK, DIGITS = b"sha256 of all before: ", 64
CHUNK = 1024 * 1024
FORMAT = 1


@dataclass(frozen=True)
class Manifest:
    """What a backup says of itself: rows per table, the migrations its tables come from, when, by which desk."""

    made_at: str
    app: str
    database: str
    server: str
    migrations: list[str]
    counts: dict[str, int]
    v: int = FORMAT

    @property
    def at(self) -> datetime:
        return datetime.fromisoformat(self.made_at)


def write_archive(target: Path, manifest: Manifest, data: Path, *, packed: bool) -> None:
    """Write the file whole or not at all: a temporary name, flushed to the disk, then renamed. `packed`: data is
    compressed already. Raises OSError, BackupError when a file of that name is there.
    """
    part = target.with_name(f".{target.name}.part")
    try:
        with os.fdopen(os.open(part, os.O_RDWR | os.O_CREAT | os.O_TRUNC, 0o600), "w+b") as file:
            how = zipfile.ZIP_STORED if packed else zipfile.ZIP_DEFLATED
            with zipfile.ZipFile(file, "w", how, compresslevel=6) as made:
                made.comment = MARK + b"0" * DIGITS
                made.writestr(MANIFEST, json.dumps(asdict(manifest), indent=1))
                made.write(data, DATA)
            digest = _digest(file)
            file.seek(-DIGITS, os.SEEK_END)
            file.write(digest.encode())
            file.flush()
            os.fsync(file.fileno())
        try:
            os.link(part, target)  # unlike a rename, it never takes the place of another backup
        except FileExistsError:
            raise BackupError(f"{target} is there already; it was left as it is.") from None
    finally:
        part.unlink(missing_ok=True)
    sync_folder(target.parent)


def sync_folder(folder: Path) -> None:
    """Have a new name in this folder outlive a power cut."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _digest(file: Any) -> str:
    """SHA-256 of an open file but for the digits at its end."""
    left = file.seek(0, os.SEEK_END) - DIGITS
    file.seek(0)
    found = hashlib.sha256()
    while left > 0:
        chunk = file.read(min(CHUNK, left))
        if not chunk:
            break
        found.update(chunk)
        left -= len(chunk)
    return found.hexdigest()


@contextmanager
def opened(path: Path, near: Path) -> Iterator[tuple[Manifest, Path]]:
    """The manifest, and the data unpacked into a folder of its own inside `near` for as long as this lasts.

    Raises BackupError when the file is no backup, was cut short or has one wrong byte.
    """
    _check_digest(path)
    with tempfile.TemporaryDirectory(prefix=".trial-", dir=near) as folder:
        yield _unpacked(path, folder)


def _unpacked(path: Path, folder: str) -> tuple[Manifest, Path]:
    try:
        with zipfile.ZipFile(path) as packed:
            manifest = _manifest(packed.read(MANIFEST))
            data = Path(packed.extract(DATA, folder))
    except (zipfile.BadZipFile, KeyError, ValueError, TypeError, AttributeError) as problem:
        raise BackupError(f"{path.name} cannot be read as a backup: {problem}. Take another one.") from problem
    data.chmod(0o600)
    return manifest, data


def _check_digest(path: Path) -> None:
    try:
        with path.open("rb") as file:
            size = file.seek(0, os.SEEK_END)
            file.seek(max(0, size - DIGITS - len(MARK)))
            end = file.read()
            if not end.startswith(MARK) or len(end) != len(MARK) + DIGITS:
                raise BackupError(f"{path.name} is no backup of this desk, or it was cut short. Take another one.")
            if _digest(file).encode() != end[len(MARK) :]:
                raise BackupError(f"{path.name} is damaged: its checksum is wrong. Take another one.")
    except OSError as problem:
        raise BackupError(f"{path} cannot be read: {problem.strerror}.") from problem


def _manifest(raw: bytes) -> Manifest:
    said = json.loads(raw)
    if said.get("v") != FORMAT:
        raise BackupError(f"This backup has form {said.get('v')!r}; this desk reads form {FORMAT}: use a newer desk.")
    found = Manifest(**said)
    if not found.at.tzinfo or not all(isinstance(rows, int) for rows in found.counts.values()):
        raise ValueError("its manifest makes no sense")
    return found
