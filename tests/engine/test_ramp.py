"""The steps of a 1RM test against the handbook's own table."""

import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coachdesk.engine import BodyWeight, EngineError, ExerciseTraits, Ordinal, makeable, maximum_ramp
from tests.engine import facts
from tests.engine.cast import BAR, BENCH, DUMBBELLS, PULLDOWN, SQUAT, STACK, strength

ROWS = {row["action"]: row for row in facts.rows("nsca_1rm_warmup")}
PUBLISHED = {"light": "light warm-up set", "warm-up": "warm-up", "near-maximal": "near-maximal warm-up",
             "attempt": "attempt 1RM"}  # fmt: skip


def span(text: str) -> tuple[int, int]:
    numbers = [int(one) for one in re.findall(r"\d+", text)]
    return numbers[0], numbers[-1]


def shares(text: str) -> tuple[float, float]:
    """The percentages of '+10-20 lb (4-9 kg) or +5-10%'."""
    low, high = re.search(r"([\d.]+)-([\d.]+)%", text).groups()
    return float(low) / 100, float(high) / 100


@pytest.mark.parametrize("exercise", [BENCH, SQUAT])
def test_reps_and_rests_of_every_step_are_the_published_ones(exercise):
    ramp = maximum_ramp(exercise, strength(100), BAR)
    assert [step.name for step in ramp.steps] == list(PUBLISHED)
    for step in ramp.steps:
        row = ROWS[PUBLISHED[step.name]]
        low, high = span(row["reps"])
        assert low <= step.reps[0] <= step.reps[1] <= high
        assert step.name == "light" or step.reps == (low, high)
        assert step.rest_s == span(row["rest_after_s"])


@pytest.mark.parametrize(("exercise", "column"), [(BENCH, "load_change_upper"), (SQUAT, "load_change_lower")])
@pytest.mark.parametrize("kg", [80, 100, 140])
def test_loads_rise_by_the_published_shares_as_far_as_plates_go(exercise, column, kg):
    ramp = maximum_ramp(exercise, strength(kg), BAR)
    low, high = shares(ROWS["attempt 1RM"][column])
    loads = [step.load for step in ramp.steps]
    assert loads[-1] == max(load for load in makeable(BAR) if load <= 1000 * kg)
    for before, after in pairwise(loads):
        # a plate of slack either way: loads are those that can be made
        assert before * (1 + low) - 2500 <= after <= before * (1 + high) + 2500
    for load in ramp.up:
        assert loads[-1] * (1 + low) - 1 <= load <= loads[-1] * (1 + high) + 1
    low, high = shares(ROWS["on failure: reduce then retry"][column])
    for load in ramp.down:
        assert loads[-1] * (1 - high) - 1 <= load <= loads[-1] * (1 - low) + 1


def test_a_worked_example():
    """Bench press, 100 kg: back from the attempt by 10 % a step, rounded down to what the bar makes.

    75 % is 10RM on the handbook's chart: five reps of it leave five, ten would leave none.
    """
    ramp = maximum_ramp(BENCH, strength(100), BAR)
    assert [step.load for step in ramp.steps] == [75_000, 82_500, 90_000, 100_000]
    assert ramp.steps[0].reps == (5, 5)
    assert (ramp.up, ramp.down) == ((105_000, 107_500, 110_000), (95_000, 97_500))


def test_where_the_next_step_is_too_coarse_the_next_one_there_is_is_offered():
    ramp = maximum_ramp(PULLDOWN, strength(20), STACK)
    assert ramp.up == (22_500,)
    assert ramp.down == (17_500,)


def test_no_ramp_without_units_or_without_a_body_mass_that_is_moved():
    pull_up = ExerciseTraits("pull_up", "Pull-up", (("lats", 1.0),), "bodyweight", body_share=1.0)
    belt = BodyWeight("belt", "kg", tuple(range(0, 50_000, 2_500)))
    assert maximum_ramp(BENCH, strength(100), Ordinal("bands", ("light", "strong"))) is None
    assert maximum_ramp(pull_up, strength(100), belt) is None
    ramp = maximum_ramp(pull_up, strength(100), belt, body_kg=75)
    assert ramp.steps[-1].load == 25_000


def test_equipment_that_is_too_heavy_is_said():
    with pytest.raises(EngineError):
        maximum_ramp(BENCH, strength(10), BAR)


@given(st.floats(25, 300), st.sampled_from([BENCH, SQUAT]), st.sampled_from([BAR, DUMBBELLS, STACK]))
def test_loads_can_be_made_and_rise_whatever_the_maximum(kg, exercise, equipment):
    ramp = maximum_ramp(exercise, strength(kg), equipment)
    loads = [step.load for step in ramp.steps]
    assert loads == sorted(set(loads))
    assert set(loads) | set(ramp.up) | set(ramp.down) <= set(makeable(equipment))
    assert all(load > loads[-1] for load in ramp.up)
    assert all(load < loads[-1] for load in ramp.down)
