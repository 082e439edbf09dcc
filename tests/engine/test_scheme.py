"""Schemes: expansion, JSON, form fields, words and the edits of remedies."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coachdesk.engine import (
    SCHEMES,
    EngineError,
    FieldErrors,
    LoadRule,
    RepRule,
    Scheme,
    StepRule,
    expand,
    scheme_from_fields,
    scheme_from_json,
    scheme_to_fields,
    scheme_to_json,
    scheme_words,
    set_count,
    with_effort,
    with_fixed_load,
    with_loads_as_made,
    with_rir,
    with_sets,
    without_last_drop,
)
from tests.engine.cast import effort, percent, scheme

LADDER = scheme("drop_set", "1", ladder="80/65/50/40/30")
PYRAMID = scheme("ascending_pyramid", ladder="65x15, 75x10, 85x6")
SERIES = Scheme("series", rest_s=300, parts=(percent("75", "8", 2), scheme("drop_set", "1", ladder="70/55")))
EXAMPLES = (
    effort(),
    percent("72.5", "6-8"),
    LADDER,
    PYRAMID,
    scheme("descending_pyramid", ladder="85x6; 75x10"),
    scheme("drop_set", "2", load_kind="rep_max", load_value="12", reps="failure", ladder="-20% x 2"),
    scheme("drop_set", "2", load_kind="effort", reps="8-10", rir="1", ladder="1 down x 2"),
    scheme("drop_set", "2", load_kind="fixed", load_value="40 kg", reps="12", ladder="30 kg x 8 / -20% x failure"),
    scheme(load_kind="fixed", load_value="60 kg", reps="30 s"),
    scheme(load_kind="percent", load_value="40", reps="20 m", side="l", hold="rir"),
)

rep_rules = st.one_of(
    st.integers(1, 1000).map(lambda n: RepRule("reps", n, n)),
    st.tuples(st.integers(1, 500), st.integers(1, 500)).map(lambda p: RepRule("range", min(p), max(p) + 1)),
    st.just(RepRule("failure")),
    st.integers(1, 3600).map(lambda n: RepRule("seconds", n, n)),
)
tenths = st.integers(1, 1000).map(lambda n: n / 10)
first_loads = st.one_of(
    tenths.map(lambda p: LoadRule("percent", p)),
    st.integers(1, 30).map(lambda n: LoadRule("rep_max", n)),
    st.integers(0, 300000).map(lambda n: LoadRule("fixed", n, "kg")),
)
drop_loads = st.one_of(
    first_loads,
    st.integers(1, 90).map(lambda n: LoadRule("drop_percent", n)),
    st.integers(1, 20).map(lambda n: LoadRule("drop_places", n)),
)


@st.composite
def steps(draw, loads=first_loads):
    reps = draw(rep_rules)
    rir = None if reps.kind == "failure" else draw(st.one_of(st.none(), st.integers(0, 10)))
    return StepRule(draw(loads), reps, rir)


rests = st.integers(0, 3600)
flat_schemes = st.one_of(
    st.builds(lambda n, s, r: Scheme("straight", n, s, rest_s=r), st.integers(1, 20), steps(), rests),
    st.lists(steps(), min_size=1, max_size=8).map(
        lambda rows: Scheme("ascending_pyramid", len(rows), ladder=tuple(rows))
    ),
    st.builds(
        lambda n, s, d, r: Scheme("drop_set", n, s, drops=tuple(d), rest_s=r),
        st.integers(1, 20),
        steps(),
        st.lists(steps(drop_loads), min_size=1, max_size=11),
        rests,
    ),
)
schemes = st.one_of(
    flat_schemes,
    st.lists(flat_schemes.map(lambda s: with_sets(s, 2)), min_size=1, max_size=5).map(
        lambda parts: Scheme("series", parts=tuple(parts))
    ),
)


@settings(deadline=None)
@given(schemes)
def test_json_round_trips_exactly(made):
    assert scheme_from_json(json.loads(json.dumps(scheme_to_json(made)))) == made


@settings(deadline=None)
@given(flat_schemes)
def test_fields_round_trip_exactly(made):
    assert scheme_from_fields(scheme_to_fields(made, "kg"), "kg") == made


@pytest.mark.parametrize("made", EXAMPLES, ids=scheme_words)
def test_examples_round_trip_both_ways(made):
    assert scheme_from_fields(scheme_to_fields(made, "kg"), "kg") == made
    assert scheme_from_json(scheme_to_json(made)) == made


def test_a_series_expands_its_parts_in_order_and_rests_between_them():
    sets = expand(SERIES)
    assert [len(steps) for steps in sets] == [1, 1, 2]
    assert [steps[-1].rest_s for steps in sets] == [120, 300, 300]


def test_steps_inside_a_drop_set_have_no_rest_of_their_own():
    (steps,) = expand(LADDER)
    assert [step.rest_s for step in steps] == [0, 0, 0, 0, 120]


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (percent("75", "6-8", 4, rir="2"), "4 x 6-8 @ 75 %, RIR 2, rest 2 min"),
        (effort(rest="90"), "3 x 8-10, RIR 2, rest 90 s"),
        (LADDER, "1 x (80/65/50/40/30 % to failure)"),
        (PYRAMID, "15 @ 65 %, 10 @ 75 %, 6 @ 85 %; rest 2 min"),
        (EXAMPLES[5], "2 x (to failure @ 12RM, then -20 % x 2), rest 2 min"),
        (percent("72,5", "failure", 1), "1 x to failure @ 72.5 %"),
    ],
)
def test_words_are_the_trade_s_notation(made, words):
    assert scheme_words(made) == words


@pytest.mark.parametrize(
    "ladder", ["65x15, 72,5x10, 85x6", "65x15; 72,5x10; 85x6", "65x15,72.5x10,85x6", "65 % x 15, 72,5 % x 10, 85 x 6"]
)
def test_commas_separate_rows_and_decimals_without_confusion(ladder):
    made = scheme("ascending_pyramid", ladder=ladder)
    assert [(row.load.value, row.reps.high) for row in made.ladder] == [(65, 15), (72.5, 10), (85, 6)]


@pytest.mark.parametrize(
    ("typed", "seconds"), [("90", 90), ("90 s", 90), ("2:00", 120), ("2 min", 120), ("1,5 min", 90)]
)
def test_rest_is_read_in_the_ways_it_is_written(typed, seconds):
    assert percent("75", "8", rest=typed).rest_s == seconds


def test_every_wrong_field_is_named_at_once():
    wrong = {
        "kind": "straight",
        "sets": "0",
        "load_kind": "percent",
        "load_value": "120",
        "reps": "8-6",
        "rir": "x",
        "rest": "soon",
    }
    with pytest.raises(FieldErrors) as caught:
        scheme_from_fields(wrong, "kg")
    assert set(caught.value.errors) == {"sets", "load_value", "reps", "rir", "rest"}
    assert "should be" in caught.value.errors["load_value"]


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"kind": "giant"}, "kind"),
        ({"kind": "drop_set"}, "ladder"),
        ({"kind": "drop_set", "ladder": "80"}, "ladder"),
        ({"kind": "ascending_pyramid", "ladder": ""}, "ladder"),
        ({"kind": "ascending_pyramid", "ladder": "75"}, "ladder"),
        ({"kind": "straight", "load_kind": "effort", "reps": "8"}, "rir"),
        ({"kind": "straight", "load_value": "75", "reps": "1001"}, "reps"),
        ({"kind": "straight", "load_kind": "drop_percent", "load_value": "20", "reps": "8"}, "load_kind"),
        ({"kind": "straight", "load_value": "1e400", "reps": "8"}, "load_value"),
        ({"kind": "straight", "load_value": "NaN", "reps": "8"}, "load_value"),
        ({"kind": "straight", "load_value": "75", "reps": "8", "rest": "-5"}, "rest"),
        ({"kind": "drop_set", "ladder": "80/-0% x 3"}, "ladder"),
    ],
)
def test_a_wrong_field_carries_its_own_message(fields, field):
    with pytest.raises(FieldErrors) as caught:
        scheme_from_fields(fields, "kg")
    assert field in caught.value.errors


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({}, "version"),
        ({"v": 1}, "scheme.kind"),
        ({"v": 1, "kind": "straight", "sets": 0}, "sets"),
        ({"v": 1, "kind": "straight", "sets": 3}, "step"),
        ({"v": 1, "kind": "straight", "sets": 21}, "sets"),
        ({"v": 1, "kind": "series", "sets": 1, "parts": []}, "parts"),
        ({"v": 1, "kind": "straight", "sets": 1, "colour": 1}, "field of scheme"),
        (
            {
                "v": 1,
                "kind": "straight",
                "sets": 1,
                "step": {"load": {"kind": "percent", "value": 0}, "reps": {"kind": "failure"}},
            },
            "percent",
        ),
        ([], "scheme"),
        (None, "scheme"),
    ],
)
def test_wrong_json_names_the_field(data, message):
    with pytest.raises(EngineError, match=message):
        scheme_from_json(data)


def test_too_many_steps_in_a_set_are_refused():
    step = StepRule(LoadRule("percent", 80), RepRule("failure"))
    drop = StepRule(LoadRule("drop_percent", 10), RepRule("failure"))
    with pytest.raises(EngineError, match="at most 12"):
        Scheme("drop_set", 1, step, drops=(drop,) * 12)


def test_every_kind_says_what_it_is():
    for kind in SCHEMES.values():
        assert kind.sentence.endswith(".")
        assert kind.technique in ("straight", "advanced")


def test_with_sets_keeps_a_pyramid_s_heaviest_rows():
    assert [row.load.value for row in with_sets(PYRAMID, 2).ladder] == [75, 85]
    assert [row.load.value for row in with_sets(PYRAMID, 4).ladder] == [65, 75, 85, 85]
    assert set_count(with_sets(SERIES, 2)) == 2


@settings(deadline=None)
@given(schemes, st.integers(0, 5))
def test_with_rir_leaves_no_failure_in_any_scheme(made, rir):
    after = with_rir(made, rir)
    assert set_count(after) == set_count(made)
    assert all(s.reps.kind != "failure" and s.rir == rir for steps in expand(after) for s in steps)


@settings(deadline=None)
@given(schemes)
def test_with_effort_needs_no_maximum(made):
    loads = {step.load.kind for steps in expand(with_effort(made, 3)) for step in steps}
    assert not loads & {"percent", "rep_max"}


def test_with_rir_cuts_reps_to_what_the_load_allows():
    # chart: 10 reps at 75 %, so 7 with three in reserve; at 97.5 % nothing is left and the load comes down
    assert with_rir(percent("75", "failure"), 3).step.reps == RepRule("reps", 7, 7)
    assert with_rir(percent("97.5", "1"), 3).step.load == LoadRule("percent", 90)


def test_without_last_drop_ends_at_straight_sets():
    made = scheme("drop_set", "1", ladder="80/65/50")
    assert [d.load.value for d in without_last_drop(made).drops] == [65]
    assert without_last_drop(without_last_drop(made)).kind == "straight"


def test_loads_can_be_written_down_as_made():
    made = with_loads_as_made(PYRAMID, (60000, 70000, None), "kg")
    assert [row.load.kind for row in made.ladder] == ["fixed", "fixed", "percent"]
    assert with_fixed_load(LADDER, 60000, "kg").step.load == LoadRule("fixed", 60000, "kg")
