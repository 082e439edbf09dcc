"""One client as they stand today: the person, screening, precautions, marked muscles and tested lifts."""

from datetime import datetime
from typing import Any

from clients.models import Client
from clients.questions import QUESTIONS
from clients.services import add_precaution, create_client, mark_muscles, record_screening
from coachdesk.demo.shapes import DemoClient
from coachdesk.management.seeding.house import House
from programs.models import Exercise
from programs.services import record_best, record_test

HARD_GOALS = ("size", "strength")


def seed_client(house: House, person: DemoClient, now: datetime) -> Client:
    """The client's row and everything small about them, by the services a coach would use. Call inside `write`."""
    asked_on = person.screening.asked_on if person.screening else now.date()
    client = create_client(
        by=house.owner, now=now, coach=house.coach_of(person.key),
        name=person.name, born_on=person.born_on, goal=person.goal, level=person.level,
        training_since_on=person.training_since_on, days_per_week=len(person.days),
        minutes_per_session=person.minutes, unit=person.unit, place=house.places[person.places[0].code],
        notes=person.notes, archived_on=person.archived_on,
        body_mass=round(1000 * person.body_kg) if person.weighed else None, consent_on=asked_on,
    )  # fmt: skip
    _screening(house, person, client, now)
    for one in person.precautions:
        add_precaution(
            by=house.owner,
            client=client,
            now=now,
            words=one.words,
            code=one.code,
            muscle=one.muscle,
            since_on=one.since_on,
        )
    if person.marks:
        mark_muscles(by=house.owner, client=client, now=now, marks=dict(person.marks))
    for test in person.tests:
        exercise = house.by_code[test.code]
        told: dict[str, Any] = {"load": test.load, "unit": test.unit, "on": test.on, "side": test.side}
        if exercise.rep_kind == Exercise.RepKind.REPS:
            record_test(by=house.owner, client=client, exercise=exercise, reps=test.reps, **told)
        else:
            record_best(by=house.owner, client=client, exercise=exercise, amount=test.reps, **told)
    return client


def _screening(house: House, person: DemoClient, client: Client, now: datetime) -> None:
    asked = person.screening
    if asked is None:
        return
    answers = {question.key: "yes" if question.key in asked.yes else "no" for question in QUESTIONS}
    until = {"cleared_until" if asked.outcome == "cleared" else "valid_until": asked.expires_on}
    record_screening(
        by=house.owner, client=client, now=now, asked_on=asked.asked_on, note=asked.note,
        answers={**answers, "effort": "hard" if person.goal in HARD_GOALS else "moderate"}, **until,
    )  # fmt: skip
