"""A programme as a row of weeks, each of a block: what moving, copying, inserting and deleting weeks makes of it.

Pure: nothing is read or written here. `Slot.week` is the week as numbered before; blocks are named by their key.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

Layout = tuple["Slot", ...]


@dataclass(frozen=True)
class Slot:
    """One week to be: its block, and the week it takes its sessions from (None: an empty week; `copied`: a copy)."""

    block: int
    week: int | None
    copied: bool = False


def layout_of(blocks: Iterable[tuple[int, int, int]]) -> Layout:
    """The layout as it stands, from (key, first week, weeks) of every block."""
    in_order = sorted(blocks, key=lambda block: block[1])
    return tuple(Slot(key, week) for key, first, weeks in in_order for week in range(first, first + weeks))


def block_at(layout: Layout, position: int) -> int:
    """The block that a week put in as number `position` belongs to: that of the week it pushes on, or the last."""
    return layout[min(position, len(layout)) - 1].block


def inserted(layout: Layout, position: int, slots: Sequence[Slot]) -> Layout:
    """With `slots` as weeks `position` and on; `position` from 1 to one past the last week."""
    return (*layout[: position - 1], *slots, *layout[position - 1 :])


def without(layout: Layout, weeks: Iterable[int]) -> Layout:
    """Without these weeks."""
    gone = set(weeks)
    return tuple(slot for n, slot in enumerate(layout, start=1) if n not in gone)


def copied_in(layout: Layout, week: int, position: int) -> Layout:
    """With a copy of a week put in as number `position`; right behind the week itself it stays in its block."""
    block = layout[week - 1].block if position == week + 1 else block_at(layout, position)
    return inserted(layout, position, [Slot(block, week, copied=True)])


def moved(layout: Layout, week: int, position: int) -> Layout:
    """With a week taken out and put in so that it becomes number `position`; others close up around it."""
    target = layout[position - 1].block if position != week else layout[week - 1].block
    slot = replace(layout[week - 1], block=target)
    return inserted(without(layout, [week]), position, [slot])


def weeks_of_block(layout: Layout, block: int) -> list[int]:
    """The numbers of a block's weeks."""
    return [n for n, slot in enumerate(layout, start=1) if slot.block == block]


def order_of(layout: Layout) -> list[int]:
    """The blocks in order."""
    return list(dict.fromkeys(slot.block for slot in layout))


def reordered(layout: Layout, blocks: Sequence[int]) -> Layout:
    """With the blocks in this order, each with its weeks."""
    return tuple(slot for block in blocks for slot in layout if slot.block == block)


def runs(layout: Layout) -> dict[int, tuple[int, int]]:
    """(first week, weeks) of each block."""
    found: dict[int, tuple[int, int]] = {}
    for n, slot in enumerate(layout, start=1):
        first, count = found.get(slot.block, (n, 0))
        found[slot.block] = (first, count + 1)
    return found
