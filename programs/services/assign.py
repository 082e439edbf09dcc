"""Copying: a week onto others, a programme to a client, a client's programme to a template."""

import copy
import uuid
from collections.abc import Iterable
from datetime import date

from django.core.exceptions import ValidationError

from clients.models import Client
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import Tape, write
from programs.models import Block, PlannedExercise, PlannedSession, Program
from programs.services.programs import check_start, subject_of
from programs.services.sessions import block_for


def _copied(row: PlannedSession, *, block: Block, week_no: int, keep_uid: bool) -> PlannedSession:
    return PlannedSession(
        block=block, week_no=week_no, day=row.day, position=row.position, name=row.name, place_id=row.place_id,
        note=row.note, uid=row.uid if keep_uid else uuid.uuid4(),
    )  # fmt: skip


def _copied_exercise(row: PlannedExercise, session: PlannedSession, *, keep_uid: bool) -> PlannedExercise:
    return PlannedExercise(
        session=session, position=row.position, exercise_id=row.exercise_id, scheme=copy.deepcopy(row.scheme),
        cue=row.cue, group=row.group, private_note=row.private_note, uid=row.uid if keep_uid else uuid.uuid4(),
    )  # fmt: skip


def _sessions(program: Program, week_no: int | None = None) -> list[PlannedSession]:
    rows = PlannedSession.objects.filter(block__program=program).prefetch_related("exercises")
    if week_no is not None:
        rows = rows.filter(week_no=week_no)
    return list(rows.order_by("week_no", "day", "position", "id"))


def copy_week(*, by: Membership, program: Program, week_no: int, to_weeks: Iterable[int]) -> int:
    """Put a week's sessions in place of those of other weeks; gives how many sessions stood there before.

    Raises ValidationError for an empty week or a week outside the programme.
    """
    targets = sorted(set(to_weeks) - {week_no})
    if not targets:
        raise ValidationError({"to_last": f"Choose a week other than week {week_no} to copy it to."})
    words = f"week {targets[0]}" if len(targets) == 1 else f"weeks {targets[0]} to {targets[-1]}"
    with write(f"Copy week {week_no} to {words}", by=by, subject=subject_of(program)) as tape:
        blocks = {n: block_for(program, n) for n in targets}
        source = _sessions(program, week_no)
        if not source:
            raise ValidationError({"to_last": f"Week {week_no} has no sessions to copy."})
        replaced = 0
        for target in targets:
            for old in _sessions(program, target):
                tape.delete(old)
                replaced += 1
            _copy_sessions(tape, source, lambda _row, n=target: (blocks[n], n), keep_uid=False)
    return replaced


def _copy_sessions(tape: Tape, rows: Iterable[PlannedSession], where, *, keep_uid: bool, record: bool = True) -> None:  # type: ignore[no-untyped-def]
    exercises = []
    for row in rows:
        block, week_no = where(row)
        made = tape.create(_copied(row, block=block, week_no=week_no, keep_uid=keep_uid), record=record)
        exercises += [_copied_exercise(one, made, keep_uid=keep_uid) for one in row.exercises.all()]
    PlannedExercise.objects.bulk_create(exercises)


def _copy_program(tape: Tape, program: Program, made: Program) -> Program:
    """Fill a new programme from another; its root is recorded, its inside is not."""
    tape.create(made)
    blocks = {}
    for block in program.blocks.order_by("first_week", "id"):
        fresh = Block(program=made, name=block.name, first_week=block.first_week, weeks=block.weeks)
        blocks[block.pk] = tape.create(fresh, record=False)
    _copy_sessions(
        tape, _sessions(program), lambda row: (blocks[row.block_id], row.week_no), keep_uid=True, record=False
    )
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
