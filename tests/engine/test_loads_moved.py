"""What is really moved: body weight, assistance, places without units, and steps by time or distance."""

import pytest

from coachdesk.engine import (
    BestTime,
    BodyWeight,
    ClientTraits,
    ExercisePlan,
    ExerciseTraits,
    Ordinal,
    equipment_from_json,
    equipment_to_json,
    makeable,
    prescribe_session,
    round_load,
    scheme_words,
    sentence,
    setup_text,
    volume_load_kg,
)
from tests.engine.cast import BAR, BENCH, CURL, DUMBBELLS, effort, percent, plan, scheme, session

BELT = BodyWeight("tower", "kg", (5000, 10000, 15000, 20000), (10000, 20000, 30000))
PULL_UP = ExerciseTraits("pull_up", "Pull-up", (("lats", 1.0),), "bodyweight", body_share=1.0)
BANDS = Ordinal("bands", ("yellow", "red", "blue"))
BAND = ExerciseTraits("band", "Pull-apart", (("rear_delts", 1.0),), "band")
PLANK = ExerciseTraits("plank", "Plank", (("abs", 1.0),), "bodyweight")
HEAVY = ClientTraits(body_kg=80.0)


def first(made_plan, client=HEAVY):
    return prescribe_session(session(made_plan), client).exercises[0]


def test_assistance_is_a_negative_load():
    assert makeable(BELT) == (-30000, -20000, -10000, 0, 5000, 10000, 15000, 20000)
    assert setup_text(BELT, -20000) == "20 kg assistance"
    assert round_load(BELT, -16000) == -20000
    assert round_load(BELT, -16000, "up") == -10000
    assert equipment_from_json(equipment_to_json(BELT)) == BELT


def test_equipment_without_assistance_is_stored_as_before():
    assert "assistance" not in equipment_to_json(BodyWeight("belt", "kg", (5000,)))


@pytest.mark.parametrize(
    ("maximum", "load", "setup"), [(80, -20000, "20 kg assistance"), (120, 10000, "body weight + 10")]
)
def test_percentages_act_on_the_body_and_what_is_added_or_taken_off(maximum, load, setup):
    # 75 % of 80 kg is 60 kg moved: 80 kg of body less 20; of 120 kg it is 90: 10 added
    step = first(plan(1, PULL_UP, percent("75", "8", 1), maximum, BELT)).sets[0][0]
    assert (step.load, step.setup, step.system_load) == (load, setup, 80000 + load)
    assert step.fraction == pytest.approx(0.75)
    assert f"{(80000 + load) / 1000:g} kg is moved" in " ".join(sentence(b) for b in step.because)


def test_drops_act_on_what_is_moved():
    drops = scheme("drop_set", "1", load_kind="percent", load_value="80", ladder="-20% x 1")
    steps = first(plan(1, PULL_UP, drops, 100, BELT)).sets[0]
    # 80 kg moved, then 64: the nearest that can be made below is 20 kg of assistance, 60 kg moved
    assert [step.load for step in steps] == [0, -20000]


def test_assistance_can_be_written_down():
    made = scheme(sets="2", load_kind="fixed", load_value="-20 kg", reps="8")
    step = first(plan(1, PULL_UP, made, None, BELT)).sets[0][0]
    assert (step.load, step.setup) == (-20000, "20 kg assistance")
    assert scheme_words(made) == "2 x 8 @ -20 kg, rest 2 min"


def test_more_assistance_than_the_body_weighs_is_not_offered():
    step = first(plan(1, PULL_UP, percent("75", "8", 1), 40, BELT), ClientTraits(body_kg=25.0)).sets[0][0]
    assert step.system_load > 0


def test_bands_are_chosen_by_place_and_drop_by_places():
    made = scheme("drop_set", "1", load_kind="place", load_value="3", reps="12", ladder="1 down x 2")
    found = first(plan(1, BAND, made, None, BANDS))
    assert [(step.places, step.setup, step.load) for step in found.sets[0]] == [
        (2, "blue", None),
        (1, "red", None),
        (0, "yellow", None),
    ]
    assert volume_load_kg(found) == 0
    assert {step.fraction for step in found.sets[0]} == {None}


def test_a_place_beyond_the_last_band_is_the_last_and_that_is_said():
    found = first(plan(1, BAND, scheme(sets="1", load_kind="place", load_value="9", reps="12", rir="2"), None, BANDS))
    assert found.sets[0][0].setup == "blue"
    assert [sentence(note) for note in found.notes] == ["There are only 3 places here; place 9 becomes the last one."]


def test_a_place_on_a_rack_is_its_load():
    step = first(plan(1, CURL, scheme(sets="1", load_kind="place", load_value="4", reps="8"), 30, DUMBBELLS)).sets[0][0]
    assert (step.load, step.places) == (10000, 3)


def test_times_are_predicted_only_from_a_known_best():
    made = scheme(sets="3", load_kind="fixed", load_value="0 kg", reps="60 s", rest="60")
    unknown = first(ExercisePlan(1, PLANK, made))
    assert [step.expected_amount for steps in unknown.sets for step in steps] == [None] * 3
    known = first(ExercisePlan(1, PLANK, made, bests=(BestTime(60.0),)))
    held = [step.expected_amount for steps in known.sets for step in steps]
    assert held[0] == pytest.approx(60)
    assert held[0] > held[1] > held[2] > 0
    assert {step.expected_reps for steps in known.sets for step in steps} == {None}


def test_a_best_at_another_load_or_by_metres_says_nothing():
    made = scheme(sets="1", load_kind="fixed", load_value="20 kg", reps="30 s")
    bests = (BestTime(60.0, "seconds", 10000, "kg"), BestTime(60.0, "metres", 20000, "kg"))
    assert first(ExercisePlan(1, CURL, made, None, DUMBBELLS, bests=bests)).sets[0][0].expected_amount is None
    same = BestTime(60.0, "seconds", 44092, "lb")  # 20 kg
    assert first(ExercisePlan(1, CURL, made, None, DUMBBELLS, bests=(same,))).sets[0][0].expected_amount == 30


def test_a_carry_of_known_best_tires():
    made = scheme(sets="2", load_kind="fixed", load_value="20 kg", reps="40 m", rest="60")
    best = BestTime(40.0, "metres", 20000, "kg")
    one, two = first(ExercisePlan(1, CURL, made, None, DUMBBELLS, bests=(best,))).sets
    assert one[0].expected_amount == pytest.approx(40)
    assert two[0].expected_amount < 40


def test_a_load_near_nothing_leaves_reps_as_written():
    # a 2.5-kg dumbbell is the lightest there is: 5 % of this maximum, where the curve says nothing
    step = first(plan(1, CURL, percent("3", "12", 1), 50, DUMBBELLS)).sets[0][0]
    assert (step.load, step.reps_low, step.reps_high) == (2500, 12, 12)
    assert step.rir_expected <= 100


def test_the_range_of_reps_holds_until_they_leave_it_then_a_lower_load_stays():
    made = scheme(sets="6", load_kind="effort", reps="8-10", rir="1", rest="60", hold="range")
    steps = [s for (s,) in prescribe_session(session(plan(1, BENCH, made, 140, BAR)), ClientTraits()).exercises[0].sets]
    loads = [step.load for step in steps]
    assert loads == sorted(loads, reverse=True)
    assert 1 < len(set(loads)) < 6
    assert all(step.expected_reps >= 7.4 for step in steps)
    assert "held_load" in {because.kind for step in steps for because in step.because}


def test_the_body_does_not_hide_an_unknown_mass():
    step = first(plan(1, PULL_UP, effort(reps="8", rir="2"), 100, BELT), ClientTraits()).sets[0][0]
    assert (step.load, step.system_load, step.fraction) == (None, None, None)
