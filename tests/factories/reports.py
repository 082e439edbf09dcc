"""A block of four weeks to report on, its sheets, and sessions done from them."""

from datetime import date, timedelta

from programs.logs.mapping import done_otherwise, sheet_exercises
from programs.models import Block
from tests.factories.clients import ClientFactory
from tests.factories.logs import IssuedSheetFactory, exercise_body, logged
from tests.factories.programs import PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory

START = date(2026, 10, 26)


def sheet_step(body, slot):
    """The step at this place of the sheet."""
    return next(step for one in sheet_exercises(body) for step in one.steps if step.slot == slot)


def four_weeks(desk, press):
    """Four weeks from 26 Oct with one session of three sets on Tuesdays, then two weeks more."""
    client = ClientFactory(coach=desk, name="Amara Tolledo")
    program = ProgramFactory(client=client, coach=desk, name="Autumn", start_on=START, weeks=4)
    made = program.blocks.get()
    for week in range(1, 5):
        session = PlannedSessionFactory(block=made, week_no=week, day=1, name=f"Upper {week}")
        PlannedExerciseFactory(session=session, exercise=press)
    Block.objects.create(program=program, name="Heavier", first_week=5, weeks=2)
    return made


def sheet_for(block, week, press):
    session = block.sessions.get(week_no=week)
    on = START + timedelta(days=7 * (week - 1) + 1)
    return IssuedSheetFactory(
        client=block.program.client, planned_session=session, for_on=on, exercises=[exercise_body(press)]
    )


def train(block, week, press, *, load=70_000, sets=3, **fields):
    sheet = sheet_for(block, week, press)
    steps = [
        done_otherwise(sheet_step(sheet.body, f"1-{n}-1-b"), load=load, reps=8, rir=2.0) for n in range(1, sets + 1)
    ]
    return logged(sheet, steps=steps, **fields)
