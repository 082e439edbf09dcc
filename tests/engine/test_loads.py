"""Units and typed loads."""

from fractions import Fraction

import pytest

from coachdesk.engine import EngineError, Load, convert, format_load, parse_load, to_kg
from tests.engine import facts


def test_pounds_convert_by_the_exact_factor():
    row = facts.of("unit_conversion", to="kg", exact="yes")[0]
    assert Fraction(row["factor"]) == convert(1000, "lb", "kg") / 1000


def test_worked_conversions_of_the_table():
    # NIST SP 811: 135 lb and 20 kg
    assert to_kg(135000, "lb") == pytest.approx(float(facts.of("unit_conversion", **{"from": "135 lb"})[0]["factor"]))
    twenty = float(facts.of("unit_conversion", **{"from": "20 kg"})[0]["factor"])
    assert float(convert(20000, "kg", "lb")) / 1000 == pytest.approx(twenty, abs=5e-7)


def test_conversion_round_trips_exactly():
    there = convert(135000, "lb", "kg")
    assert there / Fraction(45359237, 100_000_000) == 135000


@pytest.mark.parametrize(
    ("typed", "thousandths"),
    [("42.5", 42500), ("42,5", 42500), (" 20 ", 20000), ("1.25 kg", 1250), ("\uff14\uff12", 42000), ("0", 0)],
)
def test_parse_load_reads_what_people_type(typed, thousandths):
    assert parse_load(typed, "kg") == Load(thousandths, "kg")


@pytest.mark.parametrize(
    "typed",
    ["", "-5", "1e400", "NaN", "inf", "1.2345", "2001", "1,000.5", "4 2", "\u0665\u0660", "9" * 5000, None, 42.5],
)
def test_parse_load_refuses_the_rest_with_an_example(typed):
    with pytest.raises(EngineError, match=r"such as 42\.5"):
        parse_load(typed, "kg")


def test_format_load_has_no_trailing_zeros():
    assert [format_load(n) for n in (42500, 20000, 1250, 500, 0)] == ["42.5", "20", "1.25", "0.5", "0"]


def test_loads_order_within_a_unit_only():
    assert sorted([Load(3000, "kg"), Load(1000, "kg")])[0] == Load(1000, "kg")
    with pytest.raises(EngineError, match="a load in kg"):
        assert Load(1000, "kg") < Load(1000, "lb")
