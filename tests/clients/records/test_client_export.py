"""Exporting a client: everything, exactly, and nothing of anybody else's."""

import csv
import io
import json
import zipfile

import pytest
from django.apps import apps
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from clients.models import Client, Precaution
from clients.records.belongings import belongings
from clients.records.cells import RISKY, from_cell, guarded, to_cell, unguarded
from clients.records.export import csv_text
from clients.services import add_precaution, create_client
from coachdesk.practice.models import Act
from coachdesk.practice.rows import fields_of, row_from
from coachdesk.practice.tape import write
from programs.logs.models import SessionLog, SetLog
from programs.models import StrengthObservation
from tests.factories.calendar import SessionLogFactory
from tests.factories.clients import ClientFactory, PrecautionFactory
from tests.factories.marked import MARKER, mark_everything, whole_client


def unzipped(answer) -> dict[str, str]:
    assert answer.status_code == 200
    archive = zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content)))
    assert archive.testzip() is None
    return {name: archive.read(name).decode() for name in archive.namelist()}


def exported(browser, client) -> dict[str, str]:
    return unzipped(browser.get(reverse("clients:client_export", args=[client.pk])))


def table(text: str) -> list[list[str]]:
    return list(csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline="")))


@pytest.mark.django_db
def test_every_row_and_column_is_in_the_json_and_reads_back_the_same(as_coach, desk, now):
    client = whole_client(desk, now)
    said = json.loads(exported(as_coach, client)["client.json"])
    assert set(said["rows"]) == {one.label for one in belongings()}
    for one in belongings():
        kept = [fields_of(row) for row in one.rows(client.pk)]
        assert kept, one.label
        assert said["rows"][one.label] == json.loads(json.dumps(kept, default=str)), one.label
        for row, values in zip(one.rows(client.pk), said["rows"][one.label], strict=True):
            assert fields_of(row_from(one.model, values)) == fields_of(row)


@pytest.mark.django_db
def test_every_row_and_column_is_in_a_table_and_reads_back_the_same(as_coach, desk, now):
    client = whole_client(desk, now)
    mark_everything(client)
    SetLog.objects.filter(client=client).update(load=42_500)
    Precaution.objects.filter(client=client).update(words='=HYPERLINK("x")\r\n"quoted", \'kept\'')
    files = exported(as_coach, client)
    for one in belongings():
        head, *lines = table(files[f"csv/{one.plural.replace(' ', '-')}.csv"])
        fields = one.model._meta.concrete_fields
        assert head[: len(fields)] == [f.attname for f in fields]
        rows = list(one.rows(client.pk))
        assert len(lines) == len(rows)
        for line, row in zip(lines, rows, strict=True):
            read = {f.attname: from_cell(f, cell) for f, cell in zip(fields, line, strict=False)}
            assert read == fields_of(row), one.label


@pytest.mark.django_db
def test_a_name_in_the_table_says_what_is_pointed_at(as_coach, desk, now):
    client = whole_client(desk, now)
    files = exported(as_coach, client)
    head, *lines = table(files["csv/strength-observations.csv"])
    row = StrengthObservation.objects.filter(client=client).order_by("pk")[0]
    assert dict(zip(head, lines[0], strict=True))["exercise"] == row.exercise.name
    said = json.loads(files["client.json"])
    assert said["named"]["programs.exercise"][str(row.exercise_id)] == row.exercise.name
    assert [one["name"] for one in said["equipment"][str(client.place_id)]] == ["Bar and plates"]


@pytest.mark.django_db
def test_acts_are_those_about_the_client_deleted_rows_included(as_coach, desk, now):
    client, other = whole_client(desk, now), ClientFactory(coach=desk)
    row = add_precaution(by=desk, client=client, now=now, words="Left knee")
    with write("Remove it", by=desk) as tape:
        tape.delete(row)
    add_precaution(by=desk, client=other, now=now, words="Of somebody else")
    acts = json.loads(exported(as_coach, client)["client.json"])["acts"]
    assert [a["what"] for a in acts][-2:] == ["Add a precaution for Vera Lindholm", "Remove it"]
    assert acts[-1]["changes"][0]["before"]["words"] == "Left knee"
    assert acts[-1]["by"] == "Ana Reis"
    assert "Of somebody else" not in json.dumps(acts)


@pytest.mark.django_db
def test_an_act_on_many_shows_only_this_clients_changes(as_coach, desk, now):
    with write("Add two", by=desk, at=now):
        first = create_client(by=desk, now=now, name="First One")
        create_client(by=desk, now=now, name="Second One")
    files = exported(as_coach, first)
    assert "First One" in files["client.json"]
    assert not [name for name, text in files.items() if "Second One" in text]


@pytest.mark.django_db
def test_nothing_of_another_client_is_in_the_file(as_coach, desk, now):
    client, other = ClientFactory(coach=desk, name="Only Me"), whole_client(desk, now)
    mark_everything(other)
    assert not [name for name, text in exported(as_coach, client).items() if MARKER in text]


@pytest.mark.django_db
def test_set_logs_are_in_the_words_of_the_trade(as_coach, desk, now):
    client = whole_client(desk, now)
    SetLog.objects.filter(client=client).update(load=-12_500, rir=1.5, side="l")
    SessionLog.objects.filter(client=client).update(note="=Slept badly")
    head, *lines = table(exported(as_coach, client)["set-logs.csv"])
    assert head == [
        "client", "date", "session", "exercise", "exercise no", "set", "step", "side", "load", "setting", "unit",
        "reps", "rir", "failed", "minutes", "rating", "note",
    ]  # fmt: skip
    assert len(lines) == SetLog.objects.filter(client=client).count() > 3
    row = dict(zip(head, lines[0], strict=True))
    assert (row["load"], row["rir"], row["side"]) == ("12.5 assistance", "1.5", "left")
    assert (row["client"], row["note"]) == ("Vera Lindholm", "'=Slept badly")
    assert [line[-1] for line in lines].count("'=Slept badly") == 1


@pytest.mark.django_db
def test_the_read_me_names_every_column(as_coach, desk, now):
    text = exported(as_coach, whole_client(desk, now))["README.txt"]
    for one in belongings():
        assert f"\n{one.plural}\n" in text
        assert all(f"    {f.attname} " in text for f in one.model._meta.concrete_fields)
    assert "None" not in text


@pytest.mark.django_db
def test_the_practice_of_an_owner_holds_every_client_and_what_is_shared(as_owner, desk, stranger, now):
    client = whole_client(desk, now)
    ClientFactory(coach=stranger, name="Not Ours")
    files = unzipped(as_owner.get(reverse("clients:practice_export")))
    mine = {f"clients/{one.pk}.json" for one in Client.objects.filter(practice=desk.practice)}
    assert {name for name in files if name.startswith("clients/")} == mine
    shared = json.loads(files["practice.json"])["rows"]
    assert [row["name"] for row in shared["clients.place"]] == ["Full gym"]
    assert [row["name"] for row in shared["programs.program"]] == ["Base block"]
    assert not shared["clients.client"]
    assert not shared["logs.setlog"]
    assert not [name for name, text in files.items() if "Not Ours" in text]
    said = json.loads(files[f"clients/{client.pk}.json"])
    assert said["rows"] == json.loads(exported(as_owner, client)["client.json"])["rows"]


@pytest.mark.django_db
def test_every_row_of_the_practice_is_in_one_file_or_the_other(as_owner, desk, now):
    whole_client(desk, now)
    files = unzipped(as_owner.get(reverse("clients:practice_export")))
    found = set()
    for name, text in files.items():
        if name.endswith(".json"):
            found |= {(kind, row["id"]) for kind, rows in json.loads(text)["rows"].items() for row in rows}
    # Users belong to no practice, and the tape goes with the clients.
    left_out = ("practice.user", "practice.act", "practice.change", "practice.signinlink", "practice.signinattempt")
    wanted = {
        (m._meta.label_lower, row.pk) for m in apps.get_models() for row in m._default_manager.all()
        if m._meta.app_label in ("practice", "clients", "programs", "logs") and m._meta.label_lower not in left_out
    }  # fmt: skip
    assert wanted - found == set()


@pytest.mark.django_db
def test_a_coach_gets_own_clients_and_an_assistant_none(as_coach, as_assistant, owner, desk, now):
    ClientFactory(coach=owner, name="The Owner's Own")
    mine = ClientFactory(coach=desk, name="Mine")
    files = unzipped(as_coach.get(reverse("clients:practice_export")))
    assert f"clients/{mine.pk}.json" in files
    assert "practice.json" not in files
    assert not [name for name, text in files.items() if "The Owner" in text]
    for url in (reverse("clients:practice_export"), reverse("clients:client_export", args=[mine.pk])):
        assert as_assistant.get(url).status_code == 403


@pytest.mark.django_db
def test_the_file_is_sent_in_pieces_while_rows_are_read(as_coach, desk, now):
    client = ClientFactory(coach=desk)
    log = SessionLogFactory(client=client)
    exercise = whole_client(desk, now).session_logs.get().sets.all()[0].exercise
    SetLog.objects.bulk_create(
        SetLog(session_log=log, client=client, exercise=exercise, done_on=log.done_on, position=1, set_no=n, reps=5)
        for n in range(1, 4001)
    )
    pieces = list(as_coach.get(reverse("clients:client_export", args=[client.pk])).streaming_content)
    assert len(pieces) > 10
    assert max(map(len, pieces)) < sum(map(len, pieces)) / 3


@pytest.mark.django_db
def test_exporting_changes_nothing(as_coach, desk, now):
    client, acts = whole_client(desk, now), Act.objects.count()
    exported(as_coach, client)
    assert Act.objects.count() == acts


@given(st.text())
def test_guarding_is_undone_exactly(text):
    assert unguarded(guarded(text)) == text
    assert not guarded(text).startswith(RISKY[:-5])


@given(st.lists(st.lists(st.text(), min_size=2, max_size=4), max_size=5))
def test_a_table_reads_back_the_same(lines):
    assert list(csv.reader(io.StringIO("".join(csv_text(lines)), newline=""))) == lines


@pytest.mark.django_db
@pytest.mark.parametrize(
    "words", ["=1+1", "+49", "-5", "@x", "'=1", "\t=1", "a\r\nb", 'say "x", y', "", "＝1", "\u202e=1"]
)
def test_words_come_back_as_they_were_typed(desk, words):
    row = PrecautionFactory(client=ClientFactory(coach=desk), words=words)
    field = Precaution._meta.get_field("words")
    cell = to_cell(field, words)
    assert from_cell(field, cell) == words
    assert cell[:1] not in ("=", "+", "-", "@", "\t")
    assert row.words == words
