"""Adding, changing and removing planned sessions."""

from typing import Any

from django.core.exceptions import ValidationError

from coachdesk.practice.merge import merge, values_at
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import fields_of, write
from programs.models import Block, PlannedSession, Program
from programs.selectors.programs import weeks_of
from programs.services.programs import subject_of

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
EDITABLE = ("name", "week_no", "day", "place_id", "note")
MOST_A_DAY = 4


def block_for(program: Program, week_no: int) -> Block:
    """The block that holds this week. Raises ValidationError for a week outside the programme."""
    blocks = list(program.blocks.order_by("first_week", "id"))
    for block in blocks:
        if block.first_week <= week_no < block.first_week + block.weeks:
            return block
    raise ValidationError({"week_no": f"There is no week {week_no}; this programme has {weeks_of(blocks)} weeks."})


def check_room(program: Program, week_no: int, day: int, *, but: int | None = None) -> int:
    """The next position on this day. Raises ValidationError when the day is full."""
    if not 0 <= day <= 6:
        raise ValidationError({"day": f"Day {day} is not a day of the week; 0 (Monday) to 6 (Sunday)."})
    there = PlannedSession.objects.filter(block__program=program, week_no=week_no, day=day).exclude(pk=but or 0)
    if there.count() >= MOST_A_DAY:
        raise ValidationError({"day": f"{DAYS[day]} of week {week_no} has {MOST_A_DAY} sessions already."})
    return max((s.position for s in there), default=0) + 1


def add_session(*, by: Membership, program: Program, week_no: int, day: int, name: str) -> PlannedSession:
    """An empty session on a day (0 Monday) of a week."""
    label = f"Add {name} on {DAYS[day % 7]} of week {week_no}"
    with write(label, by=by, subject=subject_of(program)) as tape:
        tape.lock(program)  # nobody takes the week out, or the last room of the day, meanwhile
        block = block_for(program, week_no)
        position = check_room(program, week_no, day)
        return tape.create(PlannedSession(block=block, week_no=week_no, day=day, position=position, name=name))


def edit_session(*, by: Membership, session: PlannedSession, version: int, values: dict[str, Any]) -> PlannedSession:
    """Rename or move a session, change its place or note. `values`: any of EDITABLE. Raises StaleEdit."""
    program = session.block.program
    with write(f"Change {session.name}, week {session.week_no}", by=by, subject=subject_of(program)) as tape:
        tape.lock(program)
        row = tape.lock(session)
        now = fields_of(row)
        base = now if version == row.version else values_at(row, version)
        mine = {name: values[name] for name in EDITABLE if name in values}
        merged = merge(row, base=base, theirs={name: now[name] for name in EDITABLE}, mine=mine)
        if (merged["week_no"], merged["day"]) != (row.week_no, row.day):
            row.block = block_for(program, merged["week_no"])
            row.position = check_room(program, merged["week_no"], merged["day"], but=row.pk)
        for name, value in merged.items():
            setattr(row, name, value)
        return tape.save(row)


def remove_session(*, by: Membership, session: PlannedSession) -> None:
    """Delete a planned session with its exercises; what was logged from it stays."""
    label = f"Delete {session.name}, {DAYS[session.day]} of week {session.week_no}"
    with write(label, by=by, subject=subject_of(session.block.program)) as tape:
        tape.delete(session)
