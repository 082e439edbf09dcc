"""The roster's kept rows: each is up to date or marked, whatever was written; marks come with the write or not at all.

Every write of the desk that the fault tests know is made, alone and in random series with undos; after each, every row
that says it is up to date equals the one worked out from nothing.
"""

import random
from datetime import timedelta

import pytest
from django.db import transaction

from clients.models import Client
from clients.services import edit_client
from coachdesk.practice.models import Act
from coachdesk.practice.selectors import visible_coaches
from coachdesk.practice.tape import undo, write
from programs.logs.models import ClientNeed
from programs.logs.selectors.needs import behind, worked_out
from programs.logs.services import bring_up_to_date, refresh_needs
from programs.logs.services.needs import FIELDS, keep_needs
from tests.factories.clients import ClientFactory
from tests.factories.logs import NOON
from tests.faults import calls_of_logs, calls_of_people, calls_of_plans
from tests.faults.world import TODAY, World

pytestmark = pytest.mark.django_db
CALLS = calls_of_people.CALLS | calls_of_logs.CALLS | calls_of_plans.CALLS
OWN = {"begin needs", "keep needs"}
SERIES, ACTS = 3, 25


def everybody(practice):
    return list(Client.objects.filter(practice=practice, archived_on=None).values_list("pk", flat=True))


def fields_kept(row):
    return {name: getattr(row, name) for name in FIELDS}


def wrong_rows(practice):
    """Rows that say they are up to date and are not."""
    rows = Client.objects.filter(practice=practice, archived_on=None)
    made = worked_out(list(rows.select_related("coach__user", "place", "practice")), TODAY)
    kept = [row for row in ClientNeed.objects.filter(client__in=made) if row.marked == row.worked and row.on == TODAY]
    return {
        row.client.name: [name for name in FIELDS if getattr(row, name) != getattr(made[row.client_id], name)]
        for row in kept
        if fields_kept(row) != fields_kept(made[row.client_id])
    }


@pytest.fixture
def world(desk, now):
    made = World(desk, now)
    refresh_needs(desk.practice, everybody(desk.practice), TODAY)
    assert not list(behind(visible_coaches(desk), TODAY))
    return made


def test_after_every_write_each_row_is_marked_or_right(world, desk):
    moved, wrong = set(), {}
    for name, call in CALLS.items():
        with transaction.atomic():
            call(world)
            if found := wrong_rows(desk.practice):
                wrong[name] = found
            if behind(visible_coaches(desk), TODAY).exists():
                moved.add(name)
            transaction.set_rollback(True)
    assert wrong == {}
    assert len(CALLS) > 90
    assert {"log set", "edit set", "remove set", "record test", "skip session", "pain", "edit client"} <= moved


@pytest.mark.parametrize("seed", range(SERIES))
def test_after_any_series_of_writes_and_undos_each_row_is_marked_or_right(world, desk, seed):
    drawn, made = random.Random(seed), 0
    # Erasing ends the series' own client; it is tried by itself above.
    names = sorted(name for name in set(CALLS) - OWN if "eras" not in name)
    for _ in range(ACTS):
        try:
            with transaction.atomic():
                if drawn.random() < 0.25:
                    undo(Act.objects.filter(practice=desk.practice, is_undone=False).order_by("-id")[0], by=desk)
                else:
                    CALLS[drawn.choice(names)](world)
                made += 1
        except Exception:  # refused, or without what an earlier call took away: rolled back, and nothing of this test
            continue
        assert wrong_rows(desk.practice) == {}
        if drawn.random() < 0.3:
            refresh_needs(desk.practice, everybody(desk.practice), TODAY)
            assert not list(behind(visible_coaches(desk), TODAY))
            assert wrong_rows(desk.practice) == {}
    assert made > ACTS // 3


def test_a_write_that_fails_leaves_no_mark(desk):
    client = ClientFactory(coach=desk)
    refresh_needs(desk.practice, [client.pk], TODAY)

    def renamed_in_vain():
        with write("Rename", by=desk) as tape:
            row = tape.lock(client)
            row.name = "Other"
            tape.save(row)
            raise RuntimeError("power")

    with pytest.raises(RuntimeError):
        renamed_in_vain()
    assert not list(behind(visible_coaches(desk), TODAY))


def test_what_is_written_while_a_row_is_worked_out_is_not_lost(desk):
    client = ClientFactory(coach=desk)
    refresh_needs(desk.practice, [client.pk], TODAY)
    seen = {client.pk: ClientNeed.objects.get(client=client).marked}
    made = worked_out([client], TODAY)
    edit_client(by=desk, client=client, version=1, now=NOON, goal="strength")
    keep_needs(desk.practice, made, seen)
    assert list(behind(visible_coaches(desk), TODAY)) == [client.pk]


def test_a_new_day_puts_every_row_behind_and_looking_works_them_out(desk):
    clients = [ClientFactory(coach=desk) for _ in range(12)]
    refresh_needs(desk.practice, everybody(desk.practice), TODAY - timedelta(days=1))
    assert len(behind(visible_coaches(desk), TODAY)) == len(clients)
    bring_up_to_date(desk, TODAY)
    assert not list(behind(visible_coaches(desk), TODAY))


def test_nobody_else_is_marked(desk, stranger):
    mine, other, theirs = ClientFactory(coach=desk), ClientFactory(coach=desk), ClientFactory(coach=stranger)
    for one in (mine, other, theirs):
        refresh_needs(one.practice, [one.pk], TODAY)
    edit_client(by=desk, client=mine, version=1, now=NOON, goal="strength")
    assert set(ClientNeed.objects.filter(marked__gt=1).values_list("client", flat=True)) == {mine.pk}


def test_a_client_that_cannot_be_worked_out_keeps_nobody_else_back(desk, monkeypatch, caplog):
    from programs.logs.services import needs

    clients = [ClientFactory(coach=desk) for _ in range(12)]

    def refuse(rows, today):
        if any(row.pk == clients[3].pk for row in rows):
            raise ValueError("squat 100 kg")
        return worked_out(rows, today)

    monkeypatch.setattr(needs, "worked_out", refuse)
    bring_up_to_date(desk, TODAY)
    assert list(behind(visible_coaches(desk), TODAY)) == [clients[3].pk]
    assert "squat" not in caplog.text
