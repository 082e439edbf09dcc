"""Groups: side by side on one clock, who would wait, exchanges as one act, and changes that two people make at once."""

import re
from datetime import UTC, datetime
from unittest import mock

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clients.models import Client, Equipment
from coachdesk.practice.merge import StaleEdit
from coachdesk.practice.models import Act
from coachdesk.practice.tape import UndoConflict, undo
from programs.groups.room import room, sessions_of, template_sessions_of
from programs.groups.selectors import days_ahead, members_of
from programs.groups.services import create_group, edit_group, remove_group, set_orders
from programs.models import GroupMember, PlannedExercise, TrainingGroup
from programs.services import record_test
from tests.factories.calendar import group_of
from tests.factories.clients import ClientFactory, PlaceFactory
from tests.factories.practice import MembershipFactory
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(desk):
    return ExerciseFactory(practice=desk.practice, name="Bench press")


@pytest.fixture
def curl(desk):
    return ExerciseFactory(
        practice=desk.practice, name="Curl", equipment_kind="dumbbell", implements=2, muscles={"biceps": 1000},
        pattern="curl", spotter=False,
    )  # fmt: skip


@pytest.fixture
def plank(desk):
    return ExerciseFactory(
        practice=desk.practice, name="Push-up", equipment_kind="bodyweight", pattern="push", spotter=False
    )


def plan(desk, client, *exercises, name="Push"):
    """A programme from MONDAY with these exercises on its first day, three sets of eight at 75 %."""
    program = ProgramFactory(coach=desk, client=client)
    session = PlannedSessionFactory(program=program, name=name)
    for n, exercise in enumerate(exercises, start=1):
        PlannedExerciseFactory(session=session, exercise=exercise, position=n)
    return session


@pytest.fixture
def pair(desk, gym, bench, curl):
    """Amara (bench 100 kg) and Jonas (bench 60 kg), both bench first on one bar, curls after; different homes."""
    home = PlaceFactory(practice=desk.practice, name="Home")
    people = [ClientFactory(coach=desk, name=name, place=home) for name in ("Amara", "Jonas")]
    for client, load in zip(people, (100_000, 60_000), strict=True):
        record_test(by=desk, client=client, exercise=bench, load=load, unit="kg", reps=1, on=MONDAY)
        record_test(by=desk, client=client, exercise=curl, load=load // 5, unit="kg", reps=1, on=MONDAY)
        plan(desk, client, bench, curl)
    return people


@pytest.fixture
def group(desk, gym, pair):
    return group_of(desk, pair, place=gym)


def look(desk, group, on=MONDAY):
    group = TrainingGroup.objects.select_related("place").get(pk=group.pk)
    clients = members_of(desk, group)
    return room(group, clients, on, sessions_of(clients, on))


def test_each_has_loads_from_their_own_maxima_and_the_groups_equipment(desk, group):
    shown = look(desk, group)
    (amara, jonas) = shown.lines[0].cells
    assert [line.name for line in shown.lines] == ["Bench press", "Curl"]
    assert (amara.view.loads, jonas.view.loads) == ("75 kg", "45 kg")
    TrainingGroup.objects.update(place=None)
    # At home there is nothing: what is made there need not exist.
    assert "no_equipment" in str(look(desk, group).lines[0].cells[0].view.prescribed)


def test_one_clock_for_both_and_a_warning_when_two_need_one_bar(desk, group):
    shown = look(desk, group)
    (warning,) = shown.warnings
    amara = shown.lines[0].cells[0]
    assert (amara.start, amara.waits) == (0, ("Bar and plates, with Jonas",))
    assert shown.lines[1].cells[0].start == amara.end
    assert warning.words == (
        f"Bar and plates, 1 there: needed by Amara (Bench press), Jonas (Bench press); minutes 0 to {amara.end}."
    )
    assert warning.remedy == "Amara: Curl before Bench press; then nobody waits"
    Equipment.objects.filter(kind="barbell").update(count=2)
    assert look(desk, group).warnings == ()


def test_dumbbells_are_told_apart_by_load_and_counted_in_pairs(desk, group, pair, curl, bench):
    PlannedExercise.objects.filter(exercise=bench).delete()
    assert look(desk, group).warnings == ()
    for client in pair:
        record_test(by=desk, client=client, exercise=curl, load=20_000, unit="kg", reps=1, on=MONDAY)
    client = pair[1]
    client.strength_estimates.update(**{
        name: getattr(pair[0].strength_estimates.get(exercise=curl), name) for name in ("mean_kg", "low_kg", "high_kg")
    })  # fmt: skip
    (warning,) = look(desk, group).warnings
    assert re.match(r"The \d+ kg dumbbells, 1 pair there: needed by Amara \(Curl\), Jonas \(Curl\)", warning.words)


def test_body_weight_and_different_machines_keep_nobody_waiting(desk, gym, plank):
    extension = ExerciseFactory(practice=desk.practice, name="Leg extension", equipment_kind="stack")
    curls = ExerciseFactory(practice=desk.practice, name="Leg curl", equipment_kind="stack")
    people = [ClientFactory(coach=desk) for _ in range(2)]
    plan(desk, people[0], plank, extension)
    plan(desk, people[1], plank, curls)
    assert look(desk, group_of(desk, people, place=gym)).warnings == ()


def test_a_superset_shares_one_bar_among_its_own_exercises(desk, gym, bench, plank):
    row = ExerciseFactory(practice=desk.practice, name="Row", pattern="pull")
    client, other = ClientFactory(coach=desk, name="Amara"), ClientFactory(coach=desk, name="Jonas")
    session = plan(desk, client, bench, row)
    session.exercises.update(group="A")
    plan(desk, other, plank)
    shown = look(desk, group_of(desk, [client, other], place=gym))
    assert shown.warnings == ()
    first, second = (line.cells[0] for line in shown.lines if line.cells[0])
    assert (first.start, first.end) == (second.start, second.end)


def test_an_exchange_is_one_act_that_ends_the_wait_and_undo_is_exact(desk, group, as_coach):
    before = list(PlannedExercise.objects.order_by("pk").values("pk", "position", "scheme", "exercise"))
    (warning,) = look(desk, group).warnings
    acts = Act.objects.count()
    posted = {"session": warning.session, "first": warning.first, "second": warning.second, "on": str(MONDAY)}
    answer = as_coach.post(f"/groups/{group.pk}/order/", posted)
    assert answer.url == f"/groups/{group.pk}/?on=2026-11-23#waits"
    assert Act.objects.count() == acts + 1
    assert look(desk, group).warnings == ()
    as_coach.post(f"/groups/{group.pk}/undo/", {"on": str(MONDAY)})
    assert list(PlannedExercise.objects.order_by("pk").values("pk", "position", "scheme", "exercise")) == before


def test_staggering_writes_the_orders_that_were_shown(desk, group, as_coach):
    shown = look(desk, group)
    text = as_coach.get(f"/groups/{group.pk}/?on={MONDAY}").content.decode()
    assert shown.order_words == ["Jonas: Curl, Bench press"]
    assert "Jonas: Curl, Bench press" in text
    as_coach.post(f"/groups/{group.pk}/order/", {"digest": "old", "on": str(MONDAY)})
    assert look(desk, group).warnings
    as_coach.post(f"/groups/{group.pk}/order/", {"digest": shown.digest, "on": str(MONDAY)})
    assert look(desk, group).warnings == ()
    for pk, keys in shown.orders.items():
        rows = PlannedExercise.objects.filter(session=pk).order_by("position")
        assert tuple(rows.values_list("pk", flat=True)) == keys


def test_an_order_of_a_plan_that_moved_on_is_refused(desk, group):
    shown = look(desk, group)
    PlannedExercise.objects.filter(exercise__name="Curl").delete()
    with pytest.raises(ValidationError, match="The plan has changed"):
        set_orders(by=desk, group=group, orders=shown.orders, label="Stagger")


def test_a_templates_session_is_shown_for_everybody_and_proposes_in_words_only(desk, group, bench, curl, as_coach):
    template = ProgramFactory(coach=desk, name="Ten weeks")
    row = PlannedSessionFactory(program=template, name="Strength A")
    for n, exercise in enumerate((bench, curl), start=1):
        PlannedExerciseFactory(session=row, exercise=exercise, position=n)
    clients = members_of(desk, group)
    shown = room(group, clients, MONDAY, template_sessions_of(clients, row.pk), is_template=True)
    assert [cell.view.loads for cell in shown.lines[0].cells] == ["75 kg", "45 kg"]
    (warning,) = shown.warnings
    assert (warning.session, shown.orders) == (None, {})
    text = as_coach.get(f"/groups/{group.pk}/?template={template.pk}").content.decode()
    assert "Strength A, week 1 of a template, for each of 2" in text
    assert "wait-" in text
    assert 'id="stagger"' not in text


def test_a_member_without_a_session_has_an_empty_column(desk, gym, pair):
    third = ClientFactory(coach=desk, name="Mei")
    shown = look(desk, group_of(desk, [*pair, third], place=gym))
    assert [column.view is None for column in shown.columns] == [False, False, True]
    assert shown.lines[0].cells[2] is None


def test_the_day_is_the_practices_day(desk, group, as_coach):
    desk.practice.time_zone = "Pacific/Auckland"
    desk.practice.save()
    at = datetime(2026, 11, 22, 12, 0, tzinfo=UTC)
    with mock.patch("programs.groups.views.timezone.now", return_value=at):
        text = as_coach.get(f"/groups/{group.pk}/").content.decode()
    assert "Mon 23 Nov 2026, today at Full gym" in text


def test_without_a_day_the_next_one_that_the_group_shares_is_shown(desk, group, as_coach):
    at = datetime(2026, 11, 20, 12, 0, tzinfo=UTC)
    with mock.patch("programs.groups.views.timezone.now", return_value=at):
        text = as_coach.get(f"/groups/{group.pk}/").content.decode()
    assert "Mon 23 Nov 2026 at Full gym" in text


def test_days_ahead_are_those_with_at_least_two(desk, group, pair):
    PlannedSessionFactory(program=pair[0].programs.get(), week_no=1, day=3)
    assert [(one.on, one.count) for one in days_ahead(pair, MONDAY)] == [(MONDAY, 2)]


@pytest.mark.parametrize("count", [1, 9])
def test_a_group_has_two_to_eight(desk, as_coach, count):
    people = [ClientFactory(coach=desk) for _ in range(count)]
    answer = as_coach.post("/groups/new/", {"name": "Odd", "members": [c.pk for c in people]})
    assert answer.status_code == 422
    assert "a group has 2 to 8" in answer.content.decode()
    with pytest.raises(ValidationError):
        create_group(by=desk, name="Odd", place=None, members=people)


def test_a_group_is_made_changed_and_removed_and_undo_brings_it_back(desk, as_coach, pair, gym):
    answer = as_coach.post("/groups/new/", {"name": "Six", "place": gym.pk, "members": [c.pk for c in pair]})
    group = TrainingGroup.objects.get()
    assert answer.url == f"/groups/{group.pk}/"
    third = ClientFactory(coach=desk, name="Mei")
    was = ",".join(str(c.pk) for c in pair)
    posted = {"name": "Seven", "place": gym.pk, "members": [pair[0].pk, third.pk], "was": was, "version": 1}
    assert as_coach.post(f"/groups/{group.pk}/edit/", posted).status_code == 302
    assert [c.name for c in members_of(desk, group)] == ["Amara", "Mei"]
    before = list(GroupMember.objects.order_by("pk").values()), list(TrainingGroup.objects.values())
    remove_group(by=desk, group=group)
    undo(Act.objects.latest("id"), by=desk)
    after = list(GroupMember.objects.order_by("pk").values()), list(TrainingGroup.objects.values())
    assert after == before


def test_two_who_change_the_members_at_once_lose_nothing(desk, group, pair):
    third, fourth = ClientFactory(coach=desk, name="Mei"), ClientFactory(coach=desk, name="Rolf")
    was = [c.pk for c in pair]
    fields = {"name": group.name, "place": group.place}
    edit_group(by=desk, group=group, version=1, fields=fields, members=[*was, third.pk], was=was)
    edit_group(by=desk, group=group, version=1, fields=fields, members=[was[0], fourth.pk], was=was)
    assert [c.name for c in members_of(desk, group)] == ["Amara", "Mei", "Rolf"]
    edit_group(by=desk, group=group, version=1, fields={**fields, "name": "Six"}, members=was[:1], was=was[:1])
    with pytest.raises(StaleEdit):
        edit_group(by=desk, group=group, version=1, fields={**fields, "name": "Nine"}, members=was[:1], was=was[:1])


def test_a_client_given_to_another_coach_leaves_the_columns_and_their_plan_alone(desk, group, pair):
    shown = look(desk, group)
    set_orders(by=desk, group=group, orders=shown.orders, label="Stagger")
    act = Act.objects.latest("id")
    Client.objects.filter(pk=pair[1].pk).update(coach=MembershipFactory(practice=desk.practice))
    assert [c.client.name for c in look(desk, group).columns] == ["Amara"]
    with pytest.raises(UndoConflict):
        undo(act, by=desk)


def test_the_number_of_queries_does_not_grow_with_members(desk, gym, bench, curl, as_coach):
    def count(people: int) -> int:
        members = []
        for _ in range(people):
            members.append(ClientFactory(coach=desk, place=gym))
            plan(desk, members[-1], bench, curl)
        group = group_of(desk, members, place=gym)
        with CaptureQueriesContext(connection) as seen:
            assert as_coach.get(f"/groups/{group.pk}/?on={MONDAY}").status_code == 200
        return len(seen)

    assert count(2) == count(6)


def test_how_many_there_are_is_typed_kept_and_merged(as_coach, desk, gym):
    row = gym.equipment.get(kind="barbell")
    text = as_coach.get(f"/equipment/{row.pk}/edit/").content.decode()
    assert "How many bars with plates" in text
    typed = {"name": row.name, "unit": "kg", "bar": "20", "plates": "20x4", "count": "3", "version": row.version}
    assert as_coach.post(f"/equipment/{row.pk}/edit/", typed).status_code == 302
    row.refresh_from_db()
    assert row.count == 3
    answer = as_coach.post(f"/equipment/{row.pk}/edit/", {**typed, "count": "4"})
    assert answer.status_code == 409
    assert "How many bars with plates" in answer.content.decode()
    wrong = as_coach.post(f"/equipment/{row.pk}/edit/", {**typed, "count": "0", "version": row.version})
    assert wrong.status_code == 422
    assert "0 pieces is outside the range" in wrong.content.decode()
    new = {"name": "Second", "unit": "kg", "bar": "15", "plates": "10x4", "count": ""}
    as_coach.post(f"/places/{gym.pk}/equipment/barbell/new/", new)
    assert gym.equipment.get(name="Second").count == 1


def test_with_enough_of_everything_nobody_waits_whatever_is_planned(desk, group):
    Equipment.objects.update(count=8)
    shown = look(desk, group)
    assert shown.warnings == ()
    cells = [cell for line in shown.lines for cell in line.cells if cell]
    assert cells
    assert all(cell.waits == () for cell in cells)


def test_loads_that_are_not_known_hold_no_dumbbells(desk, gym, curl):
    people = [ClientFactory(coach=desk) for _ in range(2)]
    for client in people:
        plan(desk, client, curl)
    shown = look(desk, group_of(desk, people, place=gym))
    loads = [step.load for cell in shown.lines[0].cells for step in cell.view.steps]
    assert set(loads) == {None}
    assert shown.warnings == ()
