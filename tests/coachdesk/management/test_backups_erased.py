"""Erased clients and backups: a new backup holds nothing of them, and an old one brings nobody back."""

import zipfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from django.db import connection

from clients.links.selectors import link_of_token
from clients.links.services import make_link, revoke_link, rotate_link
from clients.models import Client, ClientLink
from clients.records.services import erase_client
from coachdesk.management.backups import make_backup, restore_backup
from programs.logs.models import ExerciseWeek, MuscleWeek, SetLog
from tests.factories.clients import ClientFactory
from tests.factories.marked import MARKER, mark_everything, whole_client
from tests.factories.practice import MembershipFactory, PracticeFactory
from tests.traces import byte_traces, tables, traces

NOW = datetime(2026, 11, 24, 12, 0, tzinfo=UTC)


def inside(path: Path) -> bytes:
    with zipfile.ZipFile(path) as archive:
        return b"".join(archive.read(name) for name in archive.namelist())


@pytest.fixture
def marked(own_database: str) -> Client:
    """A client with the marker everywhere."""
    client = whole_client(MembershipFactory(practice=PracticeFactory(name="North Hall")), NOW)
    mark_everything(client)
    # What a restore checks is worked out from these; their own columns are tried in tests.clients.records.
    for rows in (SetLog.objects, MuscleWeek.objects, ExerciseWeek.objects):
        rows.filter(client=client).delete()
    return Client.objects.get(pk=client.pk)


def test_an_old_backup_brings_no_erased_client_back(marked: Client, tmp_path: Path) -> None:
    others = Client.objects.count() - 1
    old = make_backup(now=NOW).path
    assert erase_client(by=marked.coach, client=marked, typed=MARKER, now=NOW)
    new = make_backup(now=NOW + timedelta(hours=1)).path
    if connection.vendor == "sqlite":
        assert byte_traces(inside(old)) > 0
    assert byte_traces(inside(new)) == 0
    said = restore_backup(old, now=NOW + timedelta(hours=2))
    assert "Erased again: 1 client of the list of erased ones." in said
    assert not traces(tables())
    assert Client.objects.count() == others
    connection.close()
    kept = [path for path in tmp_path.rglob("*") if path.is_file() and path != old]
    assert len(kept) > 2
    assert [path.name for path in kept if byte_traces(path.read_bytes())] == []


def test_an_old_backup_brings_no_revoked_link_back(own_database: str) -> None:
    desk = MembershipFactory(practice=PracticeFactory(name="North Hall"))
    client = ClientFactory(coach=desk)
    (lost, first), (old, second), (_, third) = [
        make_link(by=desk, client=client, label=label, now=NOW) for label in ("Lost", "Old", "Kept")
    ]
    path = make_backup(now=NOW).path
    revoke_link(by=desk, link=lost, now=NOW)
    _fresh, fourth = rotate_link(by=desk, link=old, now=NOW)
    said = restore_backup(path, now=NOW + timedelta(hours=1))
    assert "Revoked again: 2 links." in said
    opening = [link_of_token(token, "phone", NOW) is not None for token in (first, second, third, fourth)]
    # The newest came after the backup and went with the restore.
    assert opening == [False, False, True, False]
    assert ClientLink.objects.get(pk=lost.pk).token_hash is None
