"""Moving and copying exercises and sessions to another place of their programme; positions count from 1."""

import uuid
from collections.abc import Sequence
from typing import Any, TypeVar

from django.core.exceptions import ValidationError

from coachdesk.practice.models import Membership
from coachdesk.practice.tape import Tape, write
from programs.models import PlannedExercise, PlannedSession, Program
from programs.services.copying import copied_exercise, copied_session
from programs.services.programs import subject_of
from programs.services.sessions import DAYS, block_for, check_room

MOST_EXERCISES = 20
Placed = TypeVar("Placed", PlannedExercise, PlannedSession)


def place_exercise(
    *, by: Membership, planned: PlannedExercise, session: PlannedSession, position: int | None = None,
    copy: bool = False,
) -> PlannedExercise | None:  # fmt: skip
    """Move (or copy) an exercise to a position of a session of the same programme; to its end without one.

    What is moved keeps its id; in another session, and as a copy, it stands on its own. None when it stands there
    already and nothing was written. Raises ValidationError for a full session or one of another programme.
    """
    home = planned.session
    same = session.pk == home.pk
    if session.block.program_id != home.block.program_id:
        raise ValidationError({"session": "This session is not one of the same programme; choose one that is."})
    verb = "Copy" if copy else "Move"
    there = f"{session.name}, {DAYS[session.day]} of week {session.week_no}"
    to = f"to place {position} of {there}" if position else f"to the end of {there}"
    label = f"{verb} {planned.exercise.name} {to}"
    with write(label, by=by, subject=subject_of(home.block.program)) as tape:
        for pk in sorted({home.pk, session.pk}):
            tape.lock(PlannedSession(pk=pk))
        row = tape.lock(planned)
        check_still_in(row, home)
        rows = _in_order(session)
        if copy or not same:
            _check_exercises(session, rows)
        if copy:
            new = copied_exercise(row, session)
            new.group = ""
            new.position = len(rows) + 1
            number_rows(tape, _put(rows, tape.create(new), position))
            return new
        if same and number_rows(tape, _put(rows, row, position)) == 0:
            return None
        if not same:
            number_rows(tape, [one for one in _in_order(home) if one.pk != row.pk])
            number_rows(tape, _put(rows, row, position), row, session_id=session.pk, group="")
            row.session, row.group = session, ""
        return row


def check_still_in(row: PlannedExercise, session: PlannedSession) -> None:
    """Raises ValidationError for an exercise that somebody moved to another session meanwhile."""
    if row.session_id != session.pk:
        words = f"Somebody moved {row.exercise.name} to {row.session.name}, week {row.session.week_no}, meanwhile."
        raise ValidationError({"session": f"{words} Look at the plan again."})


def _in_order(session: PlannedSession) -> list[PlannedExercise]:
    return list(PlannedExercise.objects.filter(session=session.pk).order_by("position", "id"))


def _check_exercises(session: PlannedSession, rows: Sequence[PlannedExercise]) -> None:
    if len(rows) >= MOST_EXERCISES:
        words = f"{session.name} has {len(rows)} exercises; {MOST_EXERCISES} is the most. Take one out first."
        raise ValidationError({"session": words})


def _put(rows: Sequence[Placed], row: Placed, position: int | None) -> list[Placed]:
    """The rows in order with `row` at a position from 1; past the end, or without one, it comes last."""
    rest: list[Placed] = [one for one in rows if one.pk != row.pk]
    rest.insert(len(rest) if position is None else max(0, position - 1), row)
    return rest


def number_rows(tape: Tape, rows: Sequence[Placed], moved: Placed | None = None, **to: Any) -> int:
    """Positions from 1 in this order, and the fields `to` of the one `moved`; gives how many rows changed."""
    locked = tape.lock_all(rows)
    for position, row in enumerate(locked, start=1):
        row.position = position
        if moved is not None and row.pk == moved.pk:
            for name, value in to.items():
                setattr(row, name, value)
    return tape.save_all(locked)


def place_session(
    *, by: Membership, session: PlannedSession, week_no: int, day: int, position: int | None = None, copy: bool = False
) -> PlannedSession | None:
    """Move (or copy) a session to a day (0 Monday) of a week of its programme; last of that day without a position.

    None when it stands there already and nothing was written. Raises ValidationError for a week outside the
    programme or a full day.
    """
    program = session.block.program
    verb = "Copy" if copy else "Move"
    label = f"{verb} {session.name}, week {session.week_no}, to {DAYS[day % 7]} of week {week_no}"
    with write(label, by=by, subject=subject_of(program)) as tape:
        tape.lock(program)
        row = tape.lock(session)
        block = block_for(program, week_no)
        same = (row.week_no, row.day) == (week_no, day)
        check_room(program, week_no, day, but=None if copy else row.pk)
        there = _on_day(program, week_no, day)
        if copy:
            return _copy_session(tape, row, there, PlannedSession(block=block, week_no=week_no, day=day), position)
        if same:
            # Without a position a session stays where it is: it is not sent behind the others of its day.
            return row if position and number_rows(tape, _put(there, row, position)) else None
        number_rows(tape, [one for one in _on_day(program, row.week_no, row.day) if one.pk != row.pk])
        number_rows(tape, _put(there, row, position), row, block_id=block.pk, week_no=week_no, day=day)
        return row


def _copy_session(
    tape: Tape, row: PlannedSession, there: list[PlannedSession], to: PlannedSession, position: int | None
) -> PlannedSession:
    new = copied_session(row, block=to.block, week_no=to.week_no)
    new.day, new.position, new.uid = to.day, len(there) + 1, uuid.uuid4()
    tape.create(new)
    PlannedExercise.objects.bulk_create(copied_exercise(one, new) for one in _in_order(row))
    number_rows(tape, _put(there, new, position))
    return new


def _on_day(program: Program, week_no: int, day: int) -> list[PlannedSession]:
    rows = PlannedSession.objects.filter(block__program=program, week_no=week_no, day=day)
    return list(rows.order_by("position", "id"))
