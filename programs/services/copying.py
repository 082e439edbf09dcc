"""Copies of planned sessions and exercises: what every act that duplicates, copies or assigns stands on."""

import copy
import uuid
from collections.abc import Iterable

from coachdesk.practice.tape import Tape
from programs.models import Block, PlannedExercise, PlannedSession, Program


def sessions_of(program: Program, week_no: int | None = None) -> list[PlannedSession]:
    """A programme's sessions with their exercises, of one week or of all, in order."""
    rows = PlannedSession.objects.filter(block__program=program).prefetch_related("exercises")
    if week_no is not None:
        rows = rows.filter(week_no=week_no)
    return list(rows.order_by("week_no", "day", "position", "id"))


def copied_session(row: PlannedSession, *, block: Block, week_no: int, keep_uid: bool = False) -> PlannedSession:
    """An unsaved session like this one, in another week; it has a uid of its own unless told to keep it."""
    return PlannedSession(
        block=block, week_no=week_no, day=row.day, position=row.position, name=row.name, place_id=row.place_id,
        note=row.note, uid=row.uid if keep_uid else uuid.uuid4(),
    )  # fmt: skip


def copied_exercise(row: PlannedExercise, session: PlannedSession, *, keep_uid: bool = False) -> PlannedExercise:
    """An unsaved planned exercise like this one, in another session."""
    return PlannedExercise(
        session=session, position=row.position, exercise_id=row.exercise_id, scheme=copy.deepcopy(row.scheme),
        cue=row.cue, group=row.group, private_note=row.private_note, uid=row.uid if keep_uid else uuid.uuid4(),
    )  # fmt: skip


def copy_sessions(
    tape: Tape, rows: Iterable[tuple[PlannedSession, Block, int]], *, keep_uid: bool = False, record: bool = True
) -> list[PlannedSession]:
    """Copies of (session, the block and the week it goes to), with their exercises (prefetched).

    Only the sessions are recorded: undoing their making takes the exercises along.
    """
    made, exercises = [], []
    for row, block, week_no in rows:
        new = copied_session(row, block=block, week_no=week_no, keep_uid=keep_uid)
        made.append(tape.create(new, record=record))
        exercises += [copied_exercise(one, new, keep_uid=keep_uid) for one in row.exercises.all()]
    PlannedExercise.objects.bulk_create(exercises)
    return made
