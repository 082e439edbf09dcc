"""Answering flags: applying a remedy in one act, or setting a flag aside with a reason."""

from datetime import datetime, timedelta

from django.core.exceptions import ValidationError

from coachdesk import engine
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import write
from programs.models import ClientDate, FlagDecision, PlannedExercise, PlannedSession, Program
from programs.services.exercises import add_cue, remove_exercise, set_scheme, swap_exercise
from programs.services.placing import place_exercise
from programs.services.programs import subject_of
from programs.services.sessions import edit_session, remove_session


def apply_remedy(*, by: Membership, program: Program, flag: engine.Flag, index: int) -> str:
    """Make the edits of the flag's remedy number `index`, as one act. Gives the act's words."""
    if not 0 <= index < len(flag.remedies):
        raise ValidationError("This remedy is no longer offered; the plan has changed since.")
    remedy = flag.remedies[index]
    with write(f"Apply: {remedy.label}", by=by, subject=subject_of(program)):
        for edit in remedy.edits:
            _apply(by, program, edit)
    return remedy.label


def _apply(by: Membership, program: Program, edit: engine.Edit) -> None:
    if edit.target == "exercise":
        _change_exercise(by, program, edit)
    elif edit.target == "session":
        _move_session(by, program, edit)
    elif edit.target == "date" and edit.field == "test":
        _plan_test(by, program, edit)
    elif edit.target == "date" and program.client is not None:
        with write("Take a day out of the calendar", by=by) as tape:
            for entry in program.client.dates.filter(pk=edit.key):
                tape.delete(entry)
    elif program.client is not None:
        with write("Take a mark away", by=by) as tape:
            for mark in program.client.marked_muscles.filter(muscle=edit.key):
                tape.delete(mark)


def _plan_test(by: Membership, program: Program, edit: engine.Edit) -> None:
    """A test of an exercise in the client's calendar, on a day counted from the programme's first Monday."""
    if program.client is None or program.start_on is None or not isinstance(edit.value, int):
        raise ValidationError("A template has no client to test.")
    on = program.start_on + timedelta(days=edit.value)
    with write("Plan a test", by=by) as tape:
        tape.create(ClientDate(client=program.client, on=on, kind=ClientDate.Kind.TEST, exercise_id=edit.key))


def _change_exercise(by: Membership, program: Program, edit: engine.Edit) -> None:
    planned = PlannedExercise.objects.filter(pk=edit.key, session__block__program=program)
    row = planned.select_related("session__block__program", "exercise").first()
    if row is None:
        raise ValidationError("The exercise this remedy changes has been deleted.")
    if edit.field == "remove":
        remove_exercise(by=by, planned=row)
    elif edit.field == "last":
        place_exercise(by=by, planned=row, session=row.session)
    elif edit.field == "exercise" and isinstance(edit.value, int):
        swap_exercise(by=by, planned=row, exercise_id=edit.value)
    elif edit.field == "cue" and isinstance(edit.value, str):
        add_cue(by=by, planned=row, words=edit.value)
    elif isinstance(edit.value, engine.Scheme):
        set_scheme(by=by, planned=row, scheme=edit.value)


def _move_session(by: Membership, program: Program, edit: engine.Edit) -> None:
    found = PlannedSession.objects.filter(pk=edit.key, block__program=program).select_related("block__program")
    row = found.first()
    if row is not None and edit.field == "remove":
        remove_session(by=by, session=row)
        return
    if row is None or not isinstance(edit.value, int):
        raise ValidationError("The session this remedy moves has been deleted.")
    # The engine counts days from the programme's first Monday.
    values = {"week_no": edit.value // 7 + 1, "day": edit.value % 7}
    edit_session(by=by, session=row, version=row.version, values=values)


def dismiss_flag(*, by: Membership, program: Program, flag: engine.Flag, why: str, now: datetime) -> FlagDecision:
    """Set a flag aside with a reason; it returns when its numbers change."""
    if not why.strip():
        raise ValidationError({"why": "Write the reason for setting this flag aside; it is kept with your name."})
    with write(f"Set aside: {flag.sentence}"[:200], by=by, subject=subject_of(program), at=now) as tape:
        FlagDecision.objects.filter(program=program, flag_id=flag.id).delete()
        return tape.create(
            FlagDecision(program=program, flag_id=flag.id, code=flag.code, why=why.strip(), by=by, at=now)
        )


def take_back_dismissal(*, by: Membership, decision: FlagDecision) -> None:
    """Let a set-aside flag show again."""
    with write("Show a set-aside flag again", by=by, subject=subject_of(decision.program)) as tape:
        tape.delete(decision)
