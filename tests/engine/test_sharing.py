"""Shared equipment on one clock: found against a brute-force count, never a false clash, and what helps helps."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coachdesk.engine import EngineError, Stint, best_swap, clashes, clashing_s, on_one_clock, staggered

BENCH = Stint("bench", 600, (("bar", 1),))
SQUAT = Stint("squat", 600, (("bar", 1),))
ROW = Stint("row", 600, (("bench-dumbbells", 2),))
PLANK = Stint("plank", 300)


def test_two_who_need_one_bar_at_once_clash_for_as_long_as_both_hold_it():
    (found,) = clashes({"amara": [BENCH, ROW], "jonas": [PLANK, SQUAT]}, {"bar": 1})
    assert (found.item, found.start_s, found.end_s, found.needed, found.there) == ("bar", 300, 600, 2, 1)
    assert [(use.person, use.stint.key) for use in found.uses] == [("amara", "bench"), ("jonas", "squat")]


def test_what_ends_when_another_begins_does_not_clash():
    assert clashes({"amara": [BENCH, ROW], "jonas": [ROW, SQUAT]}, {"bar": 1, "bench-dumbbells": 2}) == ()


def test_an_item_nobody_counted_is_never_short():
    assert clashes({"a": [BENCH], "b": [BENCH]}, {}) == ()


def test_a_pair_of_dumbbells_is_two():
    lines = {"a": [ROW], "b": [ROW]}
    assert clashes(lines, {"bench-dumbbells": 4}) == ()
    (found,) = clashes(lines, {"bench-dumbbells": 2})
    assert (found.needed, found.there) == (4, 2)


def test_swapping_the_order_of_one_is_proposed_where_it_helps():
    lines = {"amara": [BENCH, ROW], "jonas": [SQUAT, PLANK]}
    counts = {"bar": 1}
    (clash,) = clashes(lines, counts)
    swap = best_swap(lines, counts, clash)
    assert swap is not None
    assert (swap.person, swap.first, swap.second, swap.left_s) == ("amara", "bench", "row", 0)
    alone = {"amara": [BENCH], "jonas": [SQUAT]}
    (clash,) = clashes(alone, counts)
    assert best_swap(alone, counts, clash) is None


def test_staggering_lets_three_share_one_bar():
    session = [BENCH, ROW, Stint("legs", 600, (("press", 1),))]
    lines = dict.fromkeys(("amara", "jonas", "mei"), session)
    counts = {"bar": 1, "press": 1, "bench-dumbbells": 2}
    assert clashing_s(lines, counts) > 0
    orders = staggered(lines, counts)
    by_key = {stint.key: stint for stint in session}
    assert clashing_s({who: [by_key[key] for key in keys] for who, keys in orders.items()}, counts) == 0
    assert orders["amara"] == ("bench", "row", "legs")


ITEMS = ["bar", "rack", "stack"]
needs = st.lists(st.tuples(st.sampled_from(ITEMS), st.integers(1, 2)), max_size=2, unique_by=lambda pair: pair[0])
stints = st.builds(
    Stint, st.integers(0, 10**6), st.integers(0, 12).map(lambda minutes: 60.0 * minutes), needs.map(tuple)
)
lines_of = st.dictionaries(
    st.sampled_from("abcdef"), st.lists(stints, max_size=4, unique_by=lambda one: one.key), max_size=6
)
counts_of = st.fixed_dictionaries({item: st.integers(0, 5) for item in ITEMS})


@given(lines_of, counts_of)
def test_a_clash_is_found_exactly_where_a_count_minute_by_minute_finds_one(lines, counts):
    """Counted by brute force in the middle of every minute, as somebody with a list and a clock would."""
    uses = on_one_clock(lines)
    found = clashes(lines, counts)
    for minute in range(48):
        at = 60 * minute + 30
        for item in ITEMS:
            needed = sum(many for use in uses for name, many in use.stint.needs
                         if name == item and use.start_s <= at < use.end_s)  # fmt: skip
            said = [one for one in found if one.item == item and one.start_s <= at < one.end_s]
            assert len(said) == (needed > counts[item])
            if said:
                assert (said[0].needed, said[0].there) == (needed, counts[item])


@given(lines_of)
def test_there_is_no_clash_where_there_is_enough_for_everybody(lines):
    counts = {item: sum(many for stints in lines.values() for one in stints for name, many in one.needs if name == item)
              for item in ITEMS}  # fmt: skip
    assert clashes(lines, counts) == ()


@given(lines_of, counts_of)
def test_what_is_proposed_never_makes_it_worse(lines, counts):
    now = clashing_s(lines, counts)
    orders = staggered(lines, counts)
    after = {who: [next(one for one in lines[who] if one.key == key) for key in keys] for who, keys in orders.items()}
    assert clashing_s(after, counts) <= now
    for clash in clashes(lines, counts)[:1]:
        swap = best_swap(lines, counts, clash)
        if swap is not None:
            assert swap.left_s < now
            mine = list(lines[swap.person])
            keys = [one.key for one in mine]
            i, j = keys.index(swap.first), keys.index(swap.second)
            mine[i], mine[j] = mine[j], mine[i]
            assert clashing_s({**lines, swap.person: mine}, counts) == swap.left_s


@pytest.mark.parametrize("wrong", [{"seconds": -1}, {"seconds": float("nan")}, {"needs": (("bar", 0),)}, {"key": None}])
def test_what_cannot_be_is_refused(wrong):
    with pytest.raises(EngineError):
        Stint(**{"key": "bench", "seconds": 600, "needs": (), **wrong})


def test_a_count_that_cannot_be_is_refused():
    with pytest.raises(EngineError):
        clashes({"a": [BENCH]}, {"bar": -1})
