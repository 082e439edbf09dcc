"""Facts every coach knows: common practice, no source; change-over times are stated in each test."""

import pytest

from coachdesk.engine import (
    Step,
    expand,
    fraction_for_reps,
    predict_steps,
    reps_for_fraction,
    scheme_from_fields,
    session_seconds,
)

LADDER = (0.80, 0.65, 0.50, 0.40, 0.30)
CHANGES = (0, 3, 6, 10)


def ladder_steps(change_s: float, fractions=LADDER) -> list[Step]:
    return [Step(fraction, None, change_s) for fraction in fractions]


def drops_after_12rm(change_s: float) -> list[Step]:
    first = fraction_for_reps(12)
    return ladder_steps(change_s, (first, first * 0.8, first * 0.64))


def test_a_drop_of_a_fifth_leaves_a_useful_number_of_reps():
    # common practice, no source: a drop is usually about 20 %, one or two of them; 3 s to change (stack pin)
    first = fraction_for_reps(10)
    for drop in predict_steps(ladder_steps(3, (first, first * 0.8, first * 0.64)))[1:]:
        assert 4 <= drop.reps <= 12
    assert predict_steps(ladder_steps(3, (first, first * 0.95)))[1].reps < 4


def test_the_long_ladder_goes_80_65_50_40_30():
    # common practice, no source; 3 s to change
    scheme = scheme_from_fields({"kind": "drop_set", "ladder": "80/65/50/40/30", "sets": "1"}, "kg")
    (steps,) = expand(scheme)
    assert [step.load.value / 100 for step in steps] == list(LADDER)
    assert all(step.reps.kind == "failure" for step in steps)
    assert all(result.reps >= 4 for result in predict_steps(ladder_steps(3)))


@pytest.mark.parametrize("rest_s", [90, 120, 180])
def test_the_usual_comparison_is_three_sets_to_failure_with_90_s_to_3_min(rest_s):
    # common practice, no source: reps fall from set to set but stay a set's worth; no change of load
    first, second, third = predict_steps([Step(0.8, None, rest_s)] * 3)
    assert first.reps > second.reps > third.reps > 0.5 * first.reps


@pytest.mark.parametrize("change_s", [0, 3])
def test_a_ladder_takes_a_third_to_a_quarter_of_three_sets_at_80(change_s):
    # common practice, no source: against three sets to failure at 80 % with 3 min rests; 0 and 3 s to change
    ratio = session_seconds(ladder_steps(change_s)) / session_seconds([Step(0.8, None, 180)] * 3)
    assert 0.24 <= ratio <= 0.35


@pytest.mark.parametrize("change_s", [10, 15])
def test_two_drops_after_a_12rm_set_take_about_half_of_three_12rm_sets(change_s):
    # common practice, no source: 20 % drops, 90 s rests; 10 and 15 s to change (plates)
    usual = session_seconds([Step(fraction_for_reps(12), None, 90)] * 3)
    assert 0.40 <= session_seconds(drops_after_12rm(change_s)) / usual <= 0.55


@pytest.mark.parametrize("change_s", CHANGES)
def test_either_way_drops_take_between_a_fifth_and_a_little_over_half(change_s):
    # common practice, no source: 0, 3 (stack), 6 (dumbbells) and 10 s to change
    ladder = session_seconds(ladder_steps(change_s)) / session_seconds([Step(0.8, None, 180)] * 3)
    usual = session_seconds([Step(fraction_for_reps(12), None, 90)] * 3)
    drops = session_seconds(drops_after_12rm(change_s)) / usual
    assert 0.20 <= ladder <= 0.55
    assert 0.20 <= drops <= 0.55


def test_an_ascending_pyramid_runs_from_65_for_15_to_85_for_6_with_2_min_rests():
    # common practice, no source; one load a set, so nothing to change inside a set
    fields = {"kind": "ascending_pyramid", "ladder": "65x15, 75x10, 85x6", "rest": "2 min"}
    sets = expand(scheme_from_fields(fields, "kg"))
    assert [(s.load.value, s.reps.high, s.rest_s) for (s,) in sets] == [(65, 15, 120), (75, 10, 120), (85, 6, 120)]
    # each row is what a fresh lifter can just do: the reps fit the loads
    assert [reps_for_fraction(s.load.value / 100) for (s,) in sets] == pytest.approx([15, 10, 6])


def test_two_long_sets_with_a_drop_rest_as_long_as_three_straight_sets():
    # common practice, no source: twice 10 at 12RM then 5 at 15RM with 6 min between the two,
    # against three sets of 10 at 12RM with 3 min between; change-over inside the set 0 s
    drops = {"kind": "drop_set", "sets": "2", "ladder": "12RM x 10 / 15RM x 5", "rest": "6 min"}
    plain = {"kind": "straight", "sets": "3", "load_kind": "rep_max", "load_value": "12", "reps": "10", "rest": "3:00"}
    dropped, straight = (expand(scheme_from_fields(fields, "kg")) for fields in (drops, plain))
    assert [[step.reps.high for step in steps] for steps in dropped] == [[10, 5], [10, 5]]
    assert sum(s[-1].rest_s for s in dropped[:-1]) == sum(s[-1].rest_s for s in straight[:-1]) == 360
    assert sum(step.reps.high for steps in dropped for step in steps) == 30
