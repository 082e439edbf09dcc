"""Seconds of prescribed sessions: change-overs, set-up, warm-ups, one limb after the other."""

import pytest

from coachdesk.engine import ClientTraits, ExerciseTraits, Rules, prescribe_session
from tests.engine import facts
from tests.engine.cast import BAR, BENCH, CURL, DUMBBELLS, PULLDOWN, STACK, percent, plan, scheme, session

SETUP = 60


def seconds(exercise, made, equipment, kg=100, rules=None, **kwargs):
    return prescribe_session(session(plan(1, exercise, made, kg, equipment)), ClientTraits(), rules or Rules()).seconds


def test_the_worked_estimate_with_set_up():
    # arithmetic row: 4 x 10 at 3.5 s with 120 s rest is 500 s; 60 s set-up is the house rule
    row = facts.of("repetition_duration", item="session estimate")[0]
    assert "500 s" in row["note"]
    slow = ExerciseTraits("slow", "Slow", (("lats", 1.0),), "stack", seconds_per_rep=3.5)
    made = scheme(sets="4", load_kind="percent", load_value="60", reps="10", rest="120")
    assert seconds(slow, made, STACK, rules=Rules(warmup=())) == SETUP + 500


@pytest.mark.parametrize(
    ("exercise", "equipment", "change"), [(PULLDOWN, STACK, 3), (CURL, DUMBBELLS, 6), (BENCH, BAR, 15)]
)
def test_each_change_inside_a_drop_set_takes_its_time(exercise, equipment, change):
    # house rule: stack pin 3 s, dumbbells 6 s, plates 15 s
    made = scheme("drop_set", "1", load_kind="percent", load_value="60", reps="5", ladder="-20% x 2")
    work = 3 * 5 * 3
    assert seconds(exercise, made, equipment, 50, Rules(warmup=())) == SETUP + work + 2 * change


def test_warm_ups_take_their_reps_and_a_minute_each():
    made = percent("80", "5", 1)
    with_them, without = (seconds(BENCH, made, BAR, 125, rules) for rules in (Rules(), Rules(warmup=())))
    assert with_them - without == (8 + 4 + 2) * 3 + 3 * 60


def test_one_limb_after_the_other_takes_twice_the_work():
    one = ExerciseTraits("one", "One-arm row", (("lats", 1.0),), "dumbbell", limbs="one")
    assert (
        seconds(
            one, scheme(sets="1", load_kind="fixed", load_value="10 kg", reps="10"), DUMBBELLS, 30, Rules(warmup=())
        )
        == SETUP + 2 * 10 * 3
    )


def test_timed_steps_take_their_seconds():
    made = scheme(sets="2", load_kind="fixed", load_value="20 kg", reps="30 s", rest="60")
    assert seconds(CURL, made, DUMBBELLS, None, Rules(warmup=())) == SETUP + 30 + 60 + 30
