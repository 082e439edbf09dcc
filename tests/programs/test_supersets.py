"""Supersets by letter and one-sided work with its own loads, from the row to the sheet."""

import pytest
from django.urls import reverse

from programs.models import IssuedSheet
from programs.services import record_test
from tests.factories.clients import ClientFactory
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
)
from tests.programs.test_program_detail import edit

pytestmark = pytest.mark.django_db


@pytest.fixture
def session(desk, gym):
    """An empty session of a client at a place with a bar and dumbbells."""
    return PlannedSessionFactory(program=ProgramFactory(coach=desk, client=ClientFactory(coach=desk, place=gym)))


def seconds(as_coach, session):
    page = as_coach.get(reverse("programs:program_detail", args=[session.block.program_id]), {"session": session.pk})
    return page.context["page"].session.seconds


def test_superset_takes_less_time_for_the_same_rest_of_each_muscle(as_coach, session):
    # 48 s, a set of 24 s for the other muscle and 48 s again: each muscle rests 120 s, as it did apart.
    rows = [
        PlannedExerciseFactory(session=session, exercise=ExerciseFactory(muscles={muscle: 1000}))
        for muscle in ("chest", "lats")
    ]
    apart = seconds(as_coach, session)
    for row in rows:
        assert edit(as_coach, row, group="A", rest="48").status_code == 200
    assert seconds(as_coach, session) < apart


def test_superset_letter_is_checked_and_undone(as_coach, session):
    row = PlannedExerciseFactory(session=session)
    assert edit(as_coach, row, group="Z").status_code == 422
    assert edit(as_coach, row, group="A").status_code == 200
    as_coach.post(reverse("programs:program_undo", args=[session.block.program_id]))
    row.refresh_from_db()
    assert row.group == ""


def test_each_side_gets_its_own_load(as_coach, desk, session):
    lunge = ExerciseFactory(limbs="one", equipment_kind="dumbbell", spotter=False, muscles={"quads": 1000})
    PlannedExerciseFactory(session=session, exercise=lunge)
    client = session.block.program.client
    for side, load in (("l", 40_000), ("r", 24_000)):
        record_test(by=desk, client=client, exercise=lunge, load=load, unit="kg", reps=1, on=MONDAY, side=side)
    as_coach.post(reverse("programs:sheet_issue", args=[session.pk]))
    steps = IssuedSheet.objects.get().body["exercises"][0]["steps"]
    loads = {side: {s["load"] for s in steps if s["side"] == side} for side in ("l", "r")}
    assert loads == {"l": {30_000}, "r": {18_000}}
