"""Fatigue over days: the unit, the ordering of schemes, decay."""

import pytest

from coachdesk.engine import ClientTraits, fatigue_on, half_life_hours, impulse_units, prescribe_session
from tests.engine.cast import PULLDOWN, STACK, percent, plan, scheme, session

TRAINED = ClientTraits()


def exercise(made):
    return prescribe_session(session(plan(1, PULLDOWN, made, 100, STACK)), TRAINED).exercises[0]


def test_the_unit_is_one_fresh_set_to_failure_at_ten_rep_max():
    assert exercise(percent("75", "failure", 1)).impulse == pytest.approx(1)


def test_six_sets_to_failure_at_75_are_about_the_high_fatigue_threshold():
    # Refalo 2023: six sets to failure at 75 % are gone by 48 h
    assert exercise(percent("75", "failure", 6, rest="180")).impulse == pytest.approx(6, abs=1)


def test_stopping_short_costs_less():
    # published ordering: Refalo 2023, Moran-Navarro 2017
    costs = [exercise(percent("75", reps, 3)).impulse for reps in ("failure", "9", "7", "5")]
    assert costs == sorted(costs, reverse=True)


def test_a_drop_set_costs_more_than_straight_sets_or_a_pyramid_of_the_same_volume_load():
    # common practice, no source, and here a modelling choice; 3 s to change (stack pin)
    def per_volume(made):
        one = exercise(made)
        return one.impulse / sum(s.load * s.expected_reps for steps in one.sets for s in steps)

    drops = per_volume(scheme("drop_set", "1", ladder="80/65/50/40"))
    assert drops > per_volume(percent("80", "failure", 3, rest="180"))
    assert drops > per_volume(scheme("ascending_pyramid", ladder="65x15, 75x10, 85x6"))


def test_decay_halves_and_is_slower_after_failure_and_for_beginners():
    assert half_life_hours(TRAINED, False) == 20
    assert half_life_hours(TRAINED, True) == 28
    assert half_life_hours(ClientTraits("novice"), True) == 35
    assert fatigue_on([(0, 4, 20), (20, 1, 20), (100, 9, 20)], 40) == pytest.approx(1 + 0.5)


def test_impulse_is_capped_in_cost():
    assert impulse_units(0.9, 0) == impulse_units(0.5, 0)
