"""Erasing a client: nothing of them is left in the database, its files, the log, or a new backup, or comes back."""

import logging
import re
import sqlite3
from pathlib import Path

import pytest
from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.urls import reverse

from clients.models import Client, Precaution
from clients.records.belongings import belongings
from clients.records.erased import CLIENT, erased
from clients.records.services import erase_again, erase_client
from clients.services import add_precaution, edit_client, end_precaution
from coachdesk.practice.models import Act, Change
from coachdesk.practice.tape import UndoConflict, fields_of, undo, write
from programs.logs.models import LogImport, SessionLog
from programs.models import Exercise, Rollout, SheetRun
from programs.services import add_exercise, remove_session
from programs.services.strength import record_test
from tests.factories.clients import ClientFactory
from tests.factories.marked import MARKER, mark_everything, whole_client
from tests.traces import byte_traces, tables, traces

OURS = ("practice", "clients", "programs", "logs")
ON_FILE = pytest.mark.django_db(transaction=True)


def database_files() -> list[Path]:
    """The database's file, its log and what else stands beside it."""
    path = Path(str(connection.settings_dict["NAME"]))
    return [one for one in path.parent.iterdir() if one.name.startswith(path.name)]


def in_files() -> int:
    if connection.vendor != "sqlite":
        return 0
    return sum(byte_traces(one.read_bytes()) for one in database_files())


def busy_history(client, desk, now):
    """Acts of every sort on the client: edited, deleted again, undone, named in passing."""
    edit_client(by=desk, client=client, version=client.version, now=now, notes=f"{MARKER} of old")
    row = add_precaution(by=desk, client=client, now=now, words=f"{MARKER} knee")
    end_precaution(by=desk, precaution=row, now=now)
    with write(f"Remove {row}", by=desk) as tape:
        tape.delete(row)
    exercise = Exercise.objects.filter(practice=desk.practice, rep_kind="reps").first()
    record_test(by=desk, client=client, exercise=exercise, load=97_500, unit="kg", reps=1, on=now.date())
    session = client.programs.order_by("id")[0].blocks.get().sessions.get()
    planned = add_exercise(by=desk, session=session, exercise=exercise)
    with write(f"Say {MARKER} of it", by=desk, subject=f"program:{session.block.program_id}") as tape:
        planned = tape.lock(planned)
        planned.cue = MARKER
        tape.save(planned)
    _read_in(client, desk, now)
    remove_session(by=desk, session=session)
    undo(Act.objects.latest("id"), by=desk)
    edit_client(by=desk, client=client, version=Client.objects.get(pk=client.pk).version, now=now, name=MARKER)


def _read_in(client, desk, now):
    """A file named after the client, of somebody else's sets too: its act is not the client's alone."""
    label = f"Import 2 new and 0 changed sets from sets-{MARKER}_old.csv"
    with write(label, by=desk, subject="csvlogs:0", source="csv") as tape:
        for one in (client, ClientFactory(coach=desk, name="Stays Too")):
            tape.create(SessionLog(client=one, done_on=now.date(), logged_at=now))
    LogImport.objects.create(
        practice=desk.practice, by=desk, at=now, beat_at=now, act=tape.act, source=f"sets-{MARKER}_old.csv",
        counts={"clients": 2},
    )  # fmt: skip


def renamed(client) -> Client:
    return Client.objects.get(pk=client.pk)


@ON_FILE
def test_nothing_of_an_erased_client_is_found_anywhere(desk, now, tmp_path, caplog, record_property):
    client = whole_client(desk, now)
    busy_history(client, desk, now)
    done = mark_everything(client)
    home_before = {one for one in Path(settings.ENV.home).rglob("*") if one.is_file()}
    assert len(traces(tables())) > 100
    with caplog.at_level(logging.DEBUG):
        assert erase_client(by=desk, client=renamed(client), typed=MARKER, now=now)
    record_property("columns marked", len(done["marked"]))
    assert not traces(tables())
    assert in_files() == 0
    assert MARKER not in caplog.text
    new = {one for one in Path(settings.ENV.home).rglob("*") if one.is_file()} - home_before
    kept = [*new, *tmp_path.rglob("*")]
    assert not sum(byte_traces(one.read_bytes()) for one in kept if one.is_file())


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("source", "others", "kept"),
    [
        ("vera_lindholm.csv", 1, ""), ("LINDHOLM sets.csv", 1, ""), ("VeraLindholm2026.csv", 1, ""),
        ("autumn.csv", 0, ""), ("autumn.csv", 1, "autumn.csv"),
    ],
)  # fmt: skip
def test_a_file_that_tells_of_the_client_loses_its_name(desk, now, source, others, kept):
    client = whole_client(desk, now)
    with write(f"Import 1 new and 0 changed sets from {source}", by=desk, subject="csvlogs:0") as tape:
        for one in (client, *(ClientFactory(coach=desk, name="Tom Berg") for _ in range(others))):
            tape.create(SessionLog(client=one, done_on=now.date(), logged_at=now))
    row = LogImport.objects.create(
        practice=desk.practice, by=desk, at=now, beat_at=now, act=tape.act, source=source,
        counts={"clients": 1 + others},
    )  # fmt: skip
    erase_client(by=desk, client=client, typed="Vera Lindholm", now=now)
    row.refresh_from_db()
    tape.act.refresh_from_db()
    assert row.source == kept
    assert (source in tape.act.label) == bool(kept)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("said", "left"),
    [
        ("Import from vera_lindholm.csv", "Import from an erased client.csv"),
        ("Move VERA  Lindholm", "Move an erased client"),
        ("Move Vera Lindholms", "Move Vera Lindholms"),
        ("Move vera lindholm, and Vera-Lindholm", "Move an erased client, and an erased client"),
    ],
)
def test_a_label_in_passing_loses_the_name_however_it_is_parted(desk, now, said, left):
    client = whole_client(desk, now)
    act = Act.objects.create(practice=desk.practice, actor=desk, label=said, at=now)
    erase_client(by=desk, client=client, typed="Vera Lindholm", now=now)
    act.refresh_from_db()
    assert act.label == left


@ON_FILE
def test_the_search_finds_what_was_only_deleted(desk, now):
    """The check of the check: without erasing, the file and the tape still hold the marker."""
    client = whole_client(desk, now)
    mark_everything(client)
    with write("Delete", by=desk) as tape:
        tape.delete(client)
    assert traces(tables())
    assert connection.vendor != "sqlite" or in_files() > 0


def test_almost_every_column_of_a_client_holds_the_marker(desk, now):
    done = mark_everything(whole_client(desk, now))
    kinds = {one.label: one.model for one in belongings()}
    for name in done["refused"]:
        label, _, column = name.rpartition(".")
        field = kinds[label]._meta.get_field(column)
        short = (getattr(field, "max_length", None) or 0) in range(1, len(MARKER))
        # Dates, flags, ids, codes too short, and numbers that a named constraint keeps in a narrow range.
        narrow = any(f"'{column}__" in str(c) or f"'{column}'" in str(c) for c in kinds[label]._meta.constraints)
        other = field.get_internal_type() in ("DateField", "DateTimeField", "BooleanField", "UUIDField")
        assert short or narrow or other or getattr(field, "unique", False), name
    assert len(done["marked"]) > 90


def backed_up(path: Path) -> Path:
    """A copy by the database's own online means."""
    connection.ensure_connection()
    with sqlite3.connect(path) as copy:
        connection.connection.backup(copy)
    copy.close()
    return path


def restored(path: Path) -> None:
    with sqlite3.connect(path) as copy:
        connection.ensure_connection()
        copy.backup(connection.connection)
    copy.close()


@ON_FILE
def test_an_old_copy_that_is_put_back_is_erased_again(desk, now, tmp_path):
    if connection.vendor != "sqlite":
        # The same list and the same service; the way of putting back is the database's own.
        client = whole_client(desk, now)
        uid = client.uid
        erase_client(by=desk, client=client, typed=client.name, now=now)
        ClientFactory(coach=desk, uid=uid, notes=MARKER)
        assert erase_again() == 1
        assert not traces(tables())
        return
    client, other = whole_client(desk, now), ClientFactory(coach=desk, name="Stays Here")
    mark_everything(client)
    old = backed_up(tmp_path / "old.sqlite3")
    assert byte_traces(old.read_bytes())
    erase_client(by=desk, client=renamed(client), typed=MARKER, now=now)
    assert byte_traces(backed_up(tmp_path / "new.sqlite3").read_bytes()) == 0
    restored(old)
    assert traces(tables())
    call_command("erase_again")
    assert not traces(tables())
    assert in_files() == 0
    assert Client.objects.filter(pk=other.pk).exists()
    assert erase_again() == 0


@pytest.mark.django_db
def test_acts_keep_who_when_and_what_kind(desk, now):
    client = whole_client(desk, now)
    busy_history(client, desk, now)
    before = {a.pk: (a.actor_id, a.at, a.kind, a.source) for a in Act.objects.all()}
    erase_client(by=desk, client=renamed(client), typed=MARKER.upper(), now=now)
    after = {a.pk: (a.actor_id, a.at, a.kind, a.source) for a in Act.objects.all()}
    assert {pk: after[pk] for pk in before} == before
    labels = set(Act.objects.values_list("label", flat=True))
    assert "About an erased client: precaution" in labels
    assert not [label for label in labels if "Vera" in label or MARKER in label]
    assert Act.objects.latest("id").label == "Erase a client"
    assert not Change.objects.filter(model="clients.client", row=client.pk, before__isnull=False).exists()


@pytest.mark.django_db
def test_what_is_not_the_clients_stays_as_it_was(desk, now):
    client = whole_client(desk, now)
    theirs = {(one.label, row.pk) for one in belongings() for row in one.rows(client.pk)}
    kept = lambda: {  # noqa: E731
        (m._meta.label_lower, row.pk): fields_of(row) for m in apps.get_models()
        if m._meta.app_label in OURS and m not in (Act, Change, Rollout, SheetRun)
        for row in m._default_manager.all() if (m._meta.label_lower, row.pk) not in theirs
    }  # fmt: skip
    before = kept()
    erase_client(by=desk, client=client, typed="Vera Lindholm", now=now)
    assert kept() == before


@pytest.mark.django_db
def test_a_rollout_forgets_the_client(desk, now):
    client = whole_client(desk, now)
    rollout = Rollout.objects.order_by("id")[0]
    rollout.waiting, rollout.failed = [client.pk, 999], [[client.pk, "Vera was ill"], [998, "gone"]]
    rollout.save()
    erase_client(by=desk, client=client, typed="Vera Lindholm", now=now)
    rollout.refresh_from_db()
    assert (rollout.waiting, rollout.failed) == ([999], [[998, "gone"]])


@pytest.mark.django_db
def test_an_act_on_an_erased_client_cannot_be_undone(desk, now):
    client = whole_client(desk, now)
    row = add_precaution(by=desk, client=client, now=now, words="Knee")
    act = Act.objects.latest("id")
    erase_client(by=desk, client=client, typed="Vera Lindholm", now=now)
    for one in (act, Act.objects.latest("id")):
        with pytest.raises(UndoConflict, match="erased"):
            undo(Act.objects.get(pk=one.pk), by=desk)
    assert not Precaution.objects.filter(pk=row.pk).exists()


@pytest.mark.django_db
@pytest.mark.parametrize("typed", ["", "Vera", "Vera Lindholmm", "x" * 100_000, "\x00", "Vera\x00"])
def test_the_wrong_name_erases_nothing(as_coach, desk, now, typed):
    client = whole_client(desk, now)
    answer = as_coach.post(reverse("clients:client_erase", args=[client.pk]), {"typed": typed})
    assert answer.status_code == 422
    assert Client.objects.filter(pk=client.pk).exists()
    assert erased() == []


@pytest.mark.django_db
def test_the_page_says_what_goes_and_erases_once(as_coach, desk, now):
    client = whole_client(desk, now)
    url = reverse("clients:client_erase", args=[client.pk])
    page = as_coach.get(url).content.decode()
    assert "Nobody can undo this" in page
    assert re.search(r"<dt>Set logs?</dt><dd>\d+</dd>", page)
    assert as_coach.post(url, {"typed": " vera  LINDHOLM "}).status_code == 302
    assert as_coach.post(url, {"typed": "Vera Lindholm"}).status_code == 404
    assert not Client.objects.filter(pk=client.pk).exists()
    assert [(one.what, one.uid) for one in erased()] == [(CLIENT, client.uid)]


@pytest.mark.django_db
def test_a_fault_takes_the_id_off_the_list(desk, now, monkeypatch):
    client = whole_client(desk, now)

    def fail(*_args, **_more):
        raise RuntimeError("disk")

    monkeypatch.setattr("clients.records.services.acts_about", fail)
    with pytest.raises(RuntimeError):
        erase_client(by=desk, client=client, typed="Vera Lindholm", now=now)
    assert Client.objects.filter(pk=client.pk).exists()
    assert erased() == []
    assert len(Path(settings.ERASED_IDS).read_text().splitlines()) == 2


def test_a_line_cut_off_is_passed_over(settings, tmp_path):
    settings.ERASED_IDS = tmp_path / "ids"
    Path(settings.ERASED_IDS).write_bytes(
        b"client 0b0e7b0e-5f0c-4d53-9d0b-0a8f7a3c1d11 2026-11-24T12:00:00+00:00\nclient 0b0e7b\xff\n\nother a b\n"
    )
    assert [one.what for one in erased()] == [CLIENT]
