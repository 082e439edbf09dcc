"""Moving an exercise within its session while somebody else takes it out."""

import pytest
from django.urls import reverse

from coachdesk.practice.models import Act
from coachdesk.practice.tape import Gone
from programs import services
from programs.models import PlannedExercise
from tests.factories.programs import PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def planned(desk):
    session = PlannedSessionFactory(program=ProgramFactory(practice=desk.practice))
    return [PlannedExerciseFactory(session=session, position=n) for n in (1, 2, 3)]


@pytest.mark.parametrize("move", [
    lambda **gone: services.move_exercise(up=True, **gone), lambda **gone: services.move_exercise(up=False, **gone),
    lambda **gone: services.place_exercise(session=gone["planned"].session, **gone),
])  # fmt: skip
def test_one_deleted_meanwhile_is_gone_and_nothing_moves(desk, planned, move):
    PlannedExercise.objects.get(pk=planned[1].pk).delete()
    acts = Act.objects.count()
    with pytest.raises(Gone):
        move(by=desk, planned=planned[1])
    assert Act.objects.count() == acts
    assert [row.position for row in PlannedExercise.objects.order_by("position")] == [1, 3]


def test_a_browser_is_told_404_not_500(desk, planned, as_coach, monkeypatch):
    # Between the door and the write, as a second coach would.
    locked = services.exercises.write

    def deleted_first(*args, **kwargs):
        PlannedExercise.objects.filter(pk=planned[0].pk).delete()
        return locked(*args, **kwargs)

    monkeypatch.setattr("programs.services.exercises.write", deleted_first)
    answer = as_coach.post(reverse("programs:planned_exercise_place", args=[planned[0].pk]), {"step": "down"})
    assert answer.status_code == 404
