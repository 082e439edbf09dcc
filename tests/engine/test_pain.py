"""The pain rule and the symmetry index; both are the trade's, the rule from memory of the pain-monitoring model.

Facts: 0 to 2 goes on, 3 to 5 holds, above 5 or worse the next morning steps down, twice running refers or reviews
(pain-monitoring model, from memory); symmetry is weaker by stronger side, noted below 90 % (trade in rehabilitation).
"""

from dataclasses import replace
from datetime import date, timedelta
from itertools import product

import pytest

from coachdesk.engine import DEFAULT, EngineError, Strength, scheme_from_fields
from coachdesk.engine.pain import HOLD_CUE, PainFacts, PainPoint, PlannedUse, pain_answer, pain_flags
from coachdesk.engine.symmetry import SymmetryFacts, cue_for, symmetry_flags, symmetry_of

TODAY = date(2026, 11, 24)
SCHEME = scheme_from_fields(
    {"kind": "straight", "sets": "3", "load_kind": "percent", "load_value": "75", "reps": "8", "rir": "", "rest": "120",
     "ladder": ""}, "kg",
)  # fmt: skip
USES = (PlannedUse(11, 4, SCHEME), PlannedUse(12, 5, SCHEME, "slow"))


def point(days_ago, pain, morning=None):
    return PainPoint(TODAY - timedelta(days=days_ago), pain, morning)


def facts(*points, uses=USES, easier=(7, "Leg press")):
    return PainFacts("Single-leg press", points, uses, easier)


def strength(kg, sd=0.04):
    return Strength(kg, kg * 0.9, kg * 1.1, sd, 0.0, 0.5, TODAY, 5)


@pytest.mark.parametrize(
    ("pain", "morning", "action"),
    [
        (0, None, "go_on"), (2, None, "go_on"), (2, 2, "go_on"), (3, None, "hold"), (5, 5, "hold"), (5, 0, "hold"),
        (6, None, "step_down"), (10, 10, "step_down"), (0, 1, "step_down"), (3, 6, "step_down"), (6, 0, "step_down"),
    ],
)  # fmt: skip
def test_one_report_gets_the_answer_of_the_rule(pain, morning, action):
    answer = pain_answer("Squat", [point(0, pain, morning)])
    assert answer.action == action
    assert answer.source == "pain-monitoring model, from memory"


def test_twice_running_refers_in_any_order_of_rows():
    twice = [point(7, 3, 6), point(0, 3, 6)]
    assert pain_answer("Squat", twice).action == pain_answer("Squat", twice[::-1]).action == "refer"
    assert pain_answer("Squat", [*twice, point(3, 1, 1)]).action == "step_down"


def test_the_answer_is_never_milder_for_more_pain():
    order = {"go_on": 0, "hold": 1, "step_down": 2}
    grid = list(product(range(10), [None, *range(11)]))
    for pain, morning in grid:
        less, more = (pain_answer("Squat", [point(0, p, morning)]).action for p in (pain, pain + 1))
        worse_morning = morning is not None and pain < morning <= pain + 1
        assert order[less] <= order[more] or worse_morning
    assert len(grid) == 120


def test_hold_writes_a_note_and_is_gone_once_written():
    (flag,) = pain_flags([facts(point(2, 4))], TODAY)
    assert (flag.code, flag.severity, flag.weeks) == ("pain_rule", "note", (4, 5))
    assert {edit.field for edit in flag.remedies[0].edits} == {"cue"}
    held = tuple(
        replace(use, cue=f"slow; {edit.value}") for use, edit in zip(USES, flag.remedies[0].edits, strict=True)
    )
    assert all(HOLD_CUE in use.cue.lower() for use in held)
    assert pain_flags([facts(point(2, 4), uses=held)], TODAY) == ()


def test_a_step_down_swaps_every_use_from_this_week_on():
    (flag,) = pain_flags([facts(point(2, 7))], TODAY)
    assert flag.severity == "check"
    assert flag.remedies[0].label == "Step down to Leg press from this week on"
    swaps = {edit.key: edit.value for edit in flag.remedies[0].edits if edit.field == "exercise"}
    schemes = [edit.value for edit in flag.remedies[0].edits if edit.field == "scheme"]
    assert swaps == {11: 7, 12: 7}
    assert [scheme.step.load.kind for scheme in schemes] == ["effort", "effort"]
    assert pain_flags([facts(point(2, 7), uses=())], TODAY) == ()


def test_without_an_easier_movement_the_exercise_can_be_taken_out():
    (flag,) = pain_flags([facts(point(2, 7), easier=None)], TODAY)
    assert [remedy.label for remedy in flag.remedies] == ["Take Single-leg press out from this week on"]


def test_refer_stays_though_the_exercise_is_gone():
    for uses in (USES, ()):
        (flag,) = pain_flags([facts(point(9, 3, 6), point(2, 3, 6), uses=uses)], TODAY)
        assert flag.severity == "stop"
        assert "refer or review" in flag.sentence
    other = pain_flags([facts(point(9, 3, 6), point(1, 4, 6), uses=())], TODAY)
    assert other[0].id != flag.id


def test_little_pain_and_old_reports_raise_nothing():
    assert pain_flags([facts(point(2, 1, 1)), facts(point(29, 9)), facts()], TODAY) == ()
    assert pain_flags([facts(point(28, 9))], TODAY)


def test_the_thresholds_are_house_rules():
    rules = replace(DEFAULT, pain_go_on=4, pain_hold=8, pain_running=3)
    assert pain_answer("Squat", [point(9, 3, 6), point(2, 3, 6)], rules).action == "step_down"
    assert pain_answer("Squat", [point(0, 4)], rules).action == "go_on"
    assert pain_answer("Squat", [point(0, 8)], rules).action == "hold"


@pytest.mark.parametrize("bad", [-1, 11, float("nan"), "3", None, True, float("inf")])
def test_bad_pain_is_refused(bad):
    with pytest.raises(EngineError):
        PainPoint(TODAY, bad)


@pytest.mark.parametrize("points", [[], None, [3], "x", [point(0, 1)] * 10_001])
def test_bad_reports_are_refused(points):
    with pytest.raises(EngineError):
        pain_answer("Squat", points)


def test_symmetry_is_weaker_by_stronger_side():
    seen = symmetry_of(strength(40), strength(29.2))
    assert seen.index == pytest.approx(0.73)
    assert seen.weaker_words == "right"
    assert 0 < seen.low < seen.index < seen.high <= 1
    assert symmetry_of(strength(29.2), strength(40)) == replace(seen, weaker="l")
    assert symmetry_of(strength(40), strength(40)).weaker == ""


@pytest.mark.parametrize(("right", "noted"), [(29.2, True), (35.9, True), (36.1, False), (44.3, False), (44.6, True)])
def test_symmetry_below_ninety_per_cent_is_noted(right, noted):
    found = symmetry_flags([SymmetryFacts("Leg extension", strength(40), strength(right), USES)])
    assert bool(found) is noted
    assert all((flag.code, flag.severity) == ("symmetry", "note") for flag in found)


def test_the_cue_answers_the_note_of_symmetry():
    (flag,) = symmetry_flags([SymmetryFacts("Leg extension", strength(40), strength(29.2), USES)])
    words = flag.remedies[0].edits[0].value
    assert words.lower() == cue_for("r")
    told = tuple(replace(use, cue=words) for use in USES)
    assert symmetry_flags([SymmetryFacts("Leg extension", strength(40), strength(29.2), told)]) == ()


def test_one_weaker_side_makes_one_card_with_the_worst_first():
    rows = [("Curl", 40, 34), ("Press", 40, 28), ("Calf raise", 30, 40)]
    facts = [SymmetryFacts(name, strength(left), strength(right), USES) for name, left, right in rows]
    left, right = symmetry_flags(facts)
    assert left.sentence.startswith("The left side is behind: Calf raise 75 %")
    assert right.sentence.startswith("The right side is behind: Press 70 % (")
    assert right.sentence.index("Press") < right.sentence.index("Curl 85 %")
    assert len(right.remedies[0].edits) == 4


def test_a_note_set_aside_does_not_return_for_a_small_move():
    first, near, far = (
        symmetry_flags([SymmetryFacts("Press", strength(100), strength(kg), USES)])[0].id for kg in (74, 76, 66)
    )
    assert first == near != far


@pytest.mark.parametrize("bad", [None, 40.0, "x"])
def test_bad_estimates_are_refused(bad):
    with pytest.raises(EngineError):
        symmetry_of(strength(40), bad)
