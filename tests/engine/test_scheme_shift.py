"""Schemes changed by a progression or for another exercise: reps, loads that follow a seed, fixed loads taken out."""

import pytest

from coachdesk.engine import (
    EngineError,
    LoadRule,
    RepRule,
    has_fixed_load,
    load_added,
    own_load,
    scheme_from_json,
    scheme_to_json,
    scheme_words,
    with_loads_of,
    with_reps,
    without_fixed_loads,
)
from tests.engine.cast import effort, percent, scheme


def words(made) -> str:
    """In words, after a trip through the stored form."""
    return scheme_words(scheme_from_json(scheme_to_json(made)))


@pytest.mark.parametrize(
    ("made", "reps", "after"),
    [
        (effort(3, "8-10", "2"), RepRule("range", 6, 8), "3 x 6-8, RIR 2, rest 2 min"),
        (percent("75", "8"), RepRule("reps", 5, 5), "3 x 5 @ 75 %, rest 2 min"),
        (percent("75", "8", rir="2"), RepRule("failure"), "3 x to failure @ 75 %, rest 2 min"),
        (scheme(load_kind="fixed", load_value="60", reps="8"), RepRule("range", 3, 5), "3 x 3-5 @ 60 kg, rest 2 min"),
    ],
)
def test_reps_are_replaced_and_the_rest_stays(made, reps, after):
    assert words(with_reps(made, reps)) == after


@pytest.mark.parametrize(
    ("made", "reps"),
    [
        (scheme("ascending_pyramid", ladder="65x15; 75x10; 85x6"), RepRule("reps", 5, 5)),
        (scheme(load_kind="effort", reps="30 s"), RepRule("reps", 5, 5)),
        (scheme(load_kind="effort", reps="30 s"), RepRule("metres", 20, 20)),
        (effort(), RepRule("failure")),
    ],
)
def test_reps_that_do_not_fit_are_refused(made, reps):
    with pytest.raises(EngineError):
        with_reps(made, reps)


def test_loads_follow_the_seed_while_sets_and_reps_stay():
    plus = lambda load: load_added(load, 5, "percent")  # noqa: E731
    assert words(with_loads_of(percent("60", "3", sets=2), percent("75", "8"), plus)) == "2 x 3 @ 80 %, rest 2 min"
    pyramid = scheme("ascending_pyramid", ladder="65x15; 75x10; 85x6")
    assert [row.load.value for row in with_loads_of(pyramid, pyramid, plus).ladder] == [70, 80, 90]
    drops = scheme("drop_set", sets="1", ladder="80/65/50", reps="failure", load_value="80")
    moved = with_loads_of(drops, drops, plus)
    assert [step.load.value for step in (moved.step, *moved.drops)] == [85, 70, 55]
    relative = scheme("drop_set", sets="1", ladder="-20% x 2", load_kind="percent", load_value="80", reps="failure")
    moved = with_loads_of(relative, relative, plus)
    assert [step.load.value for step in (moved.step, *moved.drops)] == [85, 20, 20]


def test_another_shape_is_refused():
    with pytest.raises(EngineError, match="of the same shape"):
        with_loads_of(scheme("ascending_pyramid", ladder="65x15; 75x10"), percent("75", "8"), lambda load: load)


@pytest.mark.parametrize(
    ("load", "amount", "kind", "unit", "after"),
    [
        (LoadRule("percent", 75), 2.5, "percent", "", LoadRule("percent", 77.5)),
        (LoadRule("fixed", 60000, "kg"), 2500, "fixed", "kg", LoadRule("fixed", 62500, "kg")),
        (LoadRule("fixed", -20000, "kg"), 5000, "fixed", "kg", LoadRule("fixed", -15000, "kg")),
    ],
)
def test_load_is_raised(load, amount, kind, unit, after):
    assert load_added(load, amount, kind, unit) == after


@pytest.mark.parametrize(
    ("load", "amount", "kind", "unit"),
    [
        (LoadRule("percent", 98), 2.5, "percent", ""), (LoadRule("effort"), 5, "percent", ""),
        (LoadRule("fixed", 60000, "kg"), 5000, "fixed", "lb"), (LoadRule("percent", 75), 2500, "fixed", "kg"),
        (LoadRule("percent", 75), float("nan"), "percent", ""),
    ],
)  # fmt: skip
def test_load_that_cannot_be_raised_is_refused(load, amount, kind, unit):
    with pytest.raises(EngineError):
        load_added(load, amount, kind, unit)


@pytest.mark.parametrize(
    ("made", "after"),
    [
        (effort(), "3 x 8-10, RIR 2, rest 2 min"),
        (percent("75", "8"), "3 x 8 @ 75 %, rest 2 min"),
        (scheme(load_kind="fixed", load_value="60", reps="8", rir="1"), "3 x 8, RIR 1, rest 2 min"),
        (scheme(load_kind="fixed", load_value="60", reps="8"), "3 x 8, RIR 2, rest 2 min"),
        (scheme(load_kind="fixed", load_value="60", reps="failure"), "3 x 8, RIR 2, rest 2 min"),
    ],
)
def test_fixed_loads_never_go_to_another_exercise(made, after):
    got = without_fixed_loads(made)
    assert words(got) == after
    assert not has_fixed_load(got)


def test_fixed_drops_become_drops_by_the_same_share():
    made = scheme("drop_set", load_kind="fixed", load_value="60", reps="8", rir="0",
                  ladder="/ 48 kg x failure / 36 kg x failure")  # fmt: skip
    got = without_fixed_loads(made)
    assert not has_fixed_load(got)
    assert own_load(got).kind == "effort"
    assert [drop.load for drop in got.drops] == [LoadRule("drop_percent", 20.0), LoadRule("drop_percent", 25.0)]
