"""The seed command: refused where data are or numbers make no sense, repeatable, longer or larger when asked."""

import hashlib
from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, transaction
from django.db.models import Max, Min

from clients.models import Client, Place
from coachdesk.management.seeding.bulk import insert, links_checked_at_the_end, pour, ready
from coachdesk.management.seeding.house import open_house
from coachdesk.management.seeding.people import Seeded, roster_of, seed_practice
from coachdesk.management.seeding.years import POURED
from coachdesk.practice.models import Practice
from programs.logs.models import MuscleWeek, SetLog
from programs.logs.selectors import drifted_weeks
from programs.logs.services import refresh_client
from programs.models import Exercise, StrengthObservation, TrainingGroup
from tests.factories.clients import ClientFactory
from tests.factories.practice import PracticeFactory

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
TODAY = NOW.date()


def digest_of_sets() -> str:
    """Every set log as it was typed, without database ids."""
    rows = SetLog.objects.order_by("client__name", "session_log__key", "position", "set_no", "step_no", "side")
    names = (
        "client__name", "exercise__code", "key", "done_on", "position", "set_no", "step_no", "side", "rep_kind",
        "planned_load", "planned_reps", "planned_rir", "load", "unit", "reps", "rir", "as_written", "failed",
    )  # fmt: skip
    return hashlib.sha256(repr(list(rows.values_list(*names))).encode()).hexdigest()


def test_same_seed_and_date_give_the_same_sets_and_another_seed_others(
    db: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    def few(*args: Any, **kwargs: Any) -> Any:
        return roster_of(*args, **kwargs)[1:4]

    monkeypatch.setattr("coachdesk.management.seeding.people.roster_of", few)
    digests = []
    for seed in (7, 7, 8):
        with transaction.atomic():
            assert [one.sets > 200 for one in seed_practice(now=NOW, seed=seed)] == [True, True, True]
            digests.append(digest_of_sets())
            transaction.set_rollback(True)
    assert digests[0] == digests[1] != digests[2]


def test_the_demo_practice_has_a_group_that_trains_at_one_place(db: None) -> None:
    for _ in seed_practice(now=NOW, weeks=4):
        pass
    group = TrainingGroup.objects.get()
    assert [one.client.name for one in group.members.order_by("position")] == [
        "Henrik Duarte", "Lupe Anand", "Noor Vandesalle",
    ]  # fmt: skip
    assert group.place is not None


def test_more_clients_are_drawn_behind_the_demo_ones() -> None:
    told, more = (roster_of(TODAY, clients=n, weeks=None, seed=7) for n in (None, 40))
    assert more[:15] == told
    assert len({person.name for person in more}) == 40


def test_weeks_say_how_long_the_past_is() -> None:
    amara = roster_of(TODAY, clients=None, weeks=6, seed=7)[0]
    assert amara.program is not None
    assert amara.program.start_on == date(2026, 10, 12)  # six weeks before the Monday of today's week


@pytest.mark.parametrize("who", [0, 2, 3])
def test_years_are_carried_back_as_if_they_had_been_read_in(
    db: None, monkeypatch: pytest.MonkeyPatch, who: int
) -> None:
    """In kg, in lb and of body weight: what was poured in is what the desk works out anew from the sets."""
    monkeypatch.setattr(
        "coachdesk.management.seeding.people.roster_of", lambda *a, **k: roster_of(*a, **k)[who : who + 1]
    )
    (made,) = seed_practice(now=NOW, weeks=60)
    client = Client.objects.get()
    rows = SetLog.objects.filter(client=client)
    assert made.sets == rows.count()
    days = rows.aggregate(first=Min("done_on"), last=Max("done_on"))
    assert 58 <= (days["last"] - days["first"]).days / 7 <= 61
    assert drifted_weeks(client) == []
    told = observed(client)
    assert len(told) > 100
    refresh_client(client.pk)
    assert observed(client) == told
    for row in rows.select_related("exercise", "session_log"):
        row.full_clean(validate_unique=False, validate_constraints=False)


def observed(client: Client) -> list[tuple[Any, ...]]:
    names = [f.name for f in StrengthObservation._meta.concrete_fields if f.name != "id"]
    return sorted(map(repr, StrengthObservation.objects.filter(client=client).values_list(*names)))


def test_a_big_practice_has_a_coach_for_each_fifty_clients(db: None) -> None:
    house = open_house(NOW, 1000)
    coaches = [house.coach_of(f"drawn-{n}") for n in range(40)]
    assert len(set(coaches)) == 20
    assert {coaches.count(one) for one in coaches} == {2}
    assert house.coach_of("amara") == house.owner


def test_seeding_is_refused_where_a_practice_exists(db: None) -> None:
    PracticeFactory(name="North Hall")
    with pytest.raises(CommandError, match="holds the practice 'North Hall' already"):
        call_command("seed")
    assert not Client.objects.exists()
    assert not Exercise.objects.exists()


@pytest.mark.parametrize(
    ("option", "words"),
    [
        ({"clients": 14}, "--clients is 14; it should be 15 to 2000"),
        ({"clients": 2001}, "--clients is 2001"),
        ({"weeks": 3}, "--weeks is 3; it should be 4 to 520"),
        ({"seed": -1}, "--seed is -1"),
    ],
)
def test_numbers_out_of_range_are_refused_before_anything_is_written(
    db: None, option: dict[str, int], words: str
) -> None:
    with pytest.raises(CommandError, match=words):
        call_command("seed", **option)
    assert not Practice.objects.exists()


def test_an_interrupted_run_keeps_nothing(db: None, monkeypatch: pytest.MonkeyPatch) -> None:
    names = iter(["Amara", "Jonas"])

    def seed_two(*args: Any, **kwargs: Any) -> Seeded:
        name = next(names, None)
        if name is None:
            raise KeyboardInterrupt
        return Seeded(Client(name=name), 0, 0)

    monkeypatch.setattr("coachdesk.management.seeding.people._seed_person", seed_two)
    with pytest.raises(CommandError, match="Stopped after 2 clients; nothing was kept"):
        call_command("seed")
    assert not Practice.objects.exists()
    assert not Exercise.objects.exists()


def test_bulk_rows_are_checked_before_they_are_written(db: None) -> None:
    with pytest.raises(ValidationError, match="at most 80"):
        insert([Place(practice=PracticeFactory(), name="x" * 81)])
    assert not Place.objects.exists()


def links(cursor: Any) -> list[tuple[Any, ...]]:
    cursor.execute(
        "SELECT conrelid::regclass::text, conname, pg_get_constraintdef(oid), convalidated FROM pg_constraint "
        "WHERE contype = 'f' ORDER BY 1, 2"
    )
    return list(cursor.fetchall())


@pytest.mark.postgres
def test_links_are_the_same_after_many_rows_and_a_wrong_one_is_found(db: None) -> None:
    client = ClientFactory()
    with connection.cursor() as cursor:
        before = links(cursor)
        with links_checked_at_the_end(POURED):
            assert len(links(cursor)) < len(before)
            MuscleWeek.objects.create(client=client, monday=date(2026, 11, 16), muscle="chest")
        assert links(cursor) == before
        nobody = MuscleWeek(client_id=client.pk + 1000, monday=date(2026, 11, 16), muscle="chest")
        with pytest.raises(IntegrityError), transaction.atomic(), links_checked_at_the_end(POURED):
            pour(MuscleWeek, [ready(nobody)])
        assert links(cursor) == before
