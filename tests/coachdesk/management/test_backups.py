"""The restore drill: back up, change, destroy, restore, compare row by row; damaged files are refused, nothing lost."""

import json
import os
import random
import sqlite3
import zipfile
from contextlib import closing
from dataclasses import asdict, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.db import connection
from psycopg import connect

from clients.models import Client
from clients.records.services import erase_client
from coachdesk.desk_lock import desk_alone, hold_desk, one_at_a_time
from coachdesk.management.backups import BackupError, check_backup, check_present, make_backup, restore_backup
from coachdesk.management.backups.archive import opened, write_archive
from coachdesk.management.backups.make import newest_first
from coachdesk.management.backups.postgresql import address_of
from coachdesk.management.scratch import leave
from coachdesk.practice.models import Backup
from programs.logs.models import MuscleWeek, SetLog
from tests.coachdesk.management.conftest import on_server
from tests.factories.practice import MembershipFactory, PracticeFactory
from tests.factories.whole import one_of_everything

NOW = datetime(2026, 11, 24, 12, 0, tzinfo=UTC)
SQLITE = connection.vendor == "sqlite"


def everything() -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table, but for the notes about backups themselves."""
    found = {}
    for model in apps.get_models(include_auto_created=True):
        if model is not Backup:
            found[model._meta.db_table] = list(model._default_manager.order_by("pk").values_list())
    return found


@pytest.fixture
def house(own_database: str) -> str:
    """One of everything, in a database of the test's own."""
    one_of_everything(MembershipFactory(practice=PracticeFactory(name="North Hall")), NOW)
    return own_database


@pytest.fixture
def backup(house: str) -> Path:
    return make_backup(now=NOW).path


def destroy(name: str) -> None:
    """The worst that can happen to a database: it is gone."""
    leave()
    if SQLITE:
        Path(name).unlink()
    else:
        on_server("DROP DATABASE {} WITH (FORCE)", name)


def change() -> None:
    Client.objects.update(name="Somebody else")
    SetLog.objects.all().delete()
    PracticeFactory(name="A later one")


def test_a_backup_brings_every_row_back_after_changes(house: str, backup: Path) -> None:
    before = everything()
    assert sum(map(len, before.values())) > 100
    change()
    assert everything() != before
    said = restore_backup(backup, now=NOW)
    assert everything() == before
    assert "kept as" in said[-1]
    assert not check_present().wrong


def test_a_backup_brings_every_row_back_after_the_database_is_gone(house: str, backup: Path) -> None:
    before = everything()
    destroy(house)
    assert restore_backup(backup, now=NOW)[-1] == "There was no database before."
    assert everything() == before


def test_the_database_before_a_restore_is_kept_whole(house: str, backup: Path, tmp_path: Path) -> None:
    change()
    changed = everything()
    said = restore_backup(backup, now=NOW)[-1]
    aside = said.split("kept as ")[1].split(",")[0].split(";")[0]
    connection.settings_dict["NAME"] = str(tmp_path / aside) if SQLITE else aside
    leave()
    assert everything() == changed


def test_a_backup_says_what_is_in_it(house: str, backup: Path, tmp_path: Path) -> None:
    with opened(backup, tmp_path) as (manifest, _):
        assert manifest.at == NOW
        assert manifest.database == connection.vendor
        assert manifest.counts["clients_client"] == Client.objects.count() > 0
        assert "practice.0001_initial" in manifest.migrations
    assert backup.stat().st_mode & 0o777 == 0o600
    with zipfile.ZipFile(backup) as plain:  # any tool that opens a zip file gets at the data
        assert plain.testzip() is None


def test_a_good_backup_passes_and_is_noted(backup: Path) -> None:
    report = check_backup(backup)
    assert not report.wrong
    assert any("weekly sums" in words for words in report.looked)
    assert Backup.objects.get().name == backup.name


def test_a_restored_backup_is_the_last_good_one(backup: Path) -> None:
    make_backup(now=NOW + timedelta(days=1))
    restore_backup(backup, now=NOW + timedelta(days=2))
    assert Backup.objects.latest("id").made_at == NOW


def test_an_erased_client_stays_erased_in_a_restored_backup(house: str, backup: Path) -> None:
    client = Client.objects.get(name="Vera Lindholm")
    erase_client(by=client.coach, client=client, typed=client.name, now=NOW)
    assert not Client.objects.filter(name="Vera Lindholm").exists()
    said = restore_backup(backup, now=NOW)
    assert "Erased again: 1 client of the list of erased ones." in said
    assert not Client.objects.filter(name="Vera Lindholm").exists()
    assert not SetLog.objects.filter(client_id=client.pk).exists()
    assert not check_present().wrong


def spoiled(backup: Path, how: str) -> Path:
    """The backup with one thing wrong with it."""
    raw = bytearray(backup.read_bytes())
    bad = backup.with_name("bad.zip")
    if how == "cut short":
        raw = raw[: len(raw) // 2]
    elif how == "one byte less":
        raw = raw[:-1]
    elif how == "a byte more":
        raw += b"0"
    elif how == "empty":
        raw = bytearray()
    elif how == "another zip":
        with zipfile.ZipFile(bad, "w") as other:
            other.writestr("manifest.json", "{}")
        return bad
    elif how == "text":
        raw = bytearray(b"name,load\n" * 50)
    bad.write_bytes(raw)
    return bad


def rewritten(backup: Path, tmp_path: Path, data: bytes | None = None, **changes: Any) -> Path:
    """A backup whose checksum is right and whose manifest or data are not."""
    bad = backup.with_name("bad.zip")
    with opened(backup, tmp_path) as (manifest, payload):
        if data is not None:
            payload.write_bytes(data)
        write_archive(bad, replace(manifest, **changes), payload, packed=not SQLITE)
    return bad


def refused(bad: Path, words: str) -> None:
    """Verify and restore say why, and the database stays as it is."""
    before = everything()
    for attempt in (check_backup, lambda path: restore_backup(path, now=NOW)):
        with pytest.raises(BackupError, match=words):
            attempt(bad)
    assert everything() == before
    assert not [path for path in bad.parent.parent.rglob("*") if ".trial-" in path.name]


@pytest.mark.parametrize(
    ("how", "words"),
    [
        ("cut short", "no backup of this desk, or it was cut short"),
        ("one byte less", "cut short"),
        ("a byte more", "cut short"),
        ("empty", "cut short"),
        ("another zip", "no backup of this desk"),
        ("text", "no backup of this desk"),
    ],
)
def test_a_spoiled_file_is_refused_and_nothing_is_lost(backup: Path, how: str, words: str) -> None:
    refused(spoiled(backup, how), words)


def test_one_wrong_bit_anywhere_is_found(backup: Path, record_property: Any) -> None:
    raw, dice = backup.read_bytes(), random.Random(5)
    places = [0, len(raw) - 1, len(raw) - 64, *(dice.randrange(len(raw)) for _ in range(60))]
    bad = backup.with_name("bad.zip")
    for place in places:
        wrong = bytearray(raw)
        wrong[place] ^= 1 << dice.randrange(8)
        bad.write_bytes(wrong)
        with pytest.raises(BackupError), opened(bad, backup.parent):
            pass
    record_property("bits", len(places))
    refused(bad, "damaged|cut short")


def test_a_missing_file_is_refused(backup: Path) -> None:
    refused(backup.with_name("none.zip"), "cannot be read: No such file")


def test_the_other_kind_of_database_is_refused(backup: Path, tmp_path: Path) -> None:
    other = "postgresql" if SQLITE else "sqlite"
    refused(rewritten(backup, tmp_path, database=other), f"holds a {other} database")


def test_a_newer_desk_is_refused(backup: Path, tmp_path: Path) -> None:
    with opened(backup, tmp_path) as (manifest, _):
        newer = [*manifest.migrations, "practice.9999_next_year"]
    refused(rewritten(backup, tmp_path, migrations=newer), r"newer Coachdesk \(0\.1\.0\): practice\.9999_next_year")


def test_data_that_no_database_can_read_are_refused(backup: Path, tmp_path: Path) -> None:
    refused(rewritten(backup, tmp_path, data=b"\0" * 5000), "not a database|pg_restore failed")


def test_rows_that_are_missing_are_told(backup: Path, tmp_path: Path) -> None:
    with opened(backup, tmp_path) as (manifest, _):
        counts = {**manifest.counts, "clients_client": manifest.counts["clients_client"] + 1}
    bad = rewritten(backup, tmp_path, counts=counts)
    assert check_backup(bad).wrong == ["clients_client: 2, and 3 when it was made"]
    with pytest.raises(BackupError, match="clients_client: 2, and 3 when it was made"):
        restore_backup(bad, now=NOW)


def test_sums_that_do_not_follow_from_the_logs_are_told(house: str) -> None:
    week = MuscleWeek.objects.order_by("id")[0]
    MuscleWeek.objects.filter(pk=week.pk).update(volume_kg=week.volume_kg + 1)
    told = [f"client {week.client_id}, week of {week.monday}: its sums are not those of its logs"]
    assert check_present().wrong == told
    assert check_backup(make_backup(now=NOW).path).wrong == told


def test_nothing_is_restored_while_the_desk_runs(backup: Path, tmp_path: Path) -> None:
    before = everything()
    running = hold_desk(tmp_path)
    with pytest.raises(BackupError, match="the desk is running; stop it first"):
        restore_backup(backup, now=NOW)
    os.close(running)
    assert everything() == before
    restore_backup(backup, now=NOW)


def test_no_desk_starts_while_a_backup_is_restored(house: str, tmp_path: Path) -> None:
    with desk_alone(tmp_path), pytest.raises(CommandError, match="a backup is being restored"):
        call_command("desk", port=8104)


def test_nothing_is_restored_while_somebody_is_connected(house: str, backup: Path) -> None:
    with closing(another_connection(house)), pytest.raises(BackupError, match=r"Somebody else|other connections"):
        restore_backup(backup, now=NOW)
    restore_backup(backup, now=NOW)


def another_connection(name: str) -> Any:
    if SQLITE:
        held = sqlite3.connect(name)
        held.execute("SELECT count(*) FROM clients_client").fetchall()
        return held
    return connect(**address_of(name))


def test_the_newest_are_kept(house: str, tmp_path: Path) -> None:
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    (folder / "notes.zip").write_text("somebody else's")
    made = [make_backup(now=NOW + timedelta(days=day), folder=folder, keep=3) for day in range(5)]
    assert newest_first(folder) == [one.path for one in reversed(made[-3:])]
    assert [one.gone for one in made[3:]] == [[made[0].path.name], [made[1].path.name]]
    assert (folder / "notes.zip").exists()


def test_a_clock_set_back_does_not_cost_the_newest_backup(house: str, tmp_path: Path) -> None:
    for day in (10, 11, 12, 0):
        made = make_backup(now=NOW + timedelta(days=day), keep=2)
    assert made.path in newest_first(made.path.parent)
    assert len(newest_first(made.path.parent)) == 2
    assert Backup.objects.latest("id").made_at == NOW


def test_two_backups_in_one_second_are_two(house: str) -> None:
    first, second = make_backup(now=NOW).path, make_backup(now=NOW).path
    assert first != second
    assert not check_backup(second).wrong


def test_a_backup_under_way_is_not_begun_twice(backup: Path) -> None:
    with one_at_a_time(backup.parent / ".making", "."), pytest.raises(BackupError, match="being made already"):
        make_backup(now=NOW)


def test_a_folder_that_cannot_be_written_is_told(house: str, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    with pytest.raises(CommandError, match=r"No backup was made in .*file"):
        call_command("backup", to=tmp_path / "file")
    assert not Backup.objects.exists()


def test_the_commands_say_what_they_did(house: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call_command("backup")
    name = Backup.objects.get().name
    said = capsys.readouterr().out
    assert name in said
    assert "written and read again" in said
    for command in (["verify"], ["verify", str(tmp_path / "backups" / name)]):
        call_command(*command)
        assert "All of it is as it should be." in capsys.readouterr().out
    call_command("restore", str(tmp_path / "backups" / name))
    assert f"Restored {name}" in capsys.readouterr().out


def test_a_manifest_survives_its_own_round_trip(backup: Path, tmp_path: Path) -> None:
    with opened(backup, tmp_path) as (manifest, _):
        assert json.loads(json.dumps(asdict(manifest)))["counts"] == manifest.counts
