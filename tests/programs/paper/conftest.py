"""A session of a client with known strength, and its issued sheet."""

import pytest

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

DROPS = {"kind": "drop_set", "sets": "2", "load_value": "", "reps": "failure", "ladder": "80/65/50"}


@pytest.fixture
def session(desk, gym, now):
    """Straight sets, then a drop set, of a screened client with a known 1RM."""
    client = ClientFactory(coach=desk, place=gym, level="intermediate", born_on=None, name="Zoë Łukasik")
    ScreeningFactory(client=client)
    made = PlannedSessionFactory(program=ProgramFactory(coach=desk, client=client), name="Upper A")
    exercise = ExerciseFactory(name="Bench press")
    PlannedExerciseFactory(session=made, exercise=exercise, cue="pause on the chest")
    PlannedExerciseFactory(session=made, exercise=exercise, scheme=scheme_json(**DROPS))
    record_test(by=desk, client=client, exercise=exercise, load=100_000, unit="kg", reps=1, on=MONDAY)
    return made


@pytest.fixture
def sheet(desk, session, now):
    return issue_sheet(by=desk, session=session, now=now)
