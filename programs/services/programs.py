"""Making and changing a programme as a whole."""

from datetime import date, timedelta
from typing import Any

from django.core.exceptions import ValidationError

from clients.models import Client
from coachdesk.practice.merge import merge, values_at
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.tape import UndoConflict, fields_of, guard, write
from programs.models import Block, PlannedSession, Program
from programs.models.program import MOST_WEEKS
from programs.selectors.programs import visible_programs


def subject_of(program: Program) -> str:
    """The name of a programme's undo stack."""
    return f"program:{program.pk}"


def check_weeks(weeks: int) -> None:
    """Raises ValidationError unless 1 to 52."""
    if not 1 <= weeks <= MOST_WEEKS:
        raise ValidationError({"weeks": f"A programme of {weeks} weeks cannot be kept; 1 to {MOST_WEEKS} weeks."})


def check_start(start_on: date, today: date) -> date:
    """The Monday a programme starts on: the date itself, or the next one. Raises ValidationError for the past."""
    if start_on < today:
        raise ValidationError(
            {"start_on": f"{start_on:%a} {start_on.day} {start_on:%b %Y} is in the past; choose today or later."}
        )
    if (start_on - today).days > 366:
        raise ValidationError({"start_on": f"{start_on:%a} {start_on.day} {start_on:%b %Y} is over a year away."})
    return start_on + timedelta(days=-start_on.weekday() % 7)


def create_program(
    *, by: Membership, name: str, weeks: int, client: Client | None = None, start_on: date | None = None,
    today: date | None = None,
) -> Program:  # fmt: skip
    """An empty programme of so many weeks: a template, or a client's from the Monday on or after `start_on`."""
    check_weeks(weeks)
    if client is not None:
        if start_on is None:
            raise ValidationError({"start_on": "A client's programme needs the date it starts on."})
        start_on = check_start(start_on, today or start_on)
    with write(f"Make programme {name}", by=by) as tape:
        program = tape.create(
            Program(
                practice=by.practice, coach=client.coach if client else by, client=client, name=name,
                start_on=start_on if client else None,
            )
        )  # fmt: skip
        tape.create(Block(program=program, name="Block 1", first_week=1, weeks=weeks), record=False)
    return program


def edit_program(*, by: Membership, program: Program, version: int, values: dict[str, Any]) -> Program:
    """Rename it or change its length. `values`: name, weeks (of a programme with one block).

    Raises StaleEdit, or ValidationError when sessions stand in weeks that would go.
    """
    with write(f"Change programme {program.name}", by=by, subject=subject_of(program)) as tape:
        row = tape.lock(program)
        merged = merge(
            row, base=values_at(row, version) if version != row.version else fields_of(row),
            theirs={"name": row.name}, mine={"name": values["name"]},
        )  # fmt: skip
        row.name = merged["name"]
        if values.get("weeks") is not None:
            _set_weeks(tape, row, values["weeks"])
        tape.save(row)
    return row


def _set_weeks(tape: Any, program: Program, weeks: int) -> None:
    check_weeks(weeks)
    block = program.blocks.order_by("-first_week", "-id").first()
    if block is None:
        return
    last = PlannedSession.objects.filter(block__program=program, week_no__gt=weeks).order_by("-week_no").first()
    if last is not None:
        words = f"Week {last.week_no} has a session ({last.name}); delete it first, or keep that week."
        raise ValidationError({"weeks": words})
    if weeks < block.first_week:
        raise ValidationError({"weeks": f"The block {block.name} begins in week {block.first_week}."})
    block = tape.lock(block)
    block.weeks = weeks - block.first_week + 1
    tape.save(block)


def archive_program(*, by: Membership, program: Program, today: date) -> None:
    """Put a programme away; its logs stay, and undo brings it back."""
    with write(f"Archive programme {program.name}", by=by, subject=subject_of(program)) as tape:
        row = tape.lock(program)
        row.archived_on = today
        tape.save(row)


def _still_theirs(by: Membership, act: Act) -> None:
    """One's own act on a programme whose client was given to another coach since is no longer one's own to undo."""
    kind, _, pk = act.subject.partition(":")
    if kind == "program" and Program.objects.filter(pk=pk).exclude(pk__in=visible_programs(by).values("pk")).exists():
        raise UndoConflict(f"'{act.label}' concerns a client of another coach now; ask them or the owner.")


guard(_still_theirs)
