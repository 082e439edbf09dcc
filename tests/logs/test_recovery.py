"""How fast strength comes back between sets: learned from logs, used in prescribing, left alone where unknown."""

from datetime import timedelta
from typing import Any

import pytest

from clients.models import Client
from programs.logs.mapping import done_otherwise, sheet_exercises
from programs.models import TrainingFacts
from programs.selectors import program_view, recovery_of
from tests.factories.clients import ClientFactory
from tests.factories.logs import TUESDAY, IssuedSheetFactory, exercise_body, logged, straight_sets
from tests.factories.programs import (
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def rosa(desk: Any) -> Client:
    return ClientFactory(coach=desk, name="Rosa")


def log_weeks(client: Client, reps: tuple[int, ...], weeks: int = 12, rirs: tuple[float, ...] = (1, 2), **fields: Any):
    """One exercise a week at one load: these reps to 1 and 2 in reserve in turn, 2 min between sets."""
    exercise = ExerciseFactory(name="Bench press")
    for n in range(weeks, 0, -1):
        body = [exercise_body(exercise, steps=straight_sets(len(reps)), **fields)]
        sheet = IssuedSheetFactory(client=client, for_on=TUESDAY - timedelta(days=5 * n), exercises=body)
        steps = [step for one in sheet_exercises(sheet.body) for step in one.steps]
        rir = rirs[n % len(rirs)]
        done = [
            done_otherwise(step, load=70_000, reps=count + 1 - int(rir), rir=rir)
            for step, count in zip(steps, reps, strict=True)
        ]
        logged(sheet, steps=done)
    return exercise


def pace_of(client: Client) -> float:
    return TrainingFacts.objects.get(client=client).value["recovery"]["pace"]


# At 10RM with 2 min between, the engine expects about 10, 8 and 8 reps to failure.
@pytest.mark.parametrize(("reps", "least", "most"), [((9, 5, 3), 0.3, 0.85), ((9, 9, 9), 1.02, 2.0)])
def test_reps_that_fall_more_or_less_than_expected_tell_the_pace(
    rosa: Client, reps: tuple[int, ...], least: float, most: float
) -> None:
    log_weeks(rosa, reps)
    assert least < pace_of(rosa) < most


def test_too_few_sessions_supersets_and_alike_answers_leave_it_at_the_default(rosa: Client, desk: Any) -> None:
    log_weeks(rosa, (9, 5, 3), weeks=7)
    assert pace_of(rosa) == 1.0
    assert recovery_of(rosa) is None
    superset, alike = ClientFactory(coach=desk), ClientFactory(coach=desk)
    log_weeks(superset, (9, 5, 3), group="A")
    log_weeks(alike, (9, 5, 3), rirs=(1,))
    assert (pace_of(superset), pace_of(alike)) == (1.0, 1.0)


def test_the_next_plan_expects_fewer_reps_of_who_recovers_slowly(rosa: Client, desk: Any, as_coach: Any) -> None:
    exercise = log_weeks(rosa, (9, 5, 3))
    program = ProgramFactory(coach=desk, client=rosa, weeks=1)
    scheme = scheme_json(load_value="75", reps="failure", sets="3", rest="2 min")
    row = PlannedExerciseFactory(session=PlannedSessionFactory(program=program), exercise=exercise, scheme=scheme)

    def expected() -> list[float]:
        fresh = Client.objects.select_related("place", "practice").get(pk=rosa.pk)
        (view,) = [
            one
            for week in program_view(program, client=fresh, on=TUESDAY).weeks
            for day in week.days
            for session in day
            for one in session.exercises
            if one.row.pk == row.pk
        ]
        return [step.expected_reps or 0.0 for step in view.steps]

    slow = expected()
    page = as_coach.get(f"/clients/{rosa.pk}/strength/").content.decode()
    assert "learned from 12 exercises" in page
    TrainingFacts.objects.all().delete()
    usual = expected()
    assert slow[0] == pytest.approx(usual[0])
    assert slow[1] < usual[1] - 0.4
