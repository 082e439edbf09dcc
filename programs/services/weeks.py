"""Copying, moving, inserting and deleting the weeks of a programme."""

from collections.abc import Iterable, Mapping

from django.core.exceptions import ValidationError

from coachdesk.practice.models import Membership, Values
from coachdesk.practice.tape import Tape, UndoConflict, derived, write
from programs.models import Block, PlannedSession, Program
from programs.models.program import MOST_WEEKS
from programs.services.copying import copy_sessions, sessions_of
from programs.services.layout import Layout, copied_in, layout_of, moved, runs, without
from programs.services.programs import subject_of


def layout_now(program: Program) -> tuple[dict[int, Block], Layout]:
    """The programme's blocks by id, and its weeks."""
    blocks = list(program.blocks.order_by("first_week", "id"))
    return {b.pk: b for b in blocks}, layout_of((b.pk, b.first_week, b.weeks) for b in blocks)


def check_week(layout: Layout, week_no: int, field: str = "to") -> None:
    """Raises ValidationError for a week that the programme does not have."""
    if not 1 <= week_no <= len(layout):
        words = f"There is no week {week_no}; this programme has {len(layout)} weeks."
        raise ValidationError({field: words})


def lay(tape: Tape, program: Program, blocks: Mapping[int, Block], layout: Layout) -> int:
    """Make the programme's rows as this layout says; gives how many sessions were deleted on the way.

    Raises ValidationError unless 1 to 52 weeks are left. Blocks without weeks go, with nothing in them.
    """
    if not 1 <= len(layout) <= MOST_WEEKS:
        words = f"The programme would have {len(layout)} weeks; it can have 1 to {MOST_WEEKS}."
        raise ValidationError({"weeks": words})
    left = runs(layout)
    _set_blocks(tape, [blocks[pk] for pk in left], left)
    sessions = sessions_of(program)
    kept = {slot.week for slot in layout if not slot.copied}
    gone = [s for s in sessions if s.week_no not in kept]
    copied = [
        (s, blocks[slot.block], n)
        for n, slot in enumerate(layout, start=1) if slot.copied
        for s in sessions if s.week_no == slot.week
    ]  # fmt: skip
    _move_sessions(tape, sessions, layout)
    copy_sessions(tape, copied)
    for session in gone:
        tape.delete(session)
    for pk in set(blocks) - set(left):
        tape.delete(blocks[pk])
    return len(gone)


def _set_blocks(tape: Tape, blocks: Iterable[Block], left: Mapping[int, tuple[int, int]]) -> None:
    locked = tape.lock_all(blocks)
    for block in locked:
        block.first_week, block.weeks = left[block.pk]
    tape.save_all(locked)


def _move_sessions(tape: Tape, sessions: Iterable[PlannedSession], layout: Layout) -> None:
    where = {slot.week: (n, slot.block) for n, slot in enumerate(layout, start=1) if slot.week and not slot.copied}
    moving = [s for s in sessions if s.week_no in where and (s.week_no, s.block_id) != where[s.week_no]]
    locked = tape.lock_all(moving)
    for row in locked:
        # One that somebody moved away meanwhile goes with the week it stands in now.
        row.week_no, row.block_id = where.get(row.week_no, (row.week_no, row.block_id))
    tape.save_all(locked)


def is_whole(program_id: int) -> bool:
    """Whether a programme's blocks follow each other from week 1 on, with every session in the block of its week."""
    blocks = list(Block.objects.filter(program=program_id).order_by("first_week", "id"))
    at = 1
    for block in blocks:
        if block.first_week != at:
            return False
        at += block.weeks
    where = {block.pk: block for block in blocks}
    sessions = PlannedSession.objects.filter(block__in=list(where)).values_list("block", "week_no")
    return all(where[pk].first_week <= week_no <= where[pk].last_week for pk, week_no in sessions)


def _still_whole(touched: list[Values]) -> None:
    """An undo is refused where weeks or sessions that came since would be left outside the programme."""
    blocks = {values["block_id"] for values in touched if "block_id" in values}
    ids = {values["program_id"] for values in touched if "program_id" in values}
    ids |= set(Block.objects.filter(pk__in=blocks).values_list("program", flat=True))
    for pk in Program.objects.filter(pk__in=ids).values_list("pk", flat=True):
        if not is_whole(pk):
            raise UndoConflict(
                "This cannot be taken back: weeks or sessions were changed since, and some would be left outside the"
                " programme. Undo the later changes first."
            )


derived("programs.block", _still_whole)
derived("programs.plannedsession", _still_whole)


def copy_week(*, by: Membership, program: Program, week_no: int, to_weeks: Iterable[int]) -> int:
    """Put copies of a week's sessions in place of those of other weeks; gives how many sessions stood there before.

    Raises ValidationError for an empty week or a week outside the programme.
    """
    targets = sorted(set(to_weeks) - {week_no})
    if not targets:
        raise ValidationError({"to": f"Choose a week other than week {week_no} to copy it to."})
    words = f"week {targets[0]}" if len(targets) == 1 else f"weeks {targets[0]} to {targets[-1]}"
    with write(f"Copy week {week_no} to {words}", by=by, subject=subject_of(program)) as tape:
        blocks, layout = locked_layout(tape, program)
        for one in (week_no, *targets):
            check_week(layout, one, "week_no" if one == week_no else "to")
        source = _filled(program, week_no)
        replaced = [old for target in targets for old in sessions_of(program, target)]
        for old in replaced:
            tape.delete(old)
        copy_sessions(tape, [(row, blocks[layout[n - 1].block], n) for n in targets for row in source])
    return len(replaced)


def locked_layout(tape: Tape, program: Program) -> tuple[dict[int, Block], Layout]:
    """Blocks and weeks of a programme that nobody else rearranges meanwhile."""
    tape.lock(program)
    return layout_now(program)


def _filled(program: Program, week_no: int) -> list[PlannedSession]:
    found = sessions_of(program, week_no)
    if not found:
        raise ValidationError({"week_no": f"Week {week_no} has no sessions; there is nothing to copy or move."})
    return found


def put_week(*, by: Membership, program: Program, week_no: int, to: int) -> int | None:
    """Move a week's sessions in place of another week's; the week they leave stands empty.

    Gives how many sessions stood there before; None when it is the same week. Raises ValidationError.
    """
    with write(f"Move week {week_no} to week {to}", by=by, subject=subject_of(program)) as tape:
        blocks, layout = locked_layout(tape, program)
        check_week(layout, week_no, "week_no")
        check_week(layout, to)
        if to == week_no:
            return None
        rows = _filled(program, week_no)
        replaced = sessions_of(program, to)
        for old in replaced:
            tape.delete(old)
        locked = tape.lock_all(rows)
        for row in locked:
            row.week_no, row.block = to, blocks[layout[to - 1].block]
        tape.save_all(locked)
    return len(replaced)


def insert_copy(*, by: Membership, program: Program, week_no: int, to: int) -> None:
    """Insert a copy of a week as week `to` (from 1 to one past the last); the weeks from there on come one later.

    Right behind the week itself it joins that week's block. Raises ValidationError, as beyond 52 weeks.
    """
    with write(f"Insert a copy of week {week_no} as week {to}", by=by, subject=subject_of(program)) as tape:
        blocks, layout = locked_layout(tape, program)
        check_week(layout, week_no, "week_no")
        if to != len(layout) + 1:
            check_week(layout, to)
        lay(tape, program, blocks, copied_in(layout, week_no, to))


def insert_move(*, by: Membership, program: Program, week_no: int, to: int) -> bool:
    """Move a week so that it becomes week `to`, and joins the block there; the weeks between close up.

    False when it is that week already. Raises ValidationError for a week outside the programme.
    """
    with write(f"Move week {week_no} to be week {to}", by=by, subject=subject_of(program)) as tape:
        blocks, layout = locked_layout(tape, program)
        check_week(layout, week_no, "week_no")
        check_week(layout, to)
        if to == week_no:
            return False
        lay(tape, program, blocks, moved(layout, week_no, to))
    return True


def delete_week(*, by: Membership, program: Program, week_no: int) -> int:
    """Take a week out; those after it come one week earlier. Gives how many sessions went with it.

    Raises ValidationError for the only week of a programme.
    """
    with write(f"Delete week {week_no}", by=by, subject=subject_of(program)) as tape:
        blocks, layout = locked_layout(tape, program)
        check_week(layout, week_no, "week_no")
        return lay(tape, program, blocks, without(layout, [week_no]))


def empty_week(*, by: Membership, program: Program, week_no: int) -> int:
    """Delete a week's sessions and keep the week. Gives how many there were."""
    with write(f"Empty week {week_no}", by=by, subject=subject_of(program)) as tape:
        _blocks, layout = locked_layout(tape, program)
        check_week(layout, week_no, "week_no")
        rows = sessions_of(program, week_no)
        for row in rows:
            tape.delete(row)
    return len(rows)
