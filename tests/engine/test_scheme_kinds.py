"""Every kind of scheme: a row of typed fields, its words, the steps it becomes, and the edits it survives."""

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
from tests.engine.cast import scheme

# (kind, fields, words, steps of each set as (load, reps, pause))
ROWS = [
    (
        {"kind": "rest_pause", "load_kind": "percent", "load_value": "75", "ladder": "+3 x 20 s"},
        "1 x (to failure @ 75 %, then 3 more after 20 s each)",
        [[("percent", "failure", 20), ("same", "failure", 20), ("same", "failure", 20), ("same", "failure", 120)]],
    ),
    (
        {"kind": "rest_pause", "load_kind": "percent", "load_value": "80", "reps": "4", "ladder": "+4 +3; 15 s"},
        "1 x (4 @ 80 %, then 4 + 3 after 15 s each)",
        [[("percent", "4", 15), ("same", "4", 15), ("same", "3", 120)]],
    ),
    (
        {"kind": "rest_pause", "load_kind": "percent", "load_value": "80", "ladder": "to 20 reps x 20 s"},
        "1 x (to failure @ 80 %, then on to 20 reps with pauses of 20 s)",
        [[("percent", "failure", 20), ("same", "failure", 120)]],
    ),
    (
        {"kind": "cluster", "load_kind": "percent", "load_value": "85", "ladder": "2x5 (2+2+1) 15 s", "rest": "3:00"},
        "2 x 5 (2+2+1) 15 s @ 85 %, rest 3 min",
        [[("percent", "2", 15), ("same", "2", 15), ("same", "1", 180)]] * 2,
    ),
    (
        {"kind": "wave", "rir": "1", "ladder": "7,5,3 / 7,5,3"},
        "7, RIR 1, 5, RIR 1, 3, RIR 1 / 7, RIR 1, 5, RIR 1, 3, RIR 1; rest 2 min",
        [[("effort", reps, 120)] for reps in "753753"],
    ),
    (
        {"kind": "wave", "ladder": "80x5, 85x3 / 82,5x5, 87,5x3"},
        "5 @ 80 %, 3 @ 85 % / 5 @ 82.5 %, 3 @ 87.5 %; rest 2 min",
        [[("percent", reps, 120)] for reps in "5353"],
    ),
    (
        {
            "kind": "top_back_off",
            "sets": "2",
            "load_kind": "percent",
            "load_value": "90",
            "reps": "3",
            "ladder": "2 x 8 @ -15 %",
        },
        "2 x 3 @ 90 %, then 2 x 8 @ -15 %; rest 2 min",
        [[("percent", "3", 120)], [("same", "3", 120)], [("drop_percent", "8", 120)], [("same", "8", 120)]],
    ),
    (
        {"kind": "open_last", "sets": "2", "load_kind": "percent", "load_value": "80", "reps": "5", "rir": "1"},
        "2 x 5 @ 80 %, RIR 1, the last at least 5, stop at RIR 1, rest 2 min",
        [[("percent", "5", 120)], [("percent", "5+", 120)]],
    ),
    (
        {"kind": "quota", "sets": "3", "load_kind": "percent", "load_value": "70", "reps": "8", "ladder": "2000 kg"},
        "sets of 8 @ 70 % until 2000 kg x reps, at most 3, rest 2 min",
        [[("percent", "8", 120)]] * 3,
    ),
    (
        {"kind": "light_to_heavy", "ladder": "40/50/65", "reps": "5"},
        "1 x (40/50/65 % 5)",
        [[("percent", "5", 0), ("percent", "5", 0), ("percent", "5", 120)]],
    ),
    (
        {"kind": "light_to_heavy", "load_kind": "effort", "reps": "6", "rir": "2", "ladder": "+10% x 2"},
        "1 x (6, RIR 2, then +10 % x 2)",
        [[("effort", "6", 0), ("rise_percent", "6", 0), ("rise_percent", "6", 120)]],
    ),
    (
        {"kind": "drop_set", "ladder": "10RM/12RM/15RM"},
        "1 x (to failure @ 10RM / to failure @ 12RM / to failure @ 15RM)",
        [[("rep_max", "failure", 0), ("rep_max", "failure", 0), ("rep_max", "failure", 120)]],
    ),
]
MADE = [scheme_from_fields(fields, "kg") for fields, _, _ in ROWS]
NESTED = Scheme("series", rest_s=150, parts=(scheme("ascending_pyramid", ladder="65x15, 75x10"), MADE[-1]))


def short(step: StepRule) -> tuple[str, str, float]:
    reps = {"failure": "failure", "at_least": f"{step.reps.low}+"}.get(step.reps.kind, str(step.reps.low))
    return (step.load.kind, reps, step.rest_s)


@pytest.mark.parametrize(("fields", "words", "steps"), ROWS, ids=[row[1] for row in ROWS])
def test_each_kind_reads_expands_and_says_itself(fields, words, steps):
    made = scheme_from_fields(fields, "kg")
    assert scheme_words(made) == words
    assert [[short(step) for step in one] for one in expand(made)] == steps
    assert scheme_from_fields(scheme_to_fields(made, "kg"), "kg") == made
    assert scheme_from_json(scheme_to_json(made)) == made


def test_every_kind_of_the_table_has_a_row():
    elsewhere = {"straight", "ascending_pyramid", "descending_pyramid", "series"}
    assert {made.kind for made in MADE} | elsewhere == set(SCHEMES)


def test_a_drop_set_may_be_the_last_set_of_a_pyramid():
    assert [len(steps) for steps in expand(NESTED)] == [1, 1, 3]
    assert [steps[-1].rest_s for steps in expand(NESTED)] == [120, 150, 150]
    assert scheme_from_json(scheme_to_json(NESTED)) == NESTED


numbers = st.integers(1, 12)
pauses = st.integers(1, 120).map(lambda n: f"{n} s")
loads = st.one_of(st.integers(300, 1000).map(lambda n: ("percent", f"{n / 10:g}")), st.just(("rep_max", "8")))
bout_lists = st.one_of(
    st.tuples(st.integers(1, 11), pauses).map(lambda p: f"+{p[0]} x {p[1]}"),
    st.tuples(st.lists(numbers, min_size=1, max_size=5), pauses).map(
        lambda p: " ".join(f"+{n}" for n in p[0]) + f"; {p[1]}"
    ),
    st.tuples(st.integers(1, 60), pauses).map(lambda p: f"to {p[0]} reps x {p[1]}"),
)
clusters = st.tuples(st.lists(numbers, min_size=2, max_size=8), pauses).map(
    lambda p: f"({'+'.join(map(str, p[0]))}) {p[1]}"
)
groups = st.lists(st.tuples(numbers, numbers, st.integers(1, 60)), min_size=1, max_size=2)
back_offs = groups.map(lambda rows: "; ".join(f"{min(n, 6)} x {reps} @ -{by} %" for n, reps, by in rows))
typed = st.one_of(
    st.tuples(st.just("rest_pause"), st.sampled_from(["failure", "8", "6-8"]), bout_lists),
    st.tuples(st.just("cluster"), st.just(""), clusters),
    st.tuples(st.just("top_back_off"), st.sampled_from(["3", "failure", "2-4"]), back_offs),
    st.tuples(st.just("light_to_heavy"), st.just("5"), st.sampled_from(["+10% x 2", "1 up x 3", "40/50/65"])),
    st.tuples(st.just("open_last"), st.just("5"), st.just("")),
    st.tuples(st.just("quota"), st.sampled_from(["8", "failure"]), st.just("4000 lb")),
)
kinds = st.builds(
    lambda row, load, sets, rir: scheme_from_fields(
        {"kind": row[0], "reps": row[1], "ladder": row[2], "load_kind": load[0], "load_value": load[1]}
        | {"sets": str(sets), "rir": "" if "failure" in row[1] or row[1] == "" else rir},
        "kg",
    ),
    typed,
    loads,
    st.integers(1, 8),
    st.sampled_from(["", "0", "2", "1.5"]),
)


@settings(deadline=None)
@given(kinds)
def test_what_is_typed_is_shown_again(made):
    assert scheme_from_fields(scheme_to_fields(made, "kg"), "kg") == made
    assert scheme_from_json(scheme_to_json(made)) == made
    assert scheme_words(made)


@settings(deadline=None)
@given(kinds, st.integers(0, 5), st.integers(1, 12))
def test_the_edits_of_remedies_hold_for_every_kind(made, rir, n):
    stopped = with_rir(made, rir)
    assert all(s.reps.kind != "failure" and s.rir == rir for steps in expand(stopped) for s in steps)
    assert set_count(stopped) == set_count(made)
    assert set_count(with_sets(made, n)) == n
    loads = {step.load.kind for steps in expand(with_effort(made, 3)) for step in steps}
    assert not loads & {"percent", "rep_max"}
    fixed = with_fixed_load(made, 60000, "kg")
    assert {s.load.kind for steps in expand(fixed) for s in steps[:1]} <= {"fixed", "same", "drop_percent"}
    assert with_loads_as_made(made, (50000,) * set_count(made), "kg").kind == made.kind
    if made.drops:
        assert len(without_last_drop(made).drops) == len(made.drops) - 1


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"kind": "cluster", "load_value": "85", "ladder": "2+2+1"}, "ladder"),
        ({"kind": "cluster", "load_value": "85", "ladder": "4x6 (2+2+1) 15 s"}, "ladder"),
        ({"kind": "cluster", "load_value": "85", "reps": "6", "ladder": "(2+2+1) 15 s"}, "reps"),
        ({"kind": "wave", "ladder": "7,5,3 / 7,5,3"}, "ladder"),
        ({"kind": "wave", "ladder": ""}, "ladder"),
        ({"kind": "rest_pause", "load_value": "75", "ladder": "+0 x 20 s"}, "ladder"),
        ({"kind": "rest_pause", "load_value": "75", "ladder": "+3 x soon"}, "ladder"),
        ({"kind": "top_back_off", "load_value": "90", "reps": "3", "ladder": "lots"}, "ladder"),
        ({"kind": "open_last", "load_value": "80", "reps": "5-8"}, "reps"),
        ({"kind": "quota", "load_value": "80", "reps": "5", "ladder": "0 kg"}, "ladder"),
        ({"kind": "quota", "load_value": "80", "reps": "30 s", "ladder": "500 kg"}, "reps"),
        ({"kind": "light_to_heavy", "load_value": "50", "reps": "5", "ladder": "-10% x 2"}, "ladder"),
        ({"kind": "straight", "load_kind": "same", "reps": "5"}, "load_value"),
    ],
)
def test_a_wrong_list_carries_its_own_message(fields, field):
    with pytest.raises(FieldErrors) as caught:
        scheme_from_fields(fields, "kg")
    assert field in caught.value.errors


@pytest.mark.parametrize(
    "make",
    [
        lambda step, bout: Scheme("drop_set", 1, step, drops=(StepRule(LoadRule("rise_percent", 10), bout),)),
        lambda step, bout: Scheme("rest_pause", 1, step, drops=(StepRule(LoadRule("drop_percent", 10), bout),)),
        lambda step, bout: Scheme("quota", 3, step),
        lambda step, bout: Scheme("straight", 3, step, target=10, target_unit="kg"),
        lambda step, bout: Scheme("series", parts=(Scheme("quota", 3, step, target=9, target_unit="kg"), MADE[0])),
    ],
)
def test_shapes_that_make_no_sense_are_refused(make):
    step, bout = StepRule(LoadRule("percent", 75), RepRule("reps", 8, 8)), RepRule("reps", 5, 5)
    with pytest.raises(EngineError, match="it should be"):
        make(step, bout)
