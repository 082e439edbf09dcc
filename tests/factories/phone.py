"""What a client said on the phone, and a sheet to say it of, for tests."""

from datetime import datetime
from typing import Any
from uuid import uuid4

from clients.models import Client, Place
from programs.logs.models import PhoneEntry
from programs.logs.phone.entries import Said
from programs.logs.phone.services import record_entry
from programs.models import IssuedSheet
from programs.services import issue_sheet, record_test
from tests.factories.clients import ScreeningFactory
from tests.factories.logs import NOON, IssuedSheetFactory, drop_set, exercise_body, straight_sets
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
)


def say(client: Client, sheet: IssuedSheet | None, now: datetime, text: str = "Shall I train on Friday?") -> PhoneEntry:
    """A message to the coach."""
    return record_entry(client=client, sheet=sheet, key=uuid4(), entry=Said(text), now=now)


def handed_to(client: Client, place: Place, **fields: Any) -> IssuedSheet:
    """Bench press three sets of 8, a drop set of curls, a plank twice for 30 s on each side; 8 steps."""
    client.place = place
    client.save()
    practice = client.practice
    bench = ExerciseFactory(practice=practice, name="Bench press")
    curl = ExerciseFactory(practice=practice, name="Curl", pattern="elbow_flexion", muscles={"biceps": 1000})
    plank = ExerciseFactory(
        practice=practice, name="Side plank", equipment_kind="bodyweight", rep_kind="seconds", limbs="one",
        muscles={"abs": 1000},
    )  # fmt: skip
    hold = straight_sets(2, load=None, setup="", reps_low=30, reps_high=30, rir=None, rep_kind="seconds")
    warm = [{"load": 20_000, "unit": "kg", "setup": "", "reps": 10}]
    exercises = [
        exercise_body(bench, 1, warmups=warm, spotter=True, near_failure=True),
        exercise_body(curl, 2, drop_set()),
        exercise_body(plank, 3, hold, rep_kind="seconds", limbs="one"),
    ]
    return IssuedSheetFactory(client=client, exercises=exercises, **fields)


def planned_for(client: Client, place: Place, other: Place) -> IssuedSheet:
    """The sheet of a planned session of bench presses at a place, in a plan that trains at another place too."""
    client.place, by = place, client.coach
    client.save()
    ScreeningFactory(client=client)
    press = ExerciseFactory(practice=client.practice, name="Bench press")
    record_test(by=by, client=client, exercise=press, load=107_000, unit="kg", reps=1, on=MONDAY)
    program = ProgramFactory(coach=by, client=client, start_on=MONDAY)
    session = PlannedSessionFactory(program=program, day=1, name="Upper A")
    PlannedExerciseFactory(session=session, exercise=press)
    PlannedExerciseFactory(
        session=PlannedSessionFactory(program=program, day=4, name="At home", place=other), exercise=press
    )
    return issue_sheet(by=by, session=session, now=NOON, why="Known well.")
