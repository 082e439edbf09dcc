"""Curves and equations against the published tables."""

from itertools import pairwise

import pytest

from coachdesk.engine import EngineError, fraction_for_reps, is_extension, one_rep_max, reps_for_fraction
from coachdesk.engine.equations import CURVE_NAMES, EQUATION_NAMES
from tests.engine import facts


@pytest.mark.parametrize("row", facts.rows("rm_equation_worked_examples"), ids=lambda r: f"{r['id']}-{r['reps']}")
def test_one_rep_max_gives_the_worked_example_to_four_decimals(row):
    found = one_rep_max(float(row["load"]), float(row["reps"]), equation=row["id"])
    assert found == pytest.approx(float(row["one_rm_exact_4dp"]), abs=5.1e-5)


@pytest.mark.parametrize("row", facts.rows("nsca_load_chart"), ids=lambda r: r["reps_allowed"])
def test_handbook_curve_passes_through_every_row_of_the_chart(row):
    reps, fraction = float(row["reps_allowed"]), float(row["pct_1rm"]) / 100
    assert fraction_for_reps(reps) == pytest.approx(fraction, abs=1e-12)
    assert reps_for_fraction(fraction) == pytest.approx(reps, abs=1e-9)


@pytest.mark.parametrize("equation", EQUATION_NAMES)
def test_one_rep_is_the_load_itself_whatever_the_equation_says_at_one(equation):
    # the table's caveats: most equations do not give the load itself at one rep
    assert one_rep_max(100, 1, equation=equation) == pytest.approx(100)


@pytest.mark.parametrize("curve", CURVE_NAMES)
@pytest.mark.parametrize("endurance", [0.7, 1.0, 1.6, 2.0])
def test_curves_fall_and_invert_exactly(curve, endurance):
    reps = [1 + 0.25 * i for i in range(160)]
    fractions = [fraction_for_reps(r, curve=curve, endurance=endurance) for r in reps]
    assert all(a > b for a, b in pairwise(fractions))
    back = [reps_for_fraction(f, curve=curve, endurance=endurance) for f in fractions]
    assert back == pytest.approx(reps, rel=1e-9)


@pytest.mark.parametrize("curve", CURVE_NAMES)
def test_curves_do_not_jump_at_their_joints(curve):
    for joint in (1, 2, 15):
        near = [fraction_for_reps(joint + d, curve=curve) for d in (-1e-7, 0, 1e-7)]
        assert max(near) - min(near) < 1e-6


def test_brzycki_and_epley_agree_at_ten_reps():
    # stated in the table of equations (computed from the cited formulas)
    assert one_rep_max(100, 10, equation="brzycki") == pytest.approx(one_rep_max(100, 10, equation="epley"))


def test_reps_in_reserve_count_as_reps():
    assert one_rep_max(100, 6, rir=2) == one_rep_max(100, 8)


def test_endurance_stretches_reps_beyond_the_first():
    assert reps_for_fraction(0.8, endurance=2) == pytest.approx(1 + 2 * (8 - 1))


def test_endurance_spans_the_published_leg_press_groups():
    # Richens & Cleather 2014: weightlifters 11.8, runners 19.8 reps at 80 % of 1RM
    rows = facts.of("reps_at_pct1rm_single_set", exercise="leg press", pct_1rm="80")
    found = {row["population"]: float(row["mean_reps"]) for row in rows}
    assert reps_for_fraction(0.8, endurance=1.6) == pytest.approx(found["weightlifters"], abs=0.5)
    assert found["endurance runners"] / found["weightlifters"] > 1.5
    assert reps_for_fraction(0.8, endurance=2.7) == pytest.approx(found["endurance runners"], abs=0.5)


def test_far_beyond_the_equations_reps_stay_finite_and_are_marked():
    # Brzycki has no finite reps below 1/36 of 1RM, Lander is singular at 37.92 reps
    assert 15 < reps_for_fraction(0.02, curve="brzycki") < 2000
    assert is_extension(0.5) is True
    assert is_extension(0.75) is False


@pytest.mark.parametrize("bad", [0, -1, 1.2, float("nan"), float("inf"), None, "0.8", True, 10**400])
def test_a_fraction_outside_the_range_is_refused_in_words(bad):
    with pytest.raises(EngineError, match=r"fraction of 1RM is .*; it should be"):
        reps_for_fraction(bad)


def test_an_unknown_equation_is_refused_by_name():
    with pytest.raises(EngineError, match=r"equation is 'guess'.*epley"):
        one_rep_max(100, 5, equation="guess")
