"""Layouts: whatever is done to the weeks, each block stays one run of weeks and no week is lost or doubled."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from programs.services.layout import Layout, block_at, copied_in, layout_of, moved, order_of, reordered, runs, without

LENGTHS = st.lists(st.integers(1, 6), min_size=1, max_size=6)


def made(lengths: list[int]) -> Layout:
    first, blocks = 1, []
    for key, weeks in enumerate(lengths):
        blocks.append((key, first, weeks))
        first += weeks
    return layout_of(blocks)


def in_runs(layout: Layout) -> bool:
    """Whether each block's weeks stand together: as many runs as blocks."""
    changes = sum(1 for a, b in pairwise(layout) if a.block != b.block)
    return changes + 1 == len({slot.block for slot in layout})


@given(LENGTHS, st.data())
def test_moved_week_stands_where_it_was_sent_and_the_rest_keep_their_order(lengths, data):
    layout = made(lengths)
    week, to = (data.draw(st.integers(1, len(layout))) for _ in range(2))
    after = moved(layout, week, to)
    assert after[to - 1].week == week
    assert [s.week for s in after if s.week != week] == [n for n in range(1, len(layout) + 1) if n != week]
    assert in_runs(after)


@given(LENGTHS, st.data())
def test_copied_week_adds_one_and_moves_the_later_ones_on(lengths, data):
    layout = made(lengths)
    week = data.draw(st.integers(1, len(layout)))
    to = data.draw(st.integers(1, len(layout) + 1))
    after = copied_in(layout, week, to)
    assert (after[to - 1].week, after[to - 1].copied) == (week, True)
    assert [s.week for s in after if not s.copied] == list(range(1, len(layout) + 1))
    assert in_runs(after)
    own = to == week + 1
    assert after[to - 1].block == (layout[week - 1].block if own else block_at(layout, to))


@given(LENGTHS, st.data())
def test_blocks_in_another_order_take_their_weeks_along(lengths, data):
    layout = made(lengths)
    order = data.draw(st.permutations(order_of(layout)))
    after = reordered(layout, order)
    assert order_of(after) == list(order)
    assert in_runs(after)
    assert {key: count for key, (_, count) in runs(after).items()} == dict(enumerate(lengths))


@given(LENGTHS, st.data())
def test_runs_say_where_blocks_stand_after_weeks_are_gone(lengths, data):
    layout = made(lengths)
    gone = data.draw(st.sets(st.integers(1, len(layout))))
    after = without(layout, gone)
    first = 1
    for key, (start, weeks) in runs(after).items():
        assert (start, weeks) == (first, sum(1 for slot in after if slot.block == key))
        first += weeks
    assert first == len(after) + 1
