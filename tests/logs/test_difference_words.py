"""How a set differs from its plan, in words."""

import pytest

from programs.logs.mapping import SheetStep
from programs.logs.models import SetLog
from programs.logs.selectors.session_page import difference_words

RANGE = SheetStep(
    exercise=1, position=1, set_no=1, step_no=1, side="b", unit="kg", load=70_000, setup="", reps_low=8, reps_high=12,
    to_failure=False, rep_kind="reps", expected_reps=12.0, rir=2.0, strength_before=1.0,
)  # fmt: skip


@pytest.mark.parametrize(
    ("reps", "words"), [(8, "as planned"), (12, "as planned"), (13, "+1 rep"), (7, "-1 rep"), (15, "+3 reps")]
)
def test_reps_inside_the_range_are_as_planned(reps, words):
    log = SetLog(planned_load=70_000, load=70_000, planned_reps=8, reps=reps, unit="kg", rep_kind="reps")
    assert difference_words(log, RANGE) == words
