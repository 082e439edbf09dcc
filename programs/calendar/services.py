"""Writing in a client's calendar: every function is one act, and one undo takes it back."""

import copy
from datetime import date, timedelta
from typing import Any

from django.core.exceptions import ValidationError

from clients.models import Client, Place
from clients.services.stale import take_over
from coachdesk.practice.merge import Conflict, StaleEdit, values_at
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.tape import Tape, UndoConflict, fields_of, guard, write
from programs.calendar.changes import (
    Change,
    Longer,
    Preview,
    absence_preview,
    full_words,
    missed_preview,
    outside_words,
)
from programs.calendar.days import day_words, is_logged, plan_of, range_words
from programs.models import Absence, ClientDate, PlannedExercise, PlannedSession, Program
from programs.selectors import visible_programs
from programs.services.placing import place_session
from programs.services.programs import subject_of

LONGEST = 366
FIRST_DAY, LAST_DAY = date(2000, 1, 1), date(2100, 12, 31)
HOW_WORDS = {
    "shift": "move {n} on", "drop": "take {n} out", "lighten": "lighten {n}", "elsewhere": "{n} elsewhere", "keep": "",
}  # fmt: skip


class MovedOn(Exception):
    """The plan is no longer as the preview showed it; nothing was written. `preview` is what would happen now."""

    def __init__(self, preview: Preview) -> None:
        super().__init__("The plan has changed since this page was drawn.")
        self.preview = preview


def calendar_subject(client: Client) -> str:
    """The name of the undo stack of acts that concern no single programme."""
    return f"calendar:{client.pk}"


def move_session(*, by: Membership, session: PlannedSession, on: date, version: int) -> PlannedSession:
    """Put a planned session on another day of its programme. Raises StaleEdit, ValidationError."""
    plan = plan_of(session)
    if is_logged(session):
        raise ValidationError({"on": f"{session.name} is logged already; a log keeps its day."})
    problem = outside_words(plan, on) or full_words(plan, session, on)
    if problem:
        raise ValidationError({"on": problem})
    week_no, day = plan.place_of(on)
    label = f"Move {session.name} from {day_words(plan.on(session))} to {day_words(on)}"
    with write(label, by=by, subject=subject_of(plan.program)) as tape:
        tape.lock(plan.program)  # first, as everybody who moves sessions does: nobody waits for one who waits for them
        row = tape.lock(session)
        seen = fields_of(row) if version == row.version else values_at(row, version)
        if seen is None or (seen["week_no"], seen["day"]) != (row.week_no, row.day):
            raise StaleEdit(row, [Conflict("day", day, row.day)])
        place_session(by=by, session=session, week_no=week_no, day=day)
        return row


def check_day(name: str, on: date) -> None:
    """Raises ValidationError for a day so far away that it must be a slip of the finger."""
    if not FIRST_DAY <= on <= LAST_DAY:
        right = f"write a day from {FIRST_DAY.year} to {LAST_DAY.year}"
        raise ValidationError({name: f"{on.isoformat()} is too far away to plan for; {right}."})


def check_absence(first_on: date, last_on: date) -> None:
    """Raises ValidationError for days in the wrong order, more than a year of them, or ones far from any plan."""
    check_day("first_on", first_on)
    check_day("last_on", last_on)
    if last_on < first_on:
        words = (
            f"{day_words(last_on)} {last_on.year} is before {day_words(first_on)} {first_on.year}; choose a later day."
        )
        raise ValidationError({"last_on": words})
    if (last_on - first_on).days >= LONGEST:
        raise ValidationError(
            {"last_on": f"{(last_on - first_on).days + 1} days is over a year; enter at most a year."}
        )


def enter_absence(
    *, by: Membership, client: Client, first_on: date, last_on: date, kind: str, note: str = "", how: str = "keep",
    place: Place | None = None, digest: str | None = None,
) -> Absence:  # fmt: skip
    """Enter days away and do with the sessions inside what `how` says (see `absence_preview`), as one act.

    Raises MovedOn when `digest` is of another preview than what would be written, ValidationError.
    """
    check_absence(first_on, last_on)
    preview = absence_preview(client, first=first_on, last=last_on, how=how, place=place)
    count = len(preview.changes)
    done = HOW_WORDS[how].format(n=f"{count} session{'' if count == 1 else 's'}") if count else ""
    kind_words = dict(Absence.Kind.choices).get(kind, kind)
    label = f"{kind_words.capitalize()} {range_words(first_on, last_on)}{': ' if done else ''}{done}"
    with write(label, by=by, subject=_subject(client, preview)) as tape:
        tape.lock(client)
        _check(preview := absence_preview(client, first=first_on, last=last_on, how=how, place=place), digest)
        _apply(tape, preview, by)
        return tape.create(Absence(client=client, first_on=first_on, last_on=last_on, kind=kind, note=note))


def edit_absence(*, by: Membership, absence: Absence, version: int, fields: dict[str, Any]) -> Absence:
    """Change days, kind or note; the sessions stay where they are. Raises StaleEdit, ValidationError."""
    with write(f"Change {absence}", by=by, subject=calendar_subject(absence.client)) as tape:
        row = take_over(tape.lock(absence), version=version, fields=fields)
        check_absence(row.first_on, row.last_on)
        return tape.save(row)


def remove_absence(*, by: Membership, absence: Absence) -> None:
    """Take days away out of the calendar; sessions stay where they are."""
    label = f"Remove {absence.get_kind_display()} {range_words(absence.first_on, absence.last_on)}"
    with write(label, by=by, subject=calendar_subject(absence.client)) as tape:
        tape.delete(absence)


def answer_missed(
    *, by: Membership, session: PlannedSession, how: str, today: date, to: date | None = None, into: int | None = None,
    digest: str | None = None,
) -> None:  # fmt: skip
    """Move, drop or fold a session that was not done (see `missed_preview`). Raises MovedOn, ValidationError."""
    program = session.block.program
    verb = {"move": "Move", "drop": "Drop", "fold": "Fold"}[how]
    tail = f" to {day_words(to)}" if how == "move" and to else " into the next one" if how == "fold" else ""
    with write(f"{verb} missed {session.name}{tail}", by=by, subject=subject_of(program)) as tape:
        if is_logged(session):
            raise ValidationError(f"{session.name} is logged already; a log keeps its day.")
        preview = missed_preview(plan_of(session), session, how=how, today=today, to=to, into=into)
        _check(preview, digest)
        _apply(tape, preview, by)


def _check(preview: Preview, digest: str | None) -> None:
    if preview.problem:
        raise ValidationError(preview.problem)
    if digest is not None and digest != preview.digest:
        raise MovedOn(preview)


def _subject(client: Client, preview: Preview) -> str:
    """The programme's own undo stack when one is touched, so that its page offers this undo too."""
    touched = preview.programs
    return f"program:{touched.pop()}" if len(touched) == 1 else calendar_subject(client)


def _apply(tape: Tape, preview: Preview, by: Membership) -> None:
    for one in preview.longer:
        _lengthen(tape, one)
    # Sessions of a programme that starts later keep their week and day in it.
    later = {one.plan.program.pk for one in preview.longer if one.whole}
    for change in preview.changes:
        if change.removed:
            tape.delete(change.session)
        elif change.to is not None and not preview.longer:
            days = (change.to - change.on).days + 7 * (change.session.week_no - 1) + change.session.day
            place_session(by=by, session=change.session, week_no=days // 7 + 1, day=days % 7)
        elif change.session.block.program_id not in later:
            _change(tape, change)


def _lengthen(tape: Tape, longer: Longer) -> None:
    if longer.whole:
        program = tape.lock(longer.plan.program)
        program.start_on = _later(program, longer.weeks)
        tape.save(program)
        return
    for block in longer.plan.blocks:
        row = tape.lock(block)
        if block.first_week > longer.from_week:
            row.first_week += longer.weeks
        elif longer.from_week < block.first_week + block.weeks:
            row.weeks += longer.weeks
        tape.save(row)


def _later(program: Program, weeks: int) -> date | None:
    return program.start_on + timedelta(weeks=weeks) if program.start_on else None


def _change(tape: Tape, change: Change) -> None:
    if change.to is not None or change.place is not None:
        row = tape.lock(change.session)
        if change.to is not None:
            # By whole weeks, so that the weekday and the order within the day stay.
            row.week_no += (change.to - change.on).days // 7
        if change.place is not None:
            row.place = change.place
        tape.save(row)
    for planned, scheme in change.schemes:
        locked = tape.lock(planned)
        locked.scheme = scheme
        tape.save(locked)
    last = max((row.position for row in change.session.exercises.all()), default=0)
    for n, planned in enumerate(change.added, start=1):
        tape.create(
            PlannedExercise(
                session=change.session, position=last + n, exercise_id=planned.exercise_id,
                scheme=copy.deepcopy(planned.scheme), cue=planned.cue, private_note=planned.private_note,
            )
        )  # fmt: skip


def enter_date(*, by: Membership, client: Client, **fields: Any) -> ClientDate:
    """Put a test day or a date to peak for in the calendar. `fields`: on, kind, exercise, note."""
    check_day("on", fields["on"])
    row = ClientDate(client=client, **fields)
    with write(f"{row.words} on {day_words(row.on)}", by=by, subject=calendar_subject(client)) as tape:
        return tape.create(row)


def edit_date(*, by: Membership, entry: ClientDate, version: int, fields: dict[str, Any]) -> ClientDate:
    """Change a test day or a date to peak for. Raises StaleEdit."""
    label = f"Change {entry.words} on {day_words(entry.on)}"
    with write(label, by=by, subject=calendar_subject(entry.client)) as tape:
        row = take_over(tape.lock(entry), version=version, fields=fields)
        check_day("on", row.on)
        return tape.save(row)


def remove_date(*, by: Membership, entry: ClientDate) -> None:
    """Take a test day or a date to peak for out of the calendar."""
    label = f"Remove {entry.words} on {day_words(entry.on)}"
    with write(label, by=by, subject=calendar_subject(entry.client)) as tape:
        tape.delete(entry)


def _still_visible(by: Membership, act: Act) -> None:
    """An act over several programmes is undone only by somebody who still sees every one of them."""
    kind, _, pk = act.subject.partition(":")
    if kind != "calendar" or by.role == Membership.Role.OWNER:
        return
    theirs = Program.objects.filter(client_id=int(pk)).exclude(pk__in=visible_programs(by).values("pk"))
    if theirs.exists():
        raise UndoConflict(f"'{act.label}' concerns a client of another coach now; ask them or the owner.")


guard(_still_visible)
