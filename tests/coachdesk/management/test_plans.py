"""Plans of the hot pages' statements: a whole table that grows is read by none, and one that is read is found."""

import pytest
from django.db import connection
from django.db.models import Exists, OuterRef

from coachdesk.management.benchmarks.plans import HOT, growing_tables, scans_of, statements_of
from coachdesk.management.benchmarks.scratch import scratch_database
from coachdesk.management.benchmarks.stage import Stage
from programs.logs.models import SessionLog, SetLog
from programs.models import Exercise


@pytest.mark.django_db(transaction=True)
def test_no_hot_page_reads_a_whole_table_that_grows() -> None:
    with scratch_database():
        stage = Stage.set_up()
        asked = {name: statements_of(make(stage, 2)) for name, make in HOT.items()}
        scans = [str(scan) for name, one in asked.items() for scan in scans_of(name, one, any_index=True)]
    assert scans == []
    assert all(len(one) >= 5 for one in asked.values())


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("rows", "table"),
    [
        (SetLog.objects.filter(reps=5), "logs_setlog"),
        (SessionLog.objects.filter(Exists(SetLog.objects.filter(reps=OuterRef("minutes"))), client=1), "logs_setlog"),
        (SessionLog.objects.order_by("rating"), "logs_sessionlog"),
    ],
)
def test_a_whole_table_is_told_with_its_statement(rows, table) -> None:
    sql, params = rows.query.sql_with_params()
    (scan,) = scans_of("here", {sql: params}, any_index=True)
    assert (scan.page, scan.table) == ("here", table)
    assert sql[:300] in str(scan)


@pytest.mark.django_db
def test_what_an_index_serves_or_what_stays_small_is_no_scan() -> None:
    for rows in (
        SetLog.objects.filter(client=1, done_on="2026-11-24"),
        SetLog.objects.filter(session_log=1).order_by("position", "set_no"),
        SessionLog.objects.filter(client=1).order_by("-done_on", "-id"),
        Exercise.objects.order_by("name"),
    ):
        sql, params = rows.query.sql_with_params()
        assert list(scans_of("here", {sql: params}, any_index=True)) == []


def test_tables_that_grow_are_those_of_clients_and_acts() -> None:
    assert {"logs_setlog", "logs_departure", "programs_plannedset", "practice_change"} & growing_tables() >= {
        "logs_setlog", "logs_departure", "practice_change",
    }  # fmt: skip
    assert not growing_tables() & {"programs_exercise", "clients_place", "practice_membership", connection.vendor}
