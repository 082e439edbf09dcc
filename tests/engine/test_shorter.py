"""A session made to fit the minutes left. The times are worked out by hand beside each check; common practice, no
source, for walking between two stations (as long as changing plates, 15 s) and for the shortest rest (60 s)."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coachdesk.engine import EngineError, SetLeft, WorkLeft, shorten

SET = SetLeft(40.0, 120.0)
PRESS = WorkLeft("press", (("chest", 1.0), ("triceps", 0.5)), "barbell", 60.0, (SET,) * 3)
ROW = WorkLeft("row", (("lats", 1.0), ("biceps", 0.5)), "dumbbell", 60.0, (SET,) * 3)
PUSH = WorkLeft("push", (("triceps", 1.0),), "stack", 60.0, (SET,) * 3)
# Alone: 60 s set-up, three sets of 40 s, two rests of 120 s.
ALONE = 60 + 3 * 40 + 2 * 120


def test_what_fits_is_left_as_it_is():
    found = shorten([PRESS, ROW], 2 * ALONE)
    assert (found.before_s, found.seconds, found.fits) == (2 * ALONE, 2 * ALONE, True)
    assert (found.pairs, found.rest_s, found.kept) == ((), None, (("press", 3), ("row", 3)))


def test_exercises_without_a_muscle_in_common_are_done_in_turn_before_anything_is_lost():
    # Two set-ups; three rounds of 40 + 15 + 40; after two of them back (15) and what 120 s of rest still lack: 50.
    together = 120 + 3 * 95 + 2 * (15 + 120 - 40 - 30)
    found = shorten([PRESS, ROW], together)
    assert (found.pairs, found.rest_s, found.seconds) == ((("press", "row"),), None, together)
    assert dict(found.kept) == {"press": 3, "row": 3}


def test_a_shared_muscle_a_shared_station_and_a_planned_superset_are_never_paired():
    assert shorten([PRESS, PUSH], 60).pairs == ()
    assert shorten([PRESS, replace(ROW, equipment_kind="barbell")], 60).pairs == ()
    assert shorten([PRESS, replace(ROW, in_turn=True)], 60).pairs == ()


def test_rests_go_down_only_as_far_as_it_takes_and_not_below_a_minute():
    # 30 s off each of the two rests.
    found = shorten([PRESS], ALONE - 60)
    assert (found.rest_s, found.seconds, dict(found.kept)) == (90.0, ALONE - 60, {"press": 3})
    assert shorten([PRESS], ALONE - 180).rest_s == 60.0


def test_sets_come_off_where_most_is_kept_of_every_muscle():
    # Triceps has 3 direct and 1.5 indirect sets, chest 3: a set of the triceps exercise costs it least.
    shortest = 2 * (60 + 3 * 40 + 2 * 60)
    found = shorten([PRESS, PUSH], shortest - 50)
    assert dict(found.kept) == {"press": 3, "push": 2}
    assert found.muscles[0][0] == "triceps"
    assert found.muscles[0][1:] == (4.5, 3.5)


def test_one_set_of_every_exercise_stays_while_it_can():
    found = shorten([PRESS, PUSH], 60 + 40 + 60 + 40)
    assert dict(found.kept) == {"press": 1, "push": 1}
    assert found.fits


def test_too_little_time_for_anything_is_said():
    found = shorten([PRESS, PUSH], 30)
    assert not found.fits
    assert sum(dict(found.kept).values()) == 1


def test_nothing_left_takes_no_time():
    assert shorten([], 600).seconds == 0


@pytest.mark.parametrize("seconds", [-1, float("nan"), "600", None, True])
def test_wrong_seconds_are_refused(seconds):
    with pytest.raises(EngineError):
        shorten([PRESS], seconds)


WORKS = st.lists(
    st.builds(
        WorkLeft,
        key=st.integers(0, 10**6),
        muscles=st.lists(st.sampled_from([("chest", 1.0), ("lats", 1.0), ("triceps", 0.5), ("quads", 1.0)]), min_size=1,
                         max_size=2, unique=True).map(tuple),
        equipment_kind=st.sampled_from(["barbell", "dumbbell", "stack", "bodyweight"]),
        lead_s=st.floats(0, 300),
        sets=st.lists(st.builds(SetLeft, st.floats(5, 90), st.floats(0, 240)), max_size=5).map(tuple),
        done=st.integers(0, 3),
        in_turn=st.booleans(),
    ),
    max_size=6, unique_by=lambda one: one.key,
)  # fmt: skip


@given(works=WORKS, seconds=st.floats(0, 6000))
def test_it_never_takes_longer_than_before_nor_adds_a_set_and_says_honestly_whether_it_fits(works, seconds):
    found = shorten(works, seconds)
    planned = {one.key: len(one.sets) for one in works}
    assert found.seconds <= found.before_s + 1e-6
    assert found.fits == (found.seconds <= seconds)
    assert all(0 <= sets <= planned[key] for key, sets in found.kept)
    assert all(kept <= before for _, before, kept in found.muscles)
    assert len({key for pair in found.pairs for key in pair}) == 2 * len(found.pairs)
    if found.before_s <= seconds:
        assert (found.pairs, found.rest_s, dict(found.kept)) == ((), None, planned)
