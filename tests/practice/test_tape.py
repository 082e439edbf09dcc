"""The tape: undo puts back exactly what was, acts join, and stale edits merge or are refused."""

import random
from datetime import datetime
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from clients import services
from clients.models import Client, Equipment, MarkedMuscle, Place, Precaution, Screening
from clients.services.stale import StaleForm
from coachdesk.engine import MUSCLES
from coachdesk.practice.merge import StaleEdit, merge, values_at
from coachdesk.practice.models import Act, Change, Membership
from coachdesk.practice.tape import Gone, UndoConflict, fields_of, next_redo, next_undo, undo, write
from tests.factories.clients import (
    ALL_NO,
    KG_DUMBBELLS,
    ClientFactory,
    EquipmentFactory,
    MarkedMuscleFactory,
    PlaceFactory,
    PrecautionFactory,
    ScreeningFactory,
)

MODELS = (Client, Equipment, MarkedMuscle, Place, Precaution, Screening)
ANSWERS = {name: value for name, value in ALL_NO.items() if name != "v"}


def state(*, versions: bool = True) -> dict[str, Any]:
    """Every row of the clients app as plain values; versions only ever rise, so they can be left out."""
    rows = {}
    for model in MODELS:
        for row in model._default_manager.order_by("pk"):
            values = fields_of(row)
            if not versions:
                values.pop("version", None)
            rows[f"{model.__name__} {row.pk}"] = values
    return rows


def last_act() -> Act:
    return Act.objects.latest("id")


def test_undo_of_a_create_leaves_nothing(desk: Membership, now: datetime) -> None:
    before = state()
    services.create_client(by=desk, now=now, name="Rosa")
    assert state() != before
    undo(last_act(), by=desk)
    assert state() == before


def test_undo_of_an_edit_restores_every_field(desk: Membership, now: datetime) -> None:
    client = ClientFactory(coach=desk, notes="Ålesund, café", training_since_on="2020-02-29")
    before = state(versions=False)
    fields = {"name": "Other", "notes": "", "training_since_on": None, "goal": "rehab"}
    services.edit_client(by=desk, client=client, version=1, now=now, **fields)
    assert state(versions=False) != before
    undo(last_act(), by=desk)
    assert state(versions=False) == before
    client.refresh_from_db()
    assert client.version == 3


def test_undo_of_a_delete_restores_the_row_its_children_and_its_links(desk: Membership, now: datetime) -> None:
    place = PlaceFactory(practice=desk.practice)
    EquipmentFactory(place=place)
    EquipmentFactory(place=place, dumbbells=True)
    ClientFactory(coach=desk, place=place)
    before = state()
    with write("Remove a place", by=desk, at=now) as tape:
        tape.delete(place)
    assert not Place.objects.exists()
    assert Client.objects.get().place_id is None
    undo(last_act(), by=desk)
    # A link that was nulled is mended as an edit, so that row's version has moved on.
    after = state()
    assert {k: {**v, "version": 0} if k.startswith("Client ") else v for k, v in after.items()} == {
        k: {**v, "version": 0} if k.startswith("Client ") else v for k, v in before.items()
    }


def test_deleting_a_client_and_undoing_brings_back_all_that_hung_on_them(desk: Membership, now: datetime) -> None:
    client = ClientFactory(coach=desk)
    PrecautionFactory(client=client)
    ScreeningFactory(client=client)
    MarkedMuscleFactory(client=client)
    before = state()
    with write("Remove a client", by=desk, at=now) as tape:
        tape.delete(client)
    assert state() == {}
    undo(last_act(), by=desk)
    assert state() == before


class Monkey:
    """Does random acts on one client and one place, through the services only."""

    def __init__(self, by: Membership, now: datetime, seed: int) -> None:
        self.by, self.now, self.dice = by, now, random.Random(seed)
        self.client = ClientFactory(coach=by)
        self.place = PlaceFactory(practice=by.practice)
        EquipmentFactory(place=self.place)
        PrecautionFactory(client=self.client)

    def act(self) -> None:
        """One random act that changes something."""
        before = Change.objects.count()
        while Change.objects.count() == before:
            self.dice.choice([
                self.edit, self.archive, self.restore, self.precaution, self.end, self.marks, self.screening,
                self.add_equipment, self.edit_equipment, self.remove_equipment, self.rename,
            ])()  # fmt: skip

    def edit(self) -> None:
        fields = {"name": f"Name {self.dice.random()}", "days_per_week": self.dice.randint(1, 7)}
        self.client.refresh_from_db()
        services.edit_client(by=self.by, client=self.client, version=self.client.version, now=self.now, **fields)

    def archive(self) -> None:
        services.archive_client(by=self.by, client=self.client, now=self.now)

    def restore(self) -> None:
        services.restore_client(by=self.by, client=self.client, now=self.now)

    def precaution(self) -> None:
        services.add_precaution(by=self.by, client=self.client, now=self.now, words=f"Knee {self.dice.random()}")

    def end(self) -> None:
        row = self.dice.choice(list(Precaution.objects.order_by("pk")))
        services.end_precaution(by=self.by, precaution=row, now=self.now)

    def marks(self) -> None:
        aims = {muscle.code: self.dice.choice(["", "grow", "hold", "rehab"]) for muscle in MUSCLES}
        services.mark_muscles(by=self.by, client=self.client, now=self.now, marks=aims)

    def screening(self) -> None:
        services.record_screening(
            by=self.by, client=self.client, now=self.now, asked_on=self.now.date(), answers=ANSWERS
        )

    def add_equipment(self) -> None:
        value = type(KG_DUMBBELLS)(f"Rack {self.dice.random()}", "kg", KG_DUMBBELLS.loads)
        services.add_equipment(by=self.by, place=self.place, now=self.now, value=value)

    def edit_equipment(self) -> None:
        rows = list(Equipment.objects.order_by("pk"))
        if rows:
            row = self.dice.choice(rows)
            value = type(KG_DUMBBELLS)(row.name, "kg", (self.dice.randint(1, 9) * 1000,))
            services.edit_equipment(by=self.by, equipment=row, version=row.version, now=self.now, value=value)

    def remove_equipment(self) -> None:
        rows = list(Equipment.objects.order_by("pk"))
        if rows:
            services.remove_equipment(by=self.by, equipment=self.dice.choice(rows), now=self.now)

    def rename(self) -> None:
        self.place.refresh_from_db()
        name = f"Hall {self.dice.random()}"
        services.rename_place(by=self.by, place=self.place, version=self.place.version, now=self.now, name=name)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_thirty_random_acts_undone_give_the_starting_state(desk: Membership, now: datetime, seed: int) -> None:
    monkey = Monkey(desk, now, seed)
    start = state(versions=False)
    done = []
    for _ in range(30):
        monkey.act()
        done.append((last_act(), state(versions=False)))
    assert done[-1][1] != start
    for act, after in reversed(done):
        assert state(versions=False) == after
        undo(act, by=desk)
    assert state(versions=False) == start


def test_redo_after_undo_gives_the_state_before_it(desk: Membership, now: datetime) -> None:
    client = ClientFactory(coach=desk)
    subject = f"client:{client.pk}"
    services.archive_client(by=desk, client=client, now=now)
    done = state(versions=False)
    undo(next_undo(desk.practice, subject), by=desk)
    redo = next_redo(desk.practice, subject)
    assert redo is not None
    again = undo(redo, by=desk)
    assert (again.kind, again.label) == (Act.Kind.REDO, f"Redo: Archive client {client.name}")
    assert state(versions=False) == done
    assert next_undo(desk.practice, subject) is not None


def test_undo_is_refused_once_something_newer_stands_on_the_field(desk: Membership, now: datetime) -> None:
    client = ClientFactory(coach=desk, name="One")
    services.edit_client(by=desk, client=client, version=1, now=now, name="Two")
    first = last_act()
    services.edit_client(by=desk, client=client, version=2, now=now, name="Three")
    before = state()
    with pytest.raises(UndoConflict, match="undo that first"):
        undo(first, by=desk)
    assert state() == before
    assert not Act.objects.filter(kind=Act.Kind.UNDO).exists()


def test_the_same_act_is_not_undone_twice(desk: Membership, now: datetime) -> None:
    services.archive_client(by=desk, client=ClientFactory(coach=desk), now=now)
    act = last_act()
    undo(act, by=desk)
    with pytest.raises(UndoConflict, match="undone already"):
        undo(act, by=desk)


def test_acts_inside_an_act_join_it_and_are_undone_together(desk: Membership, now: datetime) -> None:
    before = state()
    with write("Take somebody in", by=desk, at=now):
        client = services.create_client(by=desk, now=now, name="Rosa", consent_on=now.date())
        services.add_precaution(by=desk, client=client, now=now, words="Left knee")
    act = Act.objects.get()
    assert (act.label, act.changes.count()) == ("Take somebody in", 3)
    undo(act, by=desk)
    assert state() == before


def test_a_failure_inside_takes_the_whole_act_back(desk: Membership, now: datetime) -> None:
    def take_in() -> None:
        with write("Take somebody in", by=desk, at=now):
            client = services.create_client(by=desk, now=now, name="Rosa", consent_on=now.date())
            services.add_precaution(by=desk, client=client, now=now, words="")

    before = state()
    with pytest.raises(ValidationError):
        take_in()
    assert state() == before
    assert not Act.objects.exists()


def test_saving_what_is_there_already_changes_neither_version_nor_tape(desk: Membership, now: datetime) -> None:
    client = ClientFactory(coach=desk, name="Rosa")
    saved = services.edit_client(by=desk, client=client, version=1, now=now, name="Rosa")
    assert saved.version == 1
    assert Change.objects.count() == 0


def test_edits_of_different_fields_merge(desk: Membership, now: datetime) -> None:
    client = ClientFactory(coach=desk, name="Rosa", notes="")
    services.edit_client(by=desk, client=client, version=1, now=now, name="Rosa B", notes="")
    saved = services.edit_client(by=desk, client=client, version=1, now=now, name="Rosa", notes="Tall")
    assert (saved.name, saved.notes, saved.version) == ("Rosa B", "Tall", 3)


def test_edits_of_one_field_clash_and_write_nothing(desk: Membership, now: datetime) -> None:
    client = ClientFactory(coach=desk, name="Rosa", days_per_week=3)
    services.edit_client(by=desk, client=client, version=1, now=now, name="Rosa B", days_per_week=4)
    before = state()
    with pytest.raises(StaleForm) as stale:
        services.edit_client(by=desk, client=client, version=1, now=now, name="Rosa C", days_per_week=3)
    assert [(c.field, c.mine, c.theirs) for c in stale.value.conflicts] == [("name", "Rosa C", "Rosa B")]
    assert stale.value.merged == {"name": "Rosa C", "days_per_week": 4}
    assert state() == before


def test_both_typing_the_same_is_no_clash(desk: Membership, now: datetime) -> None:
    client = ClientFactory(coach=desk, name="Rosa")
    services.edit_client(by=desk, client=client, version=1, now=now, name="Rosa B")
    assert services.edit_client(by=desk, client=client, version=1, now=now, name="Rosa B").version == 2


def test_a_version_the_tape_does_not_know_clashes_on_any_difference(desk: Membership, now: datetime) -> None:
    client = ClientFactory(coach=desk, name="Rosa")
    with pytest.raises(StaleEdit):
        services.edit_client(by=desk, client=client, version=99, now=now, name="Other")


def test_values_at_gives_the_row_as_it_stood(desk: Membership, now: datetime) -> None:
    client = ClientFactory(coach=desk, name="One")
    services.edit_client(by=desk, client=client, version=1, now=now, name="Two")
    services.edit_client(by=desk, client=client, version=2, now=now, name="Three")
    assert [(values_at(client, v) or {}).get("name") for v in (1, 2, 3)] == ["One", "Two", None]


@pytest.mark.parametrize(
    ("base", "theirs", "mine", "merged"),
    [
        ({"a": 1, "b": 1}, {"a": 2, "b": 1}, {"a": 1, "b": 3}, {"a": 2, "b": 3}),
        ({"a": 1, "b": 1}, {"a": 1, "b": 1}, {"a": 5}, {"a": 5, "b": 1}),
        (None, {"a": 1}, {"a": 1}, {"a": 1}),
    ],
)
def test_merge_takes_each_field_from_whoever_changed_it(base: Any, theirs: Any, mine: Any, merged: Any) -> None:
    assert merge(Client(), base=base, theirs=theirs, mine=mine) == merged


def test_write_needs_a_practice() -> None:
    with pytest.raises(ValueError, match="practice"), write("Nobody did this"):
        pass


def test_many_rows_saved_at_once_are_recorded_like_one_by_one(desk: Membership) -> None:
    clients = [ClientFactory(coach=desk, name=f"Client {n}", folded=f"client {n}") for n in range(5)]
    before = state(versions=False)
    with write("Note on all", by=desk) as tape:
        rows = tape.lock_all(clients[::-1])
        assert [row.pk for row in rows] == [one.pk for one in clients[::-1]]
        for row in rows[:3]:
            row.notes = f"seen {row.pk}"
        assert tape.save_all(rows) == 3
    act = last_act()
    assert act.changes.count() == 3
    assert all(c.after["version"] == c.before["version"] + 1 for c in act.changes.all())
    assert state(versions=False) != before
    undo(act, by=desk)
    assert state(versions=False) == before


def test_rows_saved_at_once_are_checked_and_a_missing_one_stops_all(desk: Membership) -> None:
    first, second = ClientFactory(coach=desk), ClientFactory(coach=desk)
    before = state()
    with write("Nobody", by=desk) as tape:
        rows = tape.lock_all([first, second])
        rows[0].notes, rows[1].name = "kept?", ""
        with pytest.raises(ValidationError):
            tape.save_all(rows)
        with pytest.raises(Gone):
            tape.lock_all([first, Client(pk=2**40)])
    assert state() == before


def noted(desk: Membership, clients: list[Client], **values: Any) -> Act:
    """One act that changes many clients at once."""
    with write("Note on all", by=desk) as tape:
        rows = tape.lock_all(clients)
        for n, row in enumerate(rows):
            for name, value in values.items():
                setattr(row, name, value[n] if isinstance(value, list) else value)
        tape.save_all(rows)
    return last_act()


def test_undo_of_many_rows_takes_few_statements(desk: Membership, django_assert_max_num_queries: Any) -> None:
    clients = [ClientFactory(coach=desk) for _ in range(40)]
    before = state(versions=False)
    act = noted(desk, clients, notes="seen")
    with django_assert_max_num_queries(30):
        done = undo(act, by=desk)
    assert state(versions=False) == before
    undo(done, by=desk)
    assert {row.notes for row in Client.objects.all()} == {"seen"}


@pytest.mark.parametrize("since", ["changed", "gone", "target gone"])
def test_undo_of_many_rows_changes_none_where_one_cannot_go_back(desk: Membership, now: datetime, since: str) -> None:
    places = [PlaceFactory(practice=desk.practice) for _ in range(3)]
    clients = [ClientFactory(coach=desk, place=place) for place in places]
    act = noted(desk, clients, place=None)
    if since == "changed":
        other = ClientFactory(coach=desk).place_id
        Client.objects.filter(pk=clients[1].pk).update(place=places[0] if other is None else other)
    elif since == "gone":
        clients[1].delete()
    else:
        places[1].delete()
    before = state()
    with pytest.raises(UndoConflict):
        undo(act, by=desk)
    assert state() == before
