"""Last time's numbers on the next sheet: the latest session before it, in order, whatever was corrected since."""

from datetime import timedelta

import pytest

from programs.selectors.last_times import last_times
from programs.services import issue_sheet
from programs.sheet_words import last_words
from tests.factories.clients import ClientFactory
from tests.factories.logs import TUESDAY, IssuedSheetFactory, drop_set, exercise_body, logged
from tests.factories.programs import ExerciseFactory, PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def press():
    return ExerciseFactory()


@pytest.fixture
def sheet(desk, press):
    return IssuedSheetFactory(client=ClientFactory(coach=desk), exercises=[exercise_body(press)])


def test_the_latest_session_before_the_day_counts(sheet, press):
    logged(sheet, done_on=TUESDAY - timedelta(days=14))
    logged(sheet, done_on=TUESDAY - timedelta(days=7))
    logged(sheet, done_on=TUESDAY)
    found = last_times(sheet.client_id, [press.pk], TUESDAY)
    assert found[press.pk]["on"] == "2026-11-17"
    assert last_words(found[press.pk]) == "Tue 17 Nov: 70 kg x 8, 8, 8"


def test_what_was_never_done_or_half_a_year_ago_is_not_told(sheet, press):
    logged(sheet, done_on=TUESDAY - timedelta(weeks=27))
    assert last_times(sheet.client_id, [press.pk, 10**6], TUESDAY) == {}
    assert last_words(None) == ""


def test_drops_are_told_as_a_ladder(sheet, press):
    sheet.body["exercises"] = [exercise_body(press, steps=drop_set())]
    logged(sheet, done_on=TUESDAY - timedelta(days=7))
    (told,) = last_times(sheet.client_id, [press.pk], TUESDAY).values()
    assert last_words(told).startswith("Tue 17 Nov: 70/56/44 kg x 8/6/6")


def test_another_clients_sets_are_not_told(sheet, press):
    logged(sheet, done_on=TUESDAY - timedelta(days=7))
    other = IssuedSheetFactory(exercises=[exercise_body(press)])
    assert last_times(other.client_id, [press.pk], TUESDAY) == {}


def test_an_issued_sheet_holds_the_last_time_of_each_exercise(sheet, press, desk, now):
    logged(sheet, done_on=TUESDAY - timedelta(days=9))
    session = PlannedSessionFactory(program=ProgramFactory(coach=desk, client=sheet.client))
    PlannedExerciseFactory(session=session, exercise=press)
    made = issue_sheet(by=desk, session=session, now=now, why="Known to the coach.")
    assert made.body["exercises"][0]["last"]["on"] == "2026-11-15"
    assert [one["reps"] for one in made.body["exercises"][0]["last"]["sets"]] == [8, 8, 8]


def test_reading_takes_two_queries_however_many_exercises(sheet, press, django_assert_num_queries):
    logged(sheet, done_on=TUESDAY - timedelta(days=7))
    with django_assert_num_queries(2):
        last_times(sheet.client_id, [press.pk, *range(10**6, 10**6 + 20)], TUESDAY)
