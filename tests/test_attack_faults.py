"""A fault at the Nth statement of a write: all of it or nothing, for every N."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import date, datetime
from typing import Any
from uuid import uuid4

import pytest
from django.apps import apps
from django.db import DatabaseError, OperationalError, connection

from clients import services as clients
from clients.models import Client, Equipment, Place, Precaution
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.tape import fields_of, undo
from programs import services as programs
from programs.intake.plan import make_plan
from programs.intake.reading import read_table
from programs.intake.services import import_clients
from programs.logs import services as logs
from programs.logs.mapping import done_as_written, sheet_exercises
from programs.logs.models import SessionLog, SetLog
from programs.models import Exercise, IssuedSheet, PlannedExercise, PlannedSession, Program
from tests.factories.clients import ALL_NO, KG_DUMBBELLS
from tests.factories.programs import STRAIGHT
from tests.factories.whole import one_of_everything

pytestmark = pytest.mark.django_db(transaction=True)
TODAY = date(2026, 11, 24)
# Transaction control is the database's own business: a fault in it is a lost connection, not a failed statement.
OURS = ("SAVEPOINT", "RELEASE", "ROLLBACK", "BEGIN", "COMMIT")


def everything() -> dict[str, Any]:
    """Every row of every table of ours, as plain values."""
    models = [m for m in apps.get_models() if m._meta.app_label in ("practice", "clients", "programs", "logs")]
    return {f"{m._meta.label} {row.pk}": fields_of(row) for m in models for row in m._default_manager.order_by("pk")}


@contextmanager
def failing_at(number: int) -> Iterator[list[str]]:
    """Raise a database error instead of running statement `number` (from 1); gives the statements that were sent."""
    sent: list[str] = []

    def run(execute: Callable[..., Any], sql: str, params: Any, many: bool, context: Any) -> Any:
        # A rehearsal of a table's own check: Django goes on without it, and the table still refuses by itself.
        if sql.startswith(OURS) or '"_check"' in sql:
            return execute(sql, params, many, context)
        sent.append(sql)
        if len(sent) == number:
            raise OperationalError("disk I/O error")
        return execute(sql, params, many, context)

    with connection.execute_wrapper(run):
        yield sent


class World:
    """One of everything, and every write service as a call that can be made again and again."""

    def __init__(self, desk: Membership, now: datetime) -> None:
        self.desk, self.now = desk, now
        self.ids = one_of_everything(desk, now)

    def row(self, model: type[Any], kind: str) -> Any:
        return model.objects.get(pk=self.ids[kind][-1])

    def calls(self) -> dict[str, Callable[[], Any]]:
        by: dict[str, Any] = {"by": self.desk}
        at: dict[str, Any] = {**by, "now": self.now}
        client, place = self.row(Client, "client"), self.row(Place, "place")
        program, session = self.row(Program, "program"), self.row(PlannedSession, "session")
        planned, exercise = self.row(PlannedExercise, "planned"), self.row(Exercise, "exercise")
        sheet, log = self.row(IssuedSheet, "sheet"), self.row(SessionLog, "session_log")
        done, gear = self.row(SetLog, "set_log"), self.row(Equipment, "equipment")
        answers = {name: value for name, value in ALL_NO.items() if name != "v"}
        steps = [done_as_written(step) for one in sheet_exercises(sheet.body) for step in one.steps]
        table = read_table(f"name,exercise,load,reps\nNew One,{exercise.name},90,5")
        plan = make_plan(table, by=self.desk, today=TODAY)
        edited = {"load": 60_000, "reps": 5, "rir": 1.0}
        return {
            "create client": lambda: clients.create_client(**at, name="Rosa"),
            "edit client": lambda: clients.edit_client(**at, client=client, version=client.version, name="Rosa"),
            "archive client": lambda: clients.archive_client(**at, client=client),
            "screening": lambda: clients.record_screening(**at, client=client, asked_on=TODAY, answers=answers),
            "precaution": lambda: clients.add_precaution(**at, client=client, words="Left knee"),
            "end precaution": lambda: clients.end_precaution(**at, precaution=self.row(Precaution, "precaution")),
            "marks": lambda: clients.mark_muscles(**at, client=client, marks={"chest": "grow", "lats": "hold"}),
            "create place": lambda: clients.create_place(**at, name="Barn", starting="home"),
            "rename place": lambda: clients.rename_place(**at, place=place, version=1, name="Loft"),
            "edit equipment": lambda: clients.edit_equipment(**at, equipment=gear, version=1, value=KG_DUMBBELLS),
            "remove equipment": lambda: clients.remove_equipment(**at, equipment=gear),
            "import": lambda: import_clients(**at, plan=plan),
            "create program": lambda: programs.create_program(**by, name="New", weeks=4),
            "edit program": lambda: programs.edit_program(**by, program=program, version=1, values={"name": "N"}),
            "archive program": lambda: programs.archive_program(**by, program=program, today=TODAY),
            "assign": lambda: programs.assign_program(
                **by, program=program, client=client, start_on=TODAY, today=TODAY
            ),
            "template": lambda: programs.save_as_template(**by, program=program, name="Kept"),
            "copy week": lambda: programs.copy_week(**by, program=program, week_no=1, to_weeks=[2, 3]),
            "move week": lambda: programs.put_week(**by, program=program, week_no=1, to=2),
            "insert week": lambda: programs.insert_copy(**by, program=program, week_no=1, to=1),
            "reorder weeks": lambda: programs.insert_move(**by, program=program, week_no=1, to=3),
            "delete week": lambda: programs.delete_week(**by, program=program, week_no=1),
            "duplicate block": lambda: programs.duplicate_block(**by, block=session.block),
            "split block": lambda: programs.split_block(**by, program=program, week_no=2, name="Second"),
            "place session": lambda: programs.place_session(**by, session=session, week_no=2, day=5),
            "place exercise": lambda: programs.place_exercise(**by, planned=planned, session=session, position=2),
            "copy exercise": lambda: programs.place_exercise(**by, planned=planned, session=session, copy=True),
            "add session": lambda: programs.add_session(**by, program=program, week_no=2, day=3, name="B"),
            "edit session": lambda: programs.edit_session(**by, session=session, version=1, values={"day": 4}),
            "remove session": lambda: programs.remove_session(**by, session=session),
            "add exercise": lambda: programs.add_exercise(**by, session=session, exercise=exercise),
            "edit exercise": lambda: programs.edit_exercise(
                **by, planned=planned, version=1, fields={**STRAIGHT, "sets": "5"}, unit="kg"
            ),
            "move exercise": lambda: programs.move_exercise(**by, planned=planned, up=False),
            "remove exercise": lambda: programs.remove_exercise(**by, planned=planned),
            "record test": lambda: programs.record_test(
                **by, client=client, exercise=exercise, load=110_000, unit="kg", reps=1, on=TODAY
            ),
            "log session": lambda: logs.record_session_log(
                **at, client=client, sheet=sheet, key=uuid4(), done_on=TODAY, steps=[s for s in steps if s]
            ),
            "skip session": lambda: logs.skip_session(**at, sheet=sheet, key=uuid4(), skipped_why="ill", on=TODAY),
            "edit log": lambda: logs.edit_session_log(
                **at, session_log=log, version=log.version, values={"done_on": date(2026, 11, 16), "note": "x"}
            ),
            "edit set": lambda: logs.edit_set(**at, set_log=done, version=done.version, values=edited),
            "remove set": lambda: logs.remove_set(**at, set_log=done, version=done.version),
            "write report": lambda: logs.write_note(
                **at, block=session.block, span=(1, 4), version=1, values={"note": "Slower"}
            ),
            "undo log": lambda: logs.undo_session_log(**by, session_log=log),
            "undo an act": lambda: undo(Act.objects.latest("id"), by=self.desk),
        }  # fmt: skip


NAMES = (
    "create client", "edit client", "archive client", "screening", "precaution", "end precaution", "marks",
    "create place", "rename place", "edit equipment", "remove equipment", "import", "create program", "edit program",
    "archive program", "assign", "template", "copy week", "add session", "edit session", "remove session",
    "add exercise", "edit exercise", "move exercise", "remove exercise", "record test", "log session", "skip session",
    "edit log", "edit set", "remove set", "write report", "undo log", "undo an act",
    "move week", "insert week", "reorder weeks", "delete week", "duplicate block", "split block", "place session",
    "place exercise", "copy exercise",
)  # fmt: skip


@pytest.fixture
def world(desk: Membership, now: datetime) -> World:
    return World(desk, now)


def test_every_service_is_tried(world: World) -> None:
    assert sorted(world.calls()) == sorted(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_a_fault_at_any_statement_leaves_nothing_behind(
    world: World, name: str, record_property: Callable[[str, object], None]
) -> None:
    before, number = everything(), 0
    while True:
        number += 1
        assert number < 500
        call = world.calls()[name]
        with failing_at(number) as sent, suppress(DatabaseError):
            call()
        if len(sent) < number:
            break
        assert everything() == before, sent[-1]
    record_property("statements", number - 1)
    assert number > 4
    assert everything() != before
