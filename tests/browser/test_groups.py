"""A group by keyboard: the exchange that ends a wait, and its undo, without leaving the page."""

import pytest
from playwright.sync_api import expect

from programs.models import PlannedExercise
from tests.factories.calendar import group_of
from tests.factories.clients import ClientFactory, EquipmentFactory, PlaceFactory
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
)


@pytest.fixture
def group(transactional_db, desk):
    """Two people with one bar, both on the bench first."""
    gym = PlaceFactory(practice=desk.practice, name="Full gym")
    EquipmentFactory(place=gym)
    bench = ExerciseFactory(practice=desk.practice, name="Bench press")
    plank = ExerciseFactory(practice=desk.practice, name="Push-up", equipment_kind="bodyweight", pattern="push")
    people = [ClientFactory(coach=desk, name=name, place=gym) for name in ("Amara", "Jonas")]
    for client in people:
        session = PlannedSessionFactory(program=ProgramFactory(coach=desk, client=client), name="Push")
        for n, exercise in enumerate((bench, plank, plank), start=1):
            PlannedExerciseFactory(session=session, exercise=exercise, position=n)
    return group_of(desk, people, place=gym)


def test_who_would_wait_is_ended_with_a_key_and_taken_back(signed_in, group):
    page = signed_in.go(f"/groups/{group.pk}/?on={MONDAY}")
    before = list(PlannedExercise.objects.order_by("pk").values_list("position", flat=True))
    expect(page.locator("#waits .flag")).to_have_count(1)
    page.focus("#waits .remedies button")
    page.keyboard.press("Enter")
    expect(page.locator("#messages")).to_contain_text("Undo takes it back")
    assert list(PlannedExercise.objects.order_by("pk").values_list("position", flat=True)) != before
    page.focus("#undo")
    page.keyboard.press("Enter")
    expect(page.locator("#waits .flag")).to_have_count(1)
    assert list(PlannedExercise.objects.order_by("pk").values_list("position", flat=True)) == before
