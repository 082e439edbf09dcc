"""The week table: rows and brackets from numbers, and a table that reads without its pictures."""

import xml.etree.ElementTree as ET

import pytest

from coachdesk import engine
from programs.figures.week_table import Cell, Heading, Row, Sets, bracket, most_of, outside, rows_of, week_table


def totals(week_no: int, **sets: float) -> engine.WeekTotals:
    weeks = tuple((code, engine.MuscleWeek(n, 0, n, n, n, 0)) for code, n in sets.items())
    return engine.WeekTotals(week_no, weeks, ())


def test_rows_follow_the_engines_order_and_leave_gaps_where_nothing_is_planned():
    rows = rows_of([totals(1, chest=10, biceps=4), None, totals(3, chest=12)], {"chest": (6, 16)})
    assert [row.code for row in rows] == ["chest", "biceps"]
    assert [cell.planned and cell.planned.count for cell in rows[0].cells] == [10, None, 12]
    assert (rows[0].band, rows[1].band) == ((6, 16), None)


@pytest.mark.parametrize(
    ("low", "count", "high", "where"),
    [(10, 10, 10, ""), (17, 17, 17, "above"), (15, 17, 19, ""), (5, 5, 5, "below"), (5, 5.5, 6, ""), (16, 16, 16, "")],
)
def test_outside_only_when_both_counts_agree(low, count, high, where):
    assert outside(Sets(count, low, high), (6, 16)) == where


def test_no_band_means_never_outside():
    assert outside(Sets(99, 99, 99), None) == ""


def test_bracket_stands_on_one_scale_from_zero_to_the_most_of_the_table():
    made = bracket((6, 12), 9, 24, width=48)
    assert (made.low, made.high, made.at) == (12, 24, 18)
    assert bracket((6, 12), 40, 24, width=48).at == 48
    rows = (Row("chest", "Chest", (6, 16), (Cell(Sets(20, 20, 20)),)),)
    assert most_of(rows) == 20
    assert most_of(()) == 1


def _cells(rows, **more):
    table = ET.fromstring(week_table(rows, [Heading("Week 1", "Mon 23 Nov", is_shown=True)], "Sets"))
    return table, [td for td in table.iter("td") if "reading" in td.get("class", "")]


def test_done_stands_large_with_planned_beneath():
    _, (cell,) = _cells((Row("chest", "Chest", (6, 16), (Cell(Sets(12, 12, 12), Sets(9, 9, 9)),)),))
    assert "".join(cell.itertext()) == "9of 12"


def test_above_carries_the_mark_and_the_word():
    _, (cell,) = _cells((Row("chest", "Chest", (6, 16), (Cell(Sets(20, 20, 20)),)),))
    assert cell.get("class") == "num reading outside"
    assert "".join(cell.itertext()) == "20 above"
    assert any("mark-check" in svg.get("class", "") for svg in cell.iter("svg"))


@pytest.mark.parametrize(("grow", "kind"), [(True, "num reading outside"), (False, "num reading")])
def test_too_little_is_marked_only_where_the_muscle_should_grow(grow, kind):
    _, (cell,) = _cells((Row("chest", "Chest", (6, 16), (Cell(Sets(3, 3, 3)),), grow),))
    assert cell.get("class") == kind
    assert "below" in "".join(cell.itertext())


def test_it_is_a_table_with_heads_a_caption_and_no_style_attributes():
    rows = rows_of([totals(1, chest=10)], {"chest": (6, 16)})
    table, _ = _cells(rows)
    assert table.find("caption") is not None
    assert {th.get("scope") for th in table.iter("th")} == {"col", "row"}
    assert [th.get("aria-current") for th in table.iter("th") if th.get("aria-current")] == ["true"]
    assert not [e for e in table.iter() if e.get("style")]
