"""The picture beside a lift on the issued sheet: only where loads differ, from the sheet's own numbers."""

import pytest
from django.urls import reverse

from programs.selectors import sheet_profiles
from programs.services import issue_sheet, record_test
from tests.factories.clients import ClientFactory, ScreeningFactory
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)

pytestmark = pytest.mark.django_db
DROPS = {"kind": "drop_set", "sets": "1", "load_value": "", "reps": "failure", "ladder": "80/65/50"}


@pytest.fixture
def sheet(desk, gym, now):
    """Straight sets, then a drop set, then a drop set of an exercise whose maximum is not known."""
    client = ClientFactory(coach=desk, place=gym, level="intermediate", born_on=None)
    ScreeningFactory(client=client)
    session = PlannedSessionFactory(program=ProgramFactory(coach=desk, client=client))
    known = ExerciseFactory()
    PlannedExerciseFactory(session=session, exercise=known)
    PlannedExerciseFactory(session=session, exercise=known, scheme=scheme_json(**DROPS))
    PlannedExerciseFactory(session=session, exercise=ExerciseFactory(), scheme=scheme_json(**DROPS))
    record_test(by=desk, client=client, exercise=known, load=100_000, unit="kg", reps=1, on=MONDAY)
    return issue_sheet(by=desk, session=session, now=now, why="Agreed with the client.")


def test_only_a_lift_with_different_known_loads_has_a_picture(sheet, as_coach):
    assert list(sheet_profiles(sheet.body)) == [2]
    text = as_coach.get(reverse("programs:sheet_detail", args=[sheet.pk])).content.decode()
    assert text.count('class="profile small"') == 1


def test_steps_keep_fraction_seconds_and_strength_after(sheet):
    steps = sheet.body["exercises"][1]["steps"]
    assert [s["fraction"] for s in steps] == [0.8, 0.65, 0.5]
    assert [s["seconds"] for s in steps] == pytest.approx([3 * s["expected_reps"] for s in steps], abs=0.1)
    assert all(s["strength_after"] < s["strength_before"] for s in steps)


def test_a_sheet_issued_before_these_numbers_were_kept_has_none(sheet, as_coach):
    for lift in sheet.body["exercises"]:
        for step in lift["steps"]:
            del step["fraction"], step["seconds"], step["strength_after"]
    sheet.save()
    assert sheet_profiles(sheet.body) == {}
    assert as_coach.get(reverse("programs:sheet_detail", args=[sheet.pk])).status_code == 200
