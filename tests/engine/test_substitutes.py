"""Stand-ins ranked: nothing against them, equipment there, same pattern, like muscles, then the library's order."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coachdesk.engine import EngineError, ExerciseTraits, muscle_overlap, rank_substitutes

PRESS = ("chest", 1.0), ("triceps", 0.5), ("front_delts", 0.5)


def made(key, pattern="horizontal_press", muscles=PRESS, kind="barbell") -> ExerciseTraits:
    return ExerciseTraits(key, str(key), muscles, kind, pattern=pattern)


BENCH = made("bench")
DUMBBELL = made("dumbbell", kind="dumbbell")
MACHINE = made("machine", kind="stack")
PUSH_UP = made("push-up", kind="bodyweight", muscles=(*PRESS, ("abs", 0.5)))
FLY = made("fly", "chest_fly", (("chest", 1.0), ("front_delts", 0.5)), "stack")
DIP = made("dip", muscles=(("triceps", 1.0), ("chest", 0.5), ("front_delts", 0.5)), kind="bodyweight")
OVERHEAD = made("overhead", "vertical_press", (("front_delts", 1.0), ("triceps", 0.5)))
CURL = made("curl", "elbow_flexion", (("biceps", 1.0),), "dumbbell")
ALL = (CURL, OVERHEAD, DIP, FLY, PUSH_UP, MACHINE, DUMBBELL, BENCH)


def order(**kwargs) -> list[str]:
    return [stand.exercise.key for stand in rank_substitutes(BENCH, ALL, **kwargs)]


def test_overlap_is_the_smaller_shares_over_the_greater_ones():
    assert muscle_overlap(BENCH, DUMBBELL) == 1
    assert muscle_overlap(BENCH, CURL) == 0
    assert muscle_overlap(BENCH, FLY) == pytest.approx(1.5 / 2)
    assert muscle_overlap(BENCH, DIP) == pytest.approx(1.5 / 2.5)


def test_same_pattern_and_like_muscles_come_first_and_strangers_not_at_all():
    assert order() == ["dumbbell", "machine", "push-up", "dip", "fly"]


def test_library_order_decides_among_equals_only():
    assert order(library=["fly", "machine", "dumbbell"]) == ["machine", "dumbbell", "push-up", "dip", "fly"]


def test_what_the_place_cannot_load_comes_after_what_it_can():
    assert order(equipment=["stack"]) == ["machine", "push-up", "dip", "fly", "dumbbell"]
    got = {stand.exercise.key: stand.equipped for stand in rank_substitutes(BENCH, ALL, equipment=["stack"])}
    assert got == {"machine": True, "push-up": True, "dip": True, "fly": True, "dumbbell": False}


def test_what_a_precaution_speaks_against_comes_last_and_says_which():
    found = rank_substitutes(OVERHEAD, ALL, precautions=["no_overhead"], limited=["triceps"])
    against = {one.exercise.key: (one.against, one.limited) for one in found}
    assert against == {}
    strict = replace(OVERHEAD, key="other")
    (one,) = rank_substitutes(OVERHEAD, (strict,), precautions=["no_overhead"], limited=["triceps"])
    assert (one.against, one.limited, one.is_barred) == (("no_overhead",), ("triceps",), True)
    assert order(limited=["abs"])[-1] == "push-up"


def test_it_says_what_is_kept_lessened_lost_and_added():
    by_key = {stand.exercise.key: stand for stand in rank_substitutes(BENCH, ALL)}
    dip = by_key["dip"]
    assert (dip.kept, dip.lessened, dip.lost, dip.added) == ((), ("chest",), (), ())
    row = made("row", "horizontal_press", (("lats", 1.0),))
    (lost,) = rank_substitutes(BENCH, (row,))
    assert (lost.kept, lost.lost, lost.added) == ((), ("chest",), ("lats",))


@given(st.permutations(ALL), st.sets(st.sampled_from(["stack", "dumbbell", "barbell"])))
def test_order_does_not_depend_on_how_they_are_given(others, equipment):
    wanted = [one.exercise.key for one in rank_substitutes(BENCH, ALL, equipment=sorted(equipment))]
    assert [one.exercise.key for one in rank_substitutes(BENCH, others, equipment=sorted(equipment))] == wanted
    assert "bench" not in wanted


@pytest.mark.parametrize(
    "wrong", [{"precautions": ["sorcery"]}, {"limited": ["tail"]}, {"equipment": [7]}],
)  # fmt: skip
def test_unknown_codes_are_refused(wrong):
    with pytest.raises(EngineError):
        rank_substitutes(BENCH, ALL, **wrong)
