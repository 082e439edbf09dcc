"""A demo programme as rows: the programme recorded, its blocks, sessions and exercises inserted whole."""

from datetime import datetime
from uuid import UUID, uuid5

from clients.models import Client
from coachdesk import engine
from coachdesk.demo.shapes import DemoClient, DemoExercise, DemoProgram, DemoSession
from coachdesk.management.seeding.bulk import insert
from coachdesk.management.seeding.house import House
from coachdesk.practice.tape import Tape, write
from programs.models import Block, PlannedExercise, PlannedSession, Program
from programs.services.versions import save_version

Planned = tuple[DemoSession, PlannedSession, tuple[PlannedExercise, ...]]


def seed_template(house: House, person: DemoClient, space: UUID, now: datetime) -> None:
    """The template that a person's programme is a copy of, as that person has it, and its first version; once."""
    plan = person.program
    if plan is None or not plan.template or plan.template in house.templates:
        return
    with write(f"Make template {plan.template}", by=house.owner, at=now) as tape:
        made = tape.create(Program(practice=house.owner.practice, coach=house.owner, name=plan.template))
        _insert(house, person, plan, made, space)
        version = save_version(by=house.owner, program=made, note="", now=now)
    house.templates[plan.template] = (version, space)


def seed_program(tape: Tape, house: House, person: DemoClient, client: Client, space: UUID) -> list[Planned]:
    """Every planned session in order with its exercises; `space` makes the rows' uids repeatable.

    A copy of a template shares the uids of its rows, by which the two are compared.
    """
    plan = person.program
    if plan is None:
        return []
    version, shared = house.templates.get(plan.template, (None, space))
    program = tape.create(
        Program(
            practice=client.practice, coach=client.coach, client=client, name=plan.name, start_on=plan.start_on,
            origin=version.program if version else None, origin_version=version,
        )
    )  # fmt: skip
    return _insert(house, person, plan, program, shared)


def _insert(house: House, person: DemoClient, plan: DemoProgram, program: Program, space: UUID) -> list[Planned]:
    blocks = insert(
        Block(program=program, name=one.name, first_week=one.first_week, weeks=one.weeks) for one in plan.blocks
    )
    sessions = insert(_session(house, one, blocks, space) for one in plan.sessions)
    pairs = list(zip(plan.sessions, sessions, strict=True))
    exercises = insert(row for demo, session in pairs for row in _exercises(house, person, demo, session, space))
    by_session: dict[int, list[PlannedExercise]] = {}
    for row in exercises:
        by_session.setdefault(row.session_id, []).append(row)
    return [(demo, session, tuple(by_session.get(session.pk, ()))) for demo, session in pairs]


def _session(house: House, demo: DemoSession, blocks: list[Block], space: UUID) -> PlannedSession:
    block = next(b for b in blocks if b.first_week <= demo.week_no < b.first_week + b.weeks)
    return PlannedSession(
        block=block, uid=uuid5(space, f"session {demo.week_no}.{demo.day}"), week_no=demo.week_no, day=demo.day,
        name=demo.name, place=house.places[demo.place] if demo.place else None,
    )  # fmt: skip


def _exercises(
    house: House, person: DemoClient, demo: DemoSession, session: PlannedSession, space: UUID
) -> list[PlannedExercise]:
    return [
        PlannedExercise(
            session=session, uid=uuid5(space, f"exercise {demo.week_no}.{demo.day}.{position}"), position=position,
            exercise=house.by_code[one.code], scheme=_scheme(one, person.unit), cue=one.cue,
        )
        for position, one in enumerate(demo.exercises, start=1)
    ]  # fmt: skip


def _scheme(exercise: DemoExercise, unit: str) -> dict[str, object]:
    return engine.scheme_to_json(engine.scheme_from_fields(dict(exercise.scheme), unit))
