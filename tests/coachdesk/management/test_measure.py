"""The measure command: a scratch copy and nothing else is touched; numbers that fit each other; clear refusals."""

import json
from io import StringIO
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from coachdesk.management.benchmarks import BENCHMARKS
from coachdesk.management.benchmarks.harness import p95
from coachdesk.management.benchmarks.pages import expect
from coachdesk.practice.models import Act, Practice
from programs.models import Program
from programs.services import load_library
from tests.factories.clients import ClientFactory
from tests.factories.practice import MembershipFactory

FIELDS = {"name", "value", "unit", "reference", "ratio", "p95", "queries"}


def measured(*names: str, **options: Any) -> list[dict[str, Any]]:
    out = StringIO()
    call_command("measure", *names, json=True, rounds=5, stdout=out, **options)
    return [json.loads(line) for line in out.getvalue().splitlines()]


@pytest.mark.django_db(transaction=True)
def test_an_empty_database_is_measured_on_a_scratch_demo_practice(capsys: pytest.CaptureFixture[str]) -> None:
    rows = measured(*BENCHMARKS)
    assert [row["name"] for row in rows] == list(BENCHMARKS)
    for row in rows:
        assert set(row) == FIELDS
        assert row["unit"] == "ms"
        assert 0 < row["value"] <= row["p95"]
        assert row["ratio"] == pytest.approx(row["value"] / row["reference"], rel=0.01)
        assert row["queries"] >= 3  # session, user, membership at least
    assert rows[0]["name"] == "floor"
    assert rows[0]["ratio"] == 1
    assert "scratch one with the demo practice" in capsys.readouterr().err
    assert not Practice.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_handing_out_is_measured_beside_a_bare_insert_and_leaves_no_copy(monkeypatch: pytest.MonkeyPatch) -> None:
    for name, few in (("CLIENTS", 30), ("RUNS", 1)):
        monkeypatch.setattr(f"coachdesk.management.benchmarks.assign.{name}", few)
    rate, memory, undone = measured("assign")
    assert (rate["name"], rate["unit"], undone["unit"]) == ("assign", "clients/s", "ms")
    assert rate["reference"] > rate["value"] > 1  # a bare insert checks nothing, records nothing and never pauses
    assert 0 < memory["value"] < 100
    assert not Program.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_writers_at_once_are_measured_beside_a_bare_insert(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("coachdesk.management.benchmarks.log_rate.WRITERS", 2)
    bare, page = measured("log_rate")
    assert (bare["name"], page["name"], bare["unit"]) == ("log_rate", "log_rate_page", "sets/s")
    assert bare["value"] == page["value"] > 0
    assert bare["reference"] > page["reference"] > page["value"]  # an insert, with a page, with all that follows
    assert not Practice.objects.exists()


@pytest.fixture
def alone(transactional_db: None) -> None:
    """Nobody else connected: PostgreSQL copies no database that others use, and tests with threads leave sessions."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT pg_terminate_backend(pid, 5000) FROM pg_stat_activity"
                " WHERE datname = current_database() AND pid <> pg_backend_pid()"
            )


@pytest.mark.usefixtures("alone")
def test_measuring_writes_to_the_copy_alone() -> None:
    load_library()
    owner = MembershipFactory(owner=True)
    ClientFactory(coach=owner)
    own = connection.settings_dict["NAME"]
    rows = measured("edit", "edit")
    assert [row["name"] for row in rows] == ["edit"]
    assert rows[0]["queries"] > 15  # it did write: lock, update, change, act
    assert connection.settings_dict["NAME"] == own
    assert (Practice.objects.count(), Program.objects.count(), Act.objects.count()) == (1, 0, 0)


@pytest.mark.usefixtures("alone")
def test_a_practice_without_clients_is_told_so() -> None:
    MembershipFactory(owner=True)
    with pytest.raises(CommandError, match="no client; 'client', 'trends', 'edit' and 'log_set' need one"):
        measured("edit")


def test_prescribing_is_measured_without_a_database() -> None:
    rows = {row["name"]: row for row in measured("prescribe")}
    units = {"prescribe": "ms", "prescribe_rate": "M steps/s", "prescribe_memory": "MB"}
    assert {name: row["unit"] for name, row in rows.items()} == {**units, "client_cold": "ms", "client_warm": "ms"}
    for row in rows.values():
        assert set(row) == FIELDS
        assert row["ratio"] == pytest.approx(row["value"] / row["reference"], rel=0.01)
        assert row["queries"] == 0
    # 1,000 clients x 12 weeks x 4 sessions x 6 exercises x 4 steps
    assert rows["prescribe"]["value"] * rows["prescribe_rate"]["value"] == pytest.approx(1152, rel=0.01)
    assert rows["client_warm"]["value"] < rows["client_cold"]["value"]


def test_an_unknown_name_is_refused_with_the_names_there_are() -> None:
    with pytest.raises(CommandError, match=r"no benchmark 'rooster'; there are: floor, roster, .*log_set, .*prescribe"):
        call_command("measure", "rooster")


@pytest.mark.parametrize("rounds", [0, 301])
def test_rounds_out_of_range_are_refused(rounds: int) -> None:
    with pytest.raises(CommandError, match=f"--rounds is {rounds}; it should be 5 to 300"):
        call_command("measure", "floor", rounds=rounds)


def test_p95_is_the_nearest_rank() -> None:
    assert p95([float(n) for n in range(1, 21)]) == 19
    assert p95([3.0, 1.0, 2.0]) == 3


def test_a_wrong_answer_is_no_measurement(anonymous: Any) -> None:
    with pytest.raises(RuntimeError, match="answered 302; expected 200"):
        expect(anonymous.get("/acts/"), 200, b"")
