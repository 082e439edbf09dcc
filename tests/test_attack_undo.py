"""Attacks on undo and on writing at once: nothing is lost, doubled or overwritten, and no press ends in a 500."""

import threading
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from django.db import connection, connections
from django.test import Client as Browser

from clients import services
from clients.models import Client, Equipment, MarkedMuscle, Place, Precaution
from coachdesk.practice.models import Act, Change, Membership
from coachdesk.practice.tape import Gone, UndoConflict, next_undo, undo, write
from programs.models import PlannedExercise, PlannedSession
from programs.services import edit_exercise, remove_exercise, remove_session
from tests.factories.clients import KG_DUMBBELLS, ClientFactory, EquipmentFactory, PlaceFactory
from tests.factories.practice import MembershipFactory
from tests.factories.programs import STRAIGHT
from tests.factories.whole import one_of_everything


def last_act() -> Act:
    return Act.objects.latest("id")


def refused(browser: Browser, act: Act) -> str:
    """What the list of changes says to an undo that must not happen."""
    count = Act.objects.count()
    answer = browser.post(f"/acts/{act.pk}/undo/", follow=True)
    assert answer.status_code == 200
    assert Act.objects.count() == count
    return answer.content.decode()


def test_bringing_back_equipment_whose_name_was_given_again(desk: Membership, now: datetime, as_coach: Browser) -> None:
    place = PlaceFactory(practice=desk.practice)
    old = EquipmentFactory(place=place)
    services.remove_equipment(by=desk, equipment=old, now=now)
    act = last_act()
    EquipmentFactory(place=place, name=old.name)
    assert "something newer has taken its place" in refused(as_coach, act)
    assert Equipment.objects.count() == 1


def test_going_back_to_a_name_that_was_given_again(desk: Membership, now: datetime, as_coach: Browser) -> None:
    place = services.create_place(by=desk, now=now, name="Barn")
    services.rename_place(by=desk, place=place, version=1, now=now, name="Loft")
    act = last_act()
    services.create_place(by=desk, now=now, name="Barn")
    assert "something newer has taken its place" in refused(as_coach, act)
    assert set(Place.objects.values_list("name", flat=True)) == {"Loft", "Barn"}


def test_bringing_back_a_mark_that_was_set_again(desk: Membership, now: datetime, as_coach: Browser) -> None:
    client = ClientFactory(coach=desk)
    services.mark_muscles(by=desk, client=client, now=now, marks={"chest": "grow"})
    services.mark_muscles(by=desk, client=client, now=now, marks={"chest": ""})
    act = last_act()
    services.mark_muscles(by=desk, client=client, now=now, marks={"chest": "hold"})
    assert "cannot be taken back" in refused(as_coach, act)
    assert MarkedMuscle.objects.get().aim == "hold"


@pytest.mark.django_db(transaction=True)
def test_bringing_back_an_exercise_whose_session_is_gone(desk: Membership, now: datetime, as_coach: Browser) -> None:
    ids = one_of_everything(desk, now)
    remove_exercise(by=desk, planned=PlannedExercise.objects.get(pk=ids["planned"][0]))
    act = last_act()
    remove_session(by=desk, session=PlannedSession.objects.get(pk=ids["session"][0]))
    assert "what it belongs to is gone" in refused(as_coach, act)
    connection.check_constraints()


def test_undoing_a_creation_never_takes_along_what_was_built_on_it_later(desk: Membership, now: datetime) -> None:
    client = services.create_client(by=desk, now=now, name="Rosa", consent_on=now.date())
    made = last_act()
    services.add_precaution(by=desk, client=client, now=now, words="Left knee")
    added = last_act()
    with pytest.raises(UndoConflict, match="'Add a precaution for Rosa' builds on this"):
        undo(made, by=desk)
    assert Precaution.objects.get().words == "Left knee"
    undo(added, by=desk)
    undo(made, by=desk)
    assert not Client.objects.exists()


def test_a_redo_of_a_deletion_keeps_what_was_added_after_the_undo(desk: Membership, now: datetime) -> None:
    client = services.create_client(by=desk, now=now, name="Rosa", consent_on=now.date())
    taken_back = undo(last_act(), by=desk)
    undo(taken_back, by=desk)
    services.add_precaution(by=desk, client=client, now=now, words="Left knee")
    with pytest.raises(UndoConflict, match="undone already"):
        undo(taken_back, by=desk)
    with pytest.raises(UndoConflict, match="builds on this"):
        undo(Act.objects.get(kind=Act.Kind.REDO), by=desk)
    assert Precaution.objects.count() == 1


@pytest.mark.django_db
def test_a_coach_undoes_nothing_of_a_client_who_was_handed_over(
    desk: Membership, owner: Membership, now: datetime, as_coach: Browser, as_owner: Browser
) -> None:
    ids = one_of_everything(desk, now)
    client = Client.objects.get(pk=ids["client"][0])
    planned = PlannedExercise.objects.get(pk=ids["planned"][0])
    cue = planned.cue
    services.edit_client(by=desk, client=client, version=client.version, now=now, name="Vera Holm")
    edit = last_act()
    edit_exercise(by=desk, planned=planned, version=1, fields=STRAIGHT, unit="kg", cue="Slow")
    plan = last_act()
    client.refresh_from_db()
    other = MembershipFactory(practice=desk.practice)
    services.edit_client(by=owner, client=client, version=client.version, now=now, coach=other)
    handed = last_act()
    for act in (edit, plan):
        assert "concerns a client of another coach now" in refused(as_coach, act)
    client.refresh_from_db()
    assert client.name == "Vera Holm"
    assert as_owner.post(f"/acts/{handed.pk}/undo/").status_code == 302
    assert as_coach.post(f"/acts/{plan.pk}/undo/").status_code == 302
    planned.refresh_from_db()
    assert planned.cue == cue != "Slow"


@pytest.mark.parametrize("turns", [1, 2, 3, 4, 5, 6])
def test_the_edit_counts_as_undone_exactly_when_it_is(desk: Membership, now: datetime, turns: int) -> None:
    client = ClientFactory(coach=desk)
    services.archive_client(by=desk, client=client, now=now)
    act = last_act()
    for _ in range(turns):
        act = undo(act, by=desk)
    client.refresh_from_db()
    in_force = turns % 2 == 0
    assert (client.archived_on is not None) == in_force
    assert (next_undo(desk.practice, f"client:{client.pk}") is not None) == in_force
    assert act.label == f"{'Redo' if in_force else 'Undo'}: Archive client {client.name}"


def test_deleting_what_is_deleted_already_is_a_404_and_not_recorded(desk: Membership, now: datetime) -> None:
    ids = one_of_everything(desk, now)
    first, second = (PlannedExercise.objects.get(pk=ids["planned"][0]) for _ in range(2))
    remove_exercise(by=desk, planned=first)
    with pytest.raises(Gone):
        remove_exercise(by=desk, planned=second)
    assert (
        Change.objects.filter(model="programs.plannedexercise", row=ids["planned"][0], after__isnull=True).count() == 1
    )


def test_a_deletion_remembers_the_row_as_it_stood_and_not_as_the_page_showed_it(
    desk: Membership, now: datetime
) -> None:
    ids = one_of_everything(desk, now)
    shown = PlannedExercise.objects.get(pk=ids["planned"][0])
    edit_exercise(by=desk, planned=shown, version=1, fields=STRAIGHT, unit="kg", cue="Pause at the chest")
    remove_exercise(by=desk, planned=shown)
    undo(last_act(), by=desk)
    assert PlannedExercise.objects.get(pk=ids["planned"][0]).cue == "Pause at the chest"


@pytest.mark.django_db(transaction=True)
def test_what_hangs_on_something_removed_meanwhile_is_a_404_and_leaves_no_act(desk: Membership, now: datetime) -> None:
    ids = one_of_everything(desk, now)
    planned = PlannedExercise.objects.get(pk=ids["planned"][0])
    remove_session(by=desk, session=PlannedSession.objects.get(pk=planned.session_id))
    acts, planned.pk = Act.objects.count(), None
    with pytest.raises(Gone), write("Copy it", by=desk, at=now):
        PlannedExercise.objects.bulk_create([planned])
    assert Act.objects.count() == acts


def at_once(*calls: Callable[[], Any]) -> list[Any]:
    """Run all in threads of their own from one start; gives each result or exception."""
    found: list[Any] = [None] * len(calls)
    start = threading.Barrier(len(calls))

    def run(place: int, call: Callable[[], Any]) -> None:
        start.wait()
        try:
            found[place] = call()
        except Exception as problem:
            found[place] = problem
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=item) for item in enumerate(calls)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return found


@pytest.mark.django_db(transaction=True)
def test_racing_edits_of_one_field_never_overwrite_silently(desk: Membership, now: datetime) -> None:
    client = ClientFactory(coach=desk, notes="start")

    def edit(words: str, version: int) -> Any:
        return services.edit_client(by=desk, client=client, version=version, now=now, notes=words)

    for pair in range(50):
        version = Client.objects.get().version
        found = at_once(lambda v=version, n=pair: edit(f"A{n}", v), lambda v=version, n=pair: edit(f"B{n}", v))  # type: ignore[misc]
        won = [row for row in found if isinstance(row, Client)]
        lost = [one for one in found if isinstance(one, Exception)]
        assert (len(won), [type(one).__name__ for one in lost]) == (1, ["StaleForm"])
        assert Client.objects.get().notes == won[0].notes


@pytest.mark.django_db(transaction=True)
def test_racing_removals_and_edits_are_done_or_said_to_be_gone(desk: Membership, now: datetime) -> None:
    place = PlaceFactory(practice=desk.practice)
    for _ in range(20):
        row = EquipmentFactory(place=place)
        changed = type(KG_DUMBBELLS)(row.name, "kg", (10_000,))
        found = at_once(
            lambda r=row: services.remove_equipment(by=desk, equipment=r, now=now),  # type: ignore[misc]
            lambda r=row: services.remove_equipment(by=desk, equipment=r, now=now),  # type: ignore[misc]
            lambda r=row, v=changed: services.edit_equipment(by=desk, equipment=r, version=1, now=now, value=v),  # type: ignore[misc]
        )
        assert {type(one) for one in found if isinstance(one, Exception)} == {Gone}
        assert Change.objects.filter(model="clients.equipment", row=row.pk, after__isnull=True).count() == 1
