"""Copying a whole programme: to a client, or a client's programme to a template."""

from datetime import date

from clients.models import Client
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import Tape, write
from programs.models import Block, Program
from programs.services.copying import copy_sessions, sessions_of
from programs.services.programs import check_start


def _copy_program(tape: Tape, program: Program, made: Program) -> Program:
    """Fill a new programme from another; its root is recorded, its inside is not."""
    tape.create(made)
    blocks = {}
    for block in program.blocks.order_by("first_week", "id"):
        fresh = Block(program=made, name=block.name, first_week=block.first_week, weeks=block.weeks)
        blocks[block.pk] = tape.create(fresh, record=False)
    where = [(row, blocks[row.block_id], row.week_no) for row in sessions_of(program)]
    copy_sessions(tape, where, keep_uid=True, record=False)
    return made


def assign_program(
    *, by: Membership, program: Program, client: Client, start_on: date, today: date, name: str = ""
) -> Program:
    """The client's own copy of a programme, starting on the Monday on or after `start_on`.

    Rows keep their uid, so that later versions of the template can be compared with the copy.
    """
    start = check_start(start_on, today)
    with write(f"Assign {program.name} to {client.name}", by=by, subject=f"client:{client.pk}") as tape:
        made = Program(
            practice=client.practice, coach=client.coach, client=client, name=name or program.name, start_on=start,
            origin=program, origin_version=program.version,
        )  # fmt: skip
        return _copy_program(tape, program, made)


def save_as_template(*, by: Membership, program: Program, name: str) -> Program:
    """A template with the same weeks, without client and dates."""
    with write(f"Save {program.name} as template {name}", by=by) as tape:
        made = Program(practice=by.practice, coach=by, name=name, origin=program, origin_version=program.version)
        return _copy_program(tape, program, made)
