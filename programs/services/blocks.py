"""Adding, renaming, lengthening, splitting, moving, duplicating and deleting blocks; a block owns its weeks."""

from django.core.exceptions import ValidationError

from coachdesk.practice.models import Membership
from coachdesk.practice.tape import Gone, Tape, write
from programs.models import Block, PlannedSession, Program
from programs.models.program import MOST_WEEKS
from programs.services.layout import Layout, Slot, inserted, order_of, reordered, weeks_of_block, without
from programs.services.programs import subject_of
from programs.services.weeks import check_week, lay, locked_layout


def _check_length(weeks: int) -> None:
    if not 1 <= weeks <= MOST_WEEKS:
        raise ValidationError({"weeks": f"A block of {weeks} weeks cannot be kept; 1 to {MOST_WEEKS} weeks."})


def _new_block(tape: Tape, program: Program, name: str, blocks: dict[int, Block], weeks: int) -> Block:
    # Where it stands is set when the weeks are laid; until then any run of weeks that can be kept will do.
    made = tape.create(Block(program=program, name=name, first_week=1, weeks=weeks))
    blocks[made.pk] = made
    return made


def _weeks_of(layout: Layout, block: Block) -> list[int]:
    """The numbers of a block's weeks. Raises Gone for one that somebody deleted meanwhile."""
    found = weeks_of_block(layout, block.pk)
    if not found:
        raise Gone(f"The block {block.name} was removed meanwhile")
    return found


def add_block(*, by: Membership, program: Program, name: str, weeks: int, after: Block | None = None) -> Block:
    """A block of empty weeks behind another one, or at the end; weeks after it come that much later."""
    _check_length(weeks)
    with write(f"Add block: {name}", by=by, subject=subject_of(program)) as tape:
        blocks, layout = locked_layout(tape, program)
        at = _weeks_of(layout, after)[-1] + 1 if after is not None else len(layout) + 1
        made = _new_block(tape, program, name, blocks, weeks)
        lay(tape, program, blocks, inserted(layout, at, [Slot(made.pk, None)] * weeks))
    return made


def split_block(*, by: Membership, program: Program, week_no: int, name: str) -> Block:
    """A block of its own from a week on to where that week's block ends; no week is added.

    Raises ValidationError for a block's first week: a block begins there already.
    """
    with write(f"Begin block: {name} in week {week_no}", by=by, subject=subject_of(program)) as tape:
        blocks, layout = locked_layout(tape, program)
        check_week(layout, week_no, "week_no")
        old = blocks[layout[week_no - 1].block]
        if old.first_week == week_no:
            raise ValidationError({"week_no": f"The block {old.name} begins in week {week_no} already; rename it."})
        last = old.first_week + old.weeks - 1
        made = _new_block(tape, program, name, blocks, last - week_no + 1)
        weeks = tuple(
            Slot(made.pk, slot.week) if week_no <= n <= last else slot for n, slot in enumerate(layout, start=1)
        )
        lay(tape, program, blocks, weeks)
    return made


def edit_block(*, by: Membership, block: Block, name: str, weeks: int, drop: bool = False) -> bool:
    """Rename a block or change its length; empty weeks are added at its end, or its last weeks go.

    False when nothing changed. Raises ValidationError when sessions stand in weeks that would go, unless `drop`.
    """
    _check_length(weeks)
    program = block.program
    with write(_edit_words(block, name, weeks), by=by, subject=subject_of(program)) as tape:
        blocks, layout = locked_layout(tape, program)
        mine = _weeks_of(layout, block)
        if weeks != len(mine):
            lay(tape, program, blocks, _resized(program, layout, blocks[block.pk], weeks, drop))
        row = tape.lock(block)
        row.name = name
        tape.save(row)
        return tape.noted > 0


def _edit_words(block: Block, name: str, weeks: int) -> str:
    if weeks == block.weeks:
        return f"Rename block: {block.name} to {name}"
    verb = "Lengthen" if weeks > block.weeks else "Shorten"
    return f"{verb} block: {block.name} to {weeks} week{'' if weeks == 1 else 's'}"


def _resized(program: Program, layout: Layout, block: Block, weeks: int, drop: bool) -> Layout:
    mine = _weeks_of(layout, block)
    if weeks > len(mine):
        return inserted(layout, mine[-1] + 1, [Slot(block.pk, None)] * (weeks - len(mine)))
    gone = mine[weeks:]
    there = PlannedSession.objects.filter(block__program=program, week_no__in=gone)
    if not drop and (count := there.count()):
        run = f"Week {gone[0]} holds" if len(gone) == 1 else f"Weeks {gone[0]} to {gone[-1]} hold"
        words = f"{run} {count} session{'' if count == 1 else 's'}; say that they may go, or keep those weeks."
        raise ValidationError({"weeks": words})
    return without(layout, gone)


def move_block(*, by: Membership, block: Block, position: int) -> bool:
    """Move a block with its weeks to a place (from 1) among the blocks; False when it stands there."""
    program = block.program
    with write(f"Move block: {block.name} to place {position}", by=by, subject=subject_of(program)) as tape:
        blocks, layout = locked_layout(tape, program)
        _weeks_of(layout, block)
        order = order_of(layout)
        rest = [pk for pk in order if pk != block.pk]
        at = max(0, min(position - 1, len(rest)))
        wanted = [*rest[:at], block.pk, *rest[at:]]
        if wanted == order:
            return False
        lay(tape, program, blocks, reordered(layout, wanted))
    return True


def duplicate_block(*, by: Membership, block: Block, name: str = "") -> Block:
    """A copy of a block with its weeks and sessions right behind it. ValidationError beyond 52 weeks."""
    program = block.program
    with write(f"Duplicate block: {block.name}", by=by, subject=subject_of(program)) as tape:
        blocks, layout = locked_layout(tape, program)
        mine = _weeks_of(layout, block)
        made = _new_block(tape, program, (name or f"{block.name}, copy")[:80], blocks, len(mine))
        slots = [Slot(made.pk, n, copied=True) for n in mine]
        lay(tape, program, blocks, inserted(layout, mine[-1] + 1, slots))
    return made


def delete_block(*, by: Membership, block: Block) -> int:
    """Delete a block with its weeks and their sessions; later weeks come earlier. Gives how many sessions went.

    Raises ValidationError for the only block: a programme keeps at least one week.
    """
    program = block.program
    with write(f"Delete block: {block.name}", by=by, subject=subject_of(program)) as tape:
        blocks, layout = locked_layout(tape, program)
        rest = without(layout, _weeks_of(layout, block))
        if not rest:
            words = f"{block.name} is the only block; a programme keeps at least one. Archive the programme instead."
            raise ValidationError({"weeks": words})
        return lay(tape, program, blocks, rest)
