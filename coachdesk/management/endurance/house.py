"""Whom the sets are logged for: clients with one sheet each, in an empty practice."""

from dataclasses import dataclass
from datetime import datetime

from clients.models import Client, Place
from clients.services import create_client, create_place
from coachdesk import engine
from coachdesk.practice.models import Membership
from coachdesk.practice.services import found_practice
from programs import services
from programs.logs.mapping import SheetStep, sheet_exercises
from programs.models import Exercise, IssuedSheet, PlannedSession
from programs.services import load_library

EXERCISES = 5
SCHEME = {"kind": "straight", "sets": "4", "load_kind": "fixed", "load_value": "60", "reps": "6", "rest": "120"}


@dataclass(frozen=True)
class Sheet:
    """A client's sheet and its steps."""

    client: int
    pk: int
    steps: tuple[SheetStep, ...]


def open_house(clients: int, now: datetime) -> tuple[Membership, list[Sheet]]:
    """The owner, and a sheet for each of so many clients."""
    load_library()
    owner = found_practice(name="Endurance", owner_name="Owner", email="owner@desk.example")
    place = create_place(by=owner, now=now, name="Hall", starting="kg_gym")
    return owner, [_sheet(owner, place, number, now) for number in range(clients)]


def _sheet(owner: Membership, place: Place, number: int, now: datetime) -> Sheet:
    client = create_client(by=owner, now=now, name=f"Client {number + 1}")
    Client.objects.filter(pk=client.pk).update(place=place)
    program = services.create_program(
        by=owner, name="One week", weeks=1, client=client, start_on=now.date(), today=now.date()
    )
    session = services.add_session(by=owner, program=program, week_no=1, day=0, name="Session")
    scheme = engine.scheme_from_fields(SCHEME, "kg")
    kind = Exercise.objects.filter(practice=None, equipment_kind="barbell", rep_kind="reps", limbs="two")
    for exercise in kind.order_by("id")[:EXERCISES]:
        services.add_exercise(by=owner, session=session, exercise=exercise, scheme=scheme)
    made: IssuedSheet = services.issue_sheet(
        by=owner, session=PlannedSession.objects.get(pk=session.pk), now=now, why="A desk that is killed on purpose."
    )
    return Sheet(client.pk, made.pk, tuple(step for one in sheet_exercises(made.body) for step in one.steps))
