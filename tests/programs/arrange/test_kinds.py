"""The kinds of progression on schemes alone: published steps and cuts, whole sets, and what is left with a reason."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coachdesk import engine
from programs.arrange.kinds import KINDS, Ask, Cell, Line, filled
from tests.engine import facts
from tests.engine.cast import BAR, BENCH, CURL, DUMBBELLS, PRESS, SQUAT, effort, percent, scheme


def line(made, weeks=12, exercise=BENCH, equipment=BAR, start=0, **kwargs) -> Line:
    """The same scheme in every week; keys are the week numbers, plus `start`."""
    cells = tuple(Cell(start + n, n, made, equipment) for n in range(1, weeks + 1))
    return Line("Upper", exercise, cells, **kwargs)


def sets_of(outcome) -> list[int]:
    return [engine.set_count(outcome[key].scheme) for key in sorted(outcome)]


def loads_of(outcome) -> list[float]:
    return [engine.own_load(outcome[key].scheme).value for key in sorted(outcome)]


def fixed(kg: str, reps: str = "8", unit: str = "kg") -> engine.Scheme:
    fields = {"kind": "straight", "sets": "3", "load_kind": "fixed", "load_value": kg, "reps": reps}
    return engine.scheme_from_fields(fields, unit)


def test_every_kind_is_named_and_fills():
    assert [code for code, _, _ in KINDS] == ["volume", "load", "reps", "double", "goal", "lighter", "layoff"]


def test_sets_of_one_exercise_rise_and_carry_what_rounding_leaves():
    # common practice, no source: 12, 12.84, 13.74 sets for three weeks each, the rest carried
    outcome = filled([line(effort(12), 9)], Ask("volume", 1, 9, every=3))
    assert sets_of(outcome) == [12, 12, 12, 13, 13, 13, 13, 14, 14]


@given(st.integers(1, 12), st.floats(0.5, 1.5), st.floats(0, 0.2), st.integers(1, 6))
def test_sets_never_stray_half_a_set_from_what_was_asked(start, share, by, every):
    outcome = filled([line(effort(start), 8)], Ask("volume", 1, 8, share=share, raise_by=by, every=every))
    exact = [share * start * (1 + by) ** (n // every) for n in range(8)]
    if min(exact) >= 1 and max(exact) <= 19:
        assert abs(sum(sets_of(outcome)) - sum(exact)) <= 0.5 + 1e-6


@given(st.floats(2, 30), st.lists(st.integers(1, 6), min_size=1, max_size=4))
def test_sets_of_a_muscle_sum_to_the_target_and_leave_no_exercise_without(start, counts):
    lines = [line(effort(n), 4, start=100 * i) for i, n in enumerate(counts)]
    ask = Ask("volume", 1, 4, every=1, raise_by=0.1, muscle="chest", start=start)
    outcome = filled(lines, ask)
    targets = engine.weekly_sets(start, 4, rules=engine.Rules(raise_share=0.1, raise_weeks=1))
    for week, target in enumerate(targets, start=1):
        made = [engine.set_count(outcome[100 * i + week].scheme) for i in range(len(counts))]
        if len(counts) <= target and max(made) < 20:
            assert sum(made) == target
        assert min(made) >= 1


def test_sets_of_a_muscle_leave_room_for_what_is_trained_indirectly():
    # front of the shoulder: press 4 direct; bench 3 sets count 1.5
    outcome = filled([line(effort(3)), line(effort(4), exercise=PRESS, start=100)],
                     Ask("volume", 1, 1, muscle="front_delts", start=8.0))  # fmt: skip
    assert {key: engine.set_count(made.scheme) for key, made in outcome.items()} == {101: 7}  # 8 - 1.5, half up


@pytest.mark.parametrize(("level", "trainee"), [("novice", "smaller_or_less_trained"),
                                                ("advanced", "larger_or_more_trained")])  # fmt: skip
@pytest.mark.parametrize(("exercise", "area"), [(BENCH, "upper"), (SQUAT, "lower")])
@pytest.mark.parametrize("unit", ["kg", "lb"])
def test_usual_load_step_is_the_handbook_s_least(level, trainee, exercise, area, unit):
    row = facts.of("nsca_progression", trainee=trainee, body_area=area)[0]
    ask = Ask("load", 1, 3, level=level, unit=unit)
    outcome = filled([line(fixed("60", unit=unit), 3, exercise, equipment=None)], ask)
    step = 1000 * float(row[f"increase_{unit}_low"])
    assert loads_of(outcome) == [60000, 60000 + step, 60000 + 2 * step]


def test_usual_load_step_goes_to_the_next_load_that_can_be_made():
    outcome = filled([line(fixed("60"), 3)], Ask("load", 1, 3, level="novice"))
    assert loads_of(outcome) == [60000, 62500, 65000]


def test_typed_steps_are_added_every_so_many_weeks_and_made_from_the_plates():
    outcome = filled([line(fixed("60"), 5)], Ask("load", 1, 5, amount=3000, every=2))
    assert loads_of(outcome) == [60000, 60000, 62500, 62500, 65000]
    outcome = filled([line(percent("70", "5"), 4)], Ask("load", 1, 4, amount=2500, unit="%"))
    assert loads_of(outcome) == [70, 72.5, 75, 77.5]


def test_load_past_the_maximum_is_left_with_the_reason():
    outcome = filled([line(percent("95", "1"), 4)], Ask("load", 1, 4, amount=2500, unit="%"))
    assert [bool(outcome[n].left) for n in (1, 2, 3, 4)] == [False, False, False, True]
    assert outcome[4].left == "percent of 1RM is 102.5; it should be a number above 0 up to 100"


@pytest.mark.parametrize(
    ("made", "unit", "why"),
    [
        (effort(), "kg", "its load goes by reps and RIR; there is no load to raise"),
        (scheme(load_kind="rep_max", load_value="10", reps="10"), "kg",
         "its load goes by a rep maximum; there is no load to raise"),
        (percent("70", "5"), "kg", "its load is in % of 1RM; this adds kg to loads"),
        (fixed("60"), "lb", "its load is in kg; this adds lb to loads"),
    ],
)  # fmt: skip
def test_loads_of_another_kind_are_left_with_the_reason(made, unit, why):
    outcome = filled([line(made, 2)], Ask("load", 1, 2, unit=unit))
    assert {one.left for one in outcome.values()} == {why}


def test_week_with_another_shape_is_left_and_its_fewer_sets_are_kept():
    pyramid = scheme("ascending_pyramid", ladder="65x15; 75x10; 85x6")
    cells = (Cell(1, 1, percent("70", "5")), Cell(2, 2, percent("70", "5", sets=2)), Cell(3, 3, pyramid))
    outcome = filled([Line("Upper", BENCH, cells)], Ask("load", 1, 3, amount=5000, unit="%"))
    assert engine.scheme_words(outcome[2].scheme) == "2 x 5 @ 75 %, rest 2 min"
    assert "of the same shape" in outcome[3].left


def test_rep_ranges_run_through_again():
    rules = tuple(map(engine.read_reps, ("8-10", "6-8", "5")))
    outcome = filled([line(effort(), 5)], Ask("reps", 1, 5, reps=rules))
    words = [engine.rep_words(outcome[n].scheme.step.reps) for n in range(1, 6)]
    assert words == ["8-10", "6-8", "5", "8-10", "6-8"]


def test_double_progression_fills_the_range_then_takes_the_next_load():
    # common practice, no source: 8 to 10 reps, then the next load that the plates make
    outcome = filled([line(fixed("60"), 7)], Ask("double", 1, 7, goal=(8, 10), level="novice"))
    made = [(engine.own_load(one.scheme).value, one.scheme.step.reps.low) for one in outcome.values()]
    assert made == [(60000, 8), (60000, 9), (60000, 10), (62500, 8), (62500, 9), (62500, 10), (65000, 8)]
    assert outcome[1].cue == "All sets of 10: next time the next load up and 8 reps."


def test_double_progression_needs_a_load_and_something_that_makes_it():
    assert filled([line(effort(), 1)], Ask("double", 1, 1))[1].left.startswith("its load is not known")
    assert filled([line(fixed("60"), 1, equipment=None)], Ask("double", 1, 1))[1].left == "nothing here makes its load"
    known = Line("Upper", CURL, (Cell(1, 1, effort(), DUMBBELLS, made=10000),))
    assert engine.own_load(filled([known], Ask("double", 1, 1))[1].scheme).value == 10000


@pytest.mark.parametrize(
    ("last_sets", "after"),
    [((10, 10), [62500, 62500]), ((10, 9), [60000, 60000]), ((10,), [60000, 60000]), ((), [60000, 60000])],
)
def test_rep_goal_raises_the_load_after_two_sessions_two_reps_over(last_sets, after):
    # 2-for-2: last set at least two reps over the goal in two consecutive sessions (Haff & Triplett 2016)
    outcome = filled([line(fixed("60"), 2, last_sets=last_sets)], Ask("goal", 1, 2, goal=(8, 8), level="novice"))
    assert loads_of(outcome) == after
    assert outcome[1].cue == "Last set at 10 reps or more in 2 sessions running: next load up."


def test_every_fourth_week_is_lighter_by_the_house_rule():
    outcome = filled([line(effort(10), 12)], Ask("lighter", 1, 12, every=4))
    assert {key: engine.set_count(made.scheme) for key, made in outcome.items()} == {4: 7, 8: 7, 12: 7}
    assert set(filled([line(effort(10), 12)], Ask("lighter", 3, 12, every=4))) == {6, 10}


def test_return_after_28_days_takes_the_guideline_s_shares_off():
    row = facts.of("cautions", type="return after layoff")[0]
    cuts = [int(part) for part in row["statement"].split("volume ")[1].split("%")[0].split("/")]
    outcome = filled([line(effort(10), 8)], Ask("layoff", 3, 8, days_away=28))
    assert {key: engine.set_count(made.scheme) for key, made in outcome.items()} == {
        3 + n: 10 * (100 - cut) // 100 for n, cut in enumerate(cuts)
    }
    assert filled([line(effort(10), 8)], Ask("layoff", 1, 8, days_away=13)) == {}


def test_quota_is_left_because_it_ends_by_itself():
    quota = scheme("quota", sets="10", load_kind="percent", load_value="70", reps="8", ladder="5000 kg")
    for kind in ("volume", "lighter", "layoff"):
        outcome = filled([line(quota, 4)], Ask(kind, 1, 4, every=1, days_away=28))
        assert "a quota ends by itself" in outcome[1].left
