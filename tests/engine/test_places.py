"""Equipment without units: the next place follows from how the last time went (common practice, no source)."""

import pytest

from coachdesk.engine import (
    ClientTraits,
    EngineError,
    ExercisePlan,
    Ordinal,
    PlaceDone,
    next_place,
    prescribe_session,
    sentence,
    volume_load_kg,
)
from tests.engine.cast import scheme, session
from tests.engine.test_loads_moved import BAND, BANDS


@pytest.mark.parametrize(
    ("reps", "rir", "planned", "goal", "found"),
    [
        ((12, 12, 12), 2.0, 2.0, (8, 12), (2, "place_up")),
        ((12, 12, 12), None, 2.0, (8, 12), (2, "place_up")),
        ((12, 12, 11), 2.0, 2.0, (8, 12), (1, "place_stays")),
        ((12, 12, 12), 1.0, 2.0, (8, 12), (1, "place_stays")),
        ((12, 10, 7), 2.0, 2.0, (8, 12), (0, "place_down")),
        ((12, 12, 12), 0.0, 2.0, (8, 12), (0, "place_down")),
        ((12, 12), 2.0, 2.0, (12, 12), (1, "place_stays")),
        ((12, 12), 4.0, 2.0, (12, 12), (2, "place_up")),
        ((12, 12), None, 2.0, (12, 12), (1, "place_stays")),
    ],
)
def test_the_next_place(reps, rir, planned, goal, found):
    assert next_place(PlaceDone(1, reps, rir, planned), goal, 3) == found


def test_the_ends_hold():
    top, bottom = PlaceDone(2, (12,), 3.0, 2.0), PlaceDone(0, (2,), 0.0, 2.0)
    assert next_place(top, (8, 12), 3) == (2, "place_stays")
    assert next_place(bottom, (8, 12), 3) == (0, "place_stays")
    # bands were sold: the place of the last time is gone
    assert next_place(PlaceDone(9, (10,)), (8, 12), 3) == (2, "place_stays")


@pytest.mark.parametrize(
    "wrong", [{"place": -1}, {"place": 1.5}, {"reps": ()}, {"reps": (float("nan"),)}, {"rir": -1}, {"rir": True}]
)
def test_bad_input_is_said(wrong):
    with pytest.raises(EngineError):
        PlaceDone(**{"place": 1, "reps": (8,), **wrong})


@pytest.mark.parametrize(("goal", "places"), [((12, 8), 3), ((8,), 3), (None, 3), ((8, 12), 0), ((8, 12), True)])
def test_bad_goals_and_places_are_said(goal, places):
    with pytest.raises(EngineError):
        next_place(PlaceDone(0, (8,)), goal, places)


def planned(done):
    made = scheme(sets="3", load_kind="effort", reps="8-12", rir="2")
    plan = ExercisePlan(1, BAND, made, None, BANDS, place_done=done)
    return prescribe_session(session(plan), ClientTraits()).exercises[0]


def test_a_plan_by_reps_and_reserve_takes_the_next_place_for_every_set():
    found = planned(PlaceDone(1, (12, 12, 12), 2.0, 2.0))
    assert [(s.places, s.setup, s.load, s.fraction) for (s,) in found.sets] == [(2, "blue", None, None)] * 3
    assert sentence(found.sets[0][0].because[0]) == (
        "Last time all sets on red reached their reps with reserve: next one up, blue."
    )
    assert found.notes == ()
    assert volume_load_kg(found) == 0


def test_without_a_last_time_the_lifter_chooses():
    found = planned(None)
    assert {(s.places, s.setup) for (s,) in found.sets} == {(None, "")}
    assert [note.kind for note in found.notes] == ["no_units"]


def test_a_last_time_says_nothing_where_loads_have_units():
    made = scheme(sets="1", load_kind="place", load_value="2", reps="12")
    plan = ExercisePlan(1, BAND, made, None, Ordinal("b", ("a", "b")), place_done=PlaceDone(0, (12,), 5.0, 2.0))
    assert prescribe_session(session(plan), ClientTraits()).exercises[0].sets[0][0].setup == "b"
