"""What is odd about a client's logs: none, one, ten years of them, another unit, days to come, the edge of a day."""

from datetime import UTC, date, datetime, timedelta

import pytest

from programs.services import assign_program
from tests.factories.clients import ClientFactory, ScreeningFactory
from tests.factories.logs import NOON, TUESDAY, IssuedSheetFactory, exercise_body, logged, straight_sets
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
)
from tests.factories.review import all_words, review_pages

pytestmark = pytest.mark.django_db
START = MONDAY - timedelta(weeks=2)


@pytest.fixture
def press():
    return ExerciseFactory(name="Bench press")


@pytest.fixture
def template(desk, press):
    """Four weeks with a press on Mondays, two of them over."""
    made = ProgramFactory(coach=desk, name="Base block")
    for week in (1, 2, 3, 4):
        session = PlannedSessionFactory(program=made, week_no=week, day=0, name="Upper A")
        PlannedExerciseFactory(session=session, exercise=press)
    return made


@pytest.fixture
def lifter(desk, gym, template):
    made = ClientFactory(coach=desk, name="Amara Tolledo", place=gym, level="intermediate")
    ScreeningFactory(client=made)
    assign_program(by=desk, program=template, client=made, start_on=START, today=START, now=NOON)
    return made


def visit(client, on, press, **fields):
    body = exercise_body(press, steps=straight_sets(3))
    return logged(IssuedSheetFactory(client=client, for_on=on, exercises=[body]), **fields)


def test_dump(as_coach, lifter, template, press):
    for name, w in all_words(as_coach, review_pages(lifter, template=template)).items():
        print("=====", name)
        print(w)
    log = visit(lifter, MONDAY, press, rating=6, minutes=60)
    print("#################################### ONE")
    for name, w in all_words(as_coach, review_pages(lifter, template=template, log=log)).items():
        print("=====", name)
        print(w)
