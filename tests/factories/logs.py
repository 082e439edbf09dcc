"""Issued sheets with plain steps, and session logs made from them, for tests."""

from datetime import UTC, date, datetime
from typing import Any
from uuid import uuid4

import factory

from programs.logs.mapping import DoneStep, SheetStep, done_as_written, sheet_exercises
from programs.logs.models import SessionLog
from programs.logs.services import record_session_log
from programs.models import Exercise, IssuedSheet
from tests.factories.clients import ClientFactory
from tests.factories.programs import ExerciseFactory

TUESDAY = date(2026, 11, 24)
NOON = datetime(2026, 11, 24, 12, 0, tzinfo=UTC)


def step_body(**fields: Any) -> dict[str, Any]:
    """One step of a sheet's body: 70 kg x 8, RIR 2, unless told otherwise."""
    return {
        "set": 1, "step": 1, "side": "b", "load": 70_000, "unit": "kg", "setup": "25 a side", "reps_low": 8,
        "reps_high": 8, "to_failure": False, "rep_kind": "reps", "expected_reps": 8.4, "rir": 2.0, "rest_s": 120,
        "strength_before": 1.0, "because": [], **fields,
    }  # fmt: skip


def straight_sets(count: int = 3, **fields: Any) -> list[dict[str, Any]]:
    """So many equal sets, a little less strength left before each."""
    return [step_body(set=n, strength_before=1 - 0.03 * (n - 1), **fields) for n in range(1, count + 1)]


def drop_set(**fields: Any) -> list[dict[str, Any]]:
    """One set to failure with two drops."""
    steps = [(70_000, 8.4), (56_000, 6.2), (44_000, 6.9)]
    return [
        step_body(step=n, load=load, expected_reps=reps, reps_low=0, reps_high=0, to_failure=True, rir=None, **fields)
        for n, (load, reps) in enumerate(steps, start=1)
    ]  # fmt: skip


def exercise_body(exercise: Exercise, position: int = 1, steps: Any = None, **fields: Any) -> dict[str, Any]:
    """One exercise of a sheet's body: three straight sets."""
    return {
        "position": position, "planned_exercise": 1, "exercise": exercise.pk, "name": exercise.name, "cue": "",
        "scheme": "3 x 8", "implements": exercise.implements, "limbs": exercise.limbs, "spotter": False,
        "rep_kind": "reps", "machine": "", "warmups": [], "steps": straight_sets() if steps is None else steps,
        "group": "", "notes": [], **fields,
    }  # fmt: skip


class IssuedSheetFactory(factory.django.DjangoModelFactory):
    """A sheet for Tue 24 Nov 2026 with one press, three sets of 8; give `exercises` (bodies) for others."""

    class Meta:
        model = IssuedSheet
        exclude = ("exercises",)

    client = factory.SubFactory(ClientFactory)
    planned_session = None
    for_on = TUESDAY
    issued_at = NOON
    digest = factory.Sequence(lambda n: f"{n:064x}")
    exercises = factory.LazyFunction(lambda: [exercise_body(ExerciseFactory())])
    body = factory.LazyAttribute(
        lambda o: {
            "v": 1, "client": o.client.name, "title": "Upper A", "for_on": o.for_on.isoformat(), "week_no": 4,
            "place": "Full gym", "unit": "kg", "minutes": 62, "cautions": [], "stops": [], "exercises": o.exercises,
        }
    )  # fmt: skip


def written_steps(sheet: IssuedSheet) -> list[DoneStep]:
    """Every step of the sheet done as written."""
    steps = [done_as_written(step) for one in sheet_exercises(sheet.body) for step in one.steps]
    return [step for step in steps if step is not None]


def step_at(sheet: IssuedSheet, slot: str) -> SheetStep:
    """The step of the sheet at this place."""
    return next(step for one in sheet_exercises(sheet.body) for step in one.steps if step.slot == slot)


def logged(sheet: IssuedSheet, *, by: Any = None, steps: list[DoneStep] | None = None, **fields: Any) -> SessionLog:
    """A session log made by the service itself, as written unless steps are given."""
    given = {"key": uuid4(), "done_on": sheet.for_on, "now": NOON, **fields}
    return record_session_log(
        by=by or sheet.client.coach, client=sheet.client, sheet=sheet,
        steps=written_steps(sheet) if steps is None else steps, **given,
    )  # fmt: skip
