"""A zip file written while it is sent: nothing of it stands on disk or whole in memory."""

import io
import zipfile
from collections.abc import Iterable, Iterator
from datetime import datetime

from clients.models import Client
from clients.records.export import client_json, csv_tables, csv_text
from clients.records.history import deleted_rows
from clients.records.practice_rows import practice_json
from clients.records.read_me import read_me
from coachdesk.practice.models import Membership, Practice

Pieces = Iterator[bytes]
Files = Iterator[tuple[str, Iterable[str]]]
# Spreadsheets read accents rightly only behind this mark; every reader of CSV here takes it off.
MARK = "\ufeff"


class _Pipe(io.RawIOBase):
    """What the zip writes, kept until it is sent on."""

    def __init__(self) -> None:
        self._kept: list[bytes] = []
        self._at = 0

    def writable(self) -> bool:
        return True

    def write(self, data: "bytes | bytearray | memoryview") -> int:  # type: ignore[override]
        self._kept.append(bytes(data))
        self._at += len(data)
        return len(data)

    def tell(self) -> int:
        return self._at

    def taken(self) -> bytes:
        kept, self._kept = b"".join(self._kept), []
        return kept


def zipped(files: Files, now: datetime) -> Pieces:
    """The bytes of a zip of these files, as they come."""
    pipe = _Pipe()
    with zipfile.ZipFile(pipe, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, pieces in files:
            entry = zipfile.ZipInfo(name, now.timetuple()[:6])
            entry.compress_type, entry.external_attr = zipfile.ZIP_DEFLATED, 0o600 << 16
            with archive.open(entry, "w", force_zip64=True) as inside:
                for piece in pieces:
                    inside.write(piece.encode())
                    if sent := pipe.taken():
                        yield sent
    yield pipe.taken()


def client_archive(client: Client, now: datetime) -> Pieces:
    """One client: client.json, a CSV file a kind, and what the columns mean."""
    return zipped(_client_files(client, now), now)


def _client_files(client: Client, now: datetime) -> Files:
    yield "README.txt", [read_me(f"One client of {client.practice}", now)]
    yield "client.json", client_json(client, deleted_rows(client.practice_id), now)
    yield from _csv_files([client.pk])


def practice_archive(by: Membership, clients: "Iterable[Client]", now: datetime) -> Pieces:
    """Every client of `clients`, a JSON file each and CSV files of all; for the owner what the practice shares too."""
    return zipped(_practice_files(by, clients, now), now)


def _practice_files(by: Membership, clients: Iterable[Client], now: datetime) -> Files:
    yield "README.txt", [read_me(f"Clients of {by.practice}", now)]
    if by.role == Membership.Role.OWNER:
        yield "practice.json", practice_json(Practice.objects.get(pk=by.practice_id), now)
    deleted, ids = deleted_rows(by.practice_id), []
    for client in clients:
        ids.append(client.pk)
        yield f"clients/{client.pk}.json", client_json(client, deleted, now)
    yield from _csv_files(ids)


def _csv_files(ids: list[int]) -> Files:
    for name, lines in csv_tables(ids):
        yield name, _marked(csv_text(lines))


def _marked(pieces: Iterable[str]) -> Iterator[str]:
    yield MARK
    yield from pieces
