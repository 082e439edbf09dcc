"""Weighted averages, monotony and strain against computed published formulas."""

import pytest

from coachdesk.engine import EngineError, ewma, monotony, strain
from tests.engine import facts


@pytest.mark.parametrize("days", [7, 28])
def test_ewma_follows_the_published_recursion(days):
    rows = facts.rows("ewma_example")
    found = ewma([float(row["load"]) for row in rows], days)
    assert found == pytest.approx([float(row[f"ewma_{days}"]) for row in rows], abs=5.1e-5)


@pytest.mark.parametrize(("days", "name"), [(7, "lambda_N7"), (28, "lambda_N28")])
def test_ewma_weighs_by_the_published_constant(days, name):
    share = float(facts.of("ewma_constants", quantity=name)[0]["value"])
    assert ewma([0, 1], days)[1] == pytest.approx(share, abs=5e-7)


def test_monotony_and_strain_of_the_worked_week():
    values = {row["item"]: row["formula_or_value"] for row in facts.rows("session_load_formulas")}
    week = [float(load) for load in values["own worked example daily loads"].split("|")]
    assert monotony(week) == pytest.approx(float(values["own example monotony (sample SD)"]), abs=5e-5)
    assert strain(week) == pytest.approx(float(values["own example strain (sample SD)"]), abs=5e-3)


@pytest.mark.parametrize("week", [[300] * 7, [0] * 7, [5], [], [1, float("nan")], [1, -2], "loads"])
def test_undefined_or_bad_weeks_are_refused(week):
    with pytest.raises(EngineError):
        monotony(week)


def test_zeros_are_legal_daily_loads():
    assert ewma([0, 0, 7], 7)[-1] > 0
